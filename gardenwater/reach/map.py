"""The answer of `water_reach`: arrays on the ground's grid, and what can be read off them at a spot."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import LineString

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line
from gardenwater.reach.reason import Reason

Floats = NDArray[np.float32]

_ARRIVES = (Reason.IN_REACH, Reason.SLOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """What a water reach map says of one spot: the cell that it lies in. NaN: out, or nothing to say.

    level_m: of the ground. distance_m: length of the way that water takes, slow water too. residual_head_m: head left
    at the wanted flow, after lift and least head. margin_m, sure_m: see `ReachMap`. too_high_m: for TOO_HIGH, by how
    much the water level would have to rise for standing water to come up to it. climb_level_m, climb_at: for RIDGE, the
    level that the line would have to climb to on the lowest way there, and where; climb_at is None otherwise.
    """

    reason: Reason
    level_m: float
    distance_m: float = math.nan
    residual_head_m: float = math.nan
    flow_l_min: float = math.nan
    minutes_per_can: float = math.nan
    margin_m: float = math.nan
    sure_m: float = math.nan
    too_high_m: float = math.nan
    climb_level_m: float = math.nan
    climb_at: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReachMap:
    """Where a tank can water. All arrays are (rows, cols) on `ground`'s grid, float32 unless said, read-only.

    NaN is out. ground: the grid of the answer. start: where the tank stands, x and y, m.
    distance_m: m, along the shortest way that the wanted flow can take. residual_head_m: m, water level less losses at
    the wanted flow, ground, lift and least head; in reach it is 0 or more. margin_m: m, the least head over the line of
    all points of the way at the wanted flow, the end included: by so much the ground may be higher than thought,
    relative to the tank; within 5 mm and 3 %. sure_m: m, the same with one standard error of the ground relative to the
    tank taken off at each point: from 0 on the cell is surely in reach. These four in reach only.
    flow_l_min: L/min, what flows with the line full open: the least over all points of the way; within 1.5 % of
    `hydraulics.flow_l_min` where the end binds, 4 % where a point on the way does. minutes_per_can: minutes to fill a
    can of `can_l`. Both where water arrives, slow too.
    reason: uint8, see `Reason`.
    turns: int32, flat index of the cell at which the way turns last, the tank's own where it is straight; -1 without a
    way. bars_m: the levels that barred the way, infinite on barriers.
    """

    ground: Ground
    start: tuple[float, float]
    water_level_m: float
    line: Line
    can_l: float
    distance_m: Floats = field(repr=False)
    residual_head_m: Floats = field(repr=False)
    flow_l_min: Floats = field(repr=False)
    minutes_per_can: Floats = field(repr=False)
    margin_m: Floats = field(repr=False)
    sure_m: Floats = field(repr=False)
    reason: NDArray[np.uint8] = field(repr=False)
    turns: NDArray[np.int32] = field(repr=False)
    bars_m: Floats = field(repr=False)

    def route_to(self, x: float, y: float) -> LineString | None:
        """The way that the line takes, from the tank to the centre of the cell that (x, y) lies in; its turning points.

        None where no water arrives. Its length is `distance_m`, or for slow water that of the way it takes. Raises
        InputError off the grid.
        """
        row, col = self._cell(x, y)
        if Reason(self.reason[row, col]) not in _ARRIVES:
            return None
        return self._route(row, col)

    def at(self, x: float, y: float) -> Spot:
        """What the map says of a spot. Raises InputError off the grid."""
        row, col = self._cell(x, y)
        reason = Reason(self.reason[row, col])
        level_m = float(self.ground.level_m[row, col])
        if reason is Reason.RIDGE:
            climb_level_m, climb_at = self._climb(row, col)
            return Spot(reason=reason, level_m=level_m, climb_level_m=climb_level_m, climb_at=climb_at)
        return Spot(
            reason=reason,
            level_m=level_m,
            distance_m=self._route(row, col).length if reason in _ARRIVES else math.nan,
            residual_head_m=float(self.residual_head_m[row, col]),
            flow_l_min=float(self.flow_l_min[row, col]),
            minutes_per_can=float(self.minutes_per_can[row, col]),
            margin_m=float(self.margin_m[row, col]),
            sure_m=float(self.sure_m[row, col]),
            too_high_m=level_m + self.line.over_ground_m - self.water_level_m
            if reason is Reason.TOO_HIGH
            else math.nan,
        )

    def _cell(self, x: float, y: float) -> tuple[int, int]:
        cell = self.ground.cell_at(x, y) if math.isfinite(x) and math.isfinite(y) else None
        if cell is None:
            raise InputError(f"The spot {x:g}, {y:g} lies off the ground.", where="x, y", mend="Take one on the grid.")
        return cell

    def _route(self, row: int, col: int) -> LineString:
        cols = self.ground.shape[1]
        cell, points = row * cols + col, [self.ground.centre_of(row, col)]
        turn = int(self.turns.flat[cell])
        while int(self.turns.flat[turn]) != turn:
            points.append(self.ground.centre_of(*divmod(turn, cols)))
            turn = int(self.turns.flat[turn])
        points.append(self.start)
        return LineString(points[::-1])

    def _climb(self, row: int, col: int) -> tuple[float, tuple[float, float] | None]:
        from gardenwater.reach.kernels_climb import lowest_ridge

        rows, cols = self.ground.shape
        crest = int(lowest_ridge(self.bars_m.ravel(), self.turns.ravel(), (rows, cols), row * cols + col))
        if crest < 0:
            return math.nan, None
        crest_row, crest_col = divmod(crest, cols)
        level_m = float(self.bars_m[crest_row, crest_col]) + self.line.line_height_m
        return level_m, self.ground.centre_of(crest_row, crest_col)
