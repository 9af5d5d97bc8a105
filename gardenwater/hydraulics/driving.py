"""What water level drives what flow along a way: the flow is the least that any point of it lets through."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.errors import InputError
from gardenwater.hydraulics.friction import LAMINAR_BELOW, TURBULENT_ABOVE, friction_slope, reynolds_per_l_min
from gardenwater.hydraulics.line import Line
from gardenwater.hydraulics.losses import charge_m, exit_head_m

Floats = NDArray[np.float64]

_REYNOLDS = np.union1d(
    np.geomspace(0.1, 1e8, 9 * 48 + 1), np.linspace(0.95 * LAMINAR_BELOW, 1.05 * TURBULENT_ABOVE, 81)
)
"""Reynolds numbers: 48 to the decade, and closer through the transition, where the loss bends."""


@dataclass(frozen=True, slots=True, eq=False)
class Drive:
    """The water levels that drive a row of flows along one way; made by `drive_along`.

    flow_l_min: (n,), rising. level_m: (n,), the least water level that drives each to the end through all points of the
    way, m; rising. least_level_m: at which standing water just comes to the end.
    """

    flow_l_min: Floats = field(repr=False)
    level_m: Floats = field(repr=False)
    least_level_m: float

    def flow_at(self, water_level_m: ArrayLike) -> Floats:
        """Flow with the line full open, L/min; 0 at and below `least_level_m`. Within 0.2 % of `flow_l_min`."""
        levels = np.concatenate(([self.least_level_m], self.level_m))
        flow: Floats = np.interp(
            np.asarray(water_level_m, dtype=np.float64), levels, np.concatenate(([0.0], self.flow_l_min))
        )
        return flow

    def level_for(self, flow_l_min: float) -> float:
        """The least water level that drives a flow (L/min), m; the last node's for flows beyond."""
        levels, flows = np.append(self.least_level_m, self.level_m), np.append(0.0, self.flow_l_min)
        return float(np.interp(flow_l_min, flows, levels))

    def with_before(self, before: Drive) -> Drive:
        """The same with what the pieces before let through; both of one line."""
        levels = np.maximum(self.level_m, before.level_m)
        return Drive(self.flow_l_min, levels, max(self.least_level_m, before.least_level_m))

    def draw_s(self, from_level_m: float, to_level_m: float, litres_at: Callable[[Floats], Floats]) -> float:
        """How long the water of a tank takes to fall from one level to another with the line full open, s.

        litres_at: litres that the tank holds at each of the levels given, m; rising. Infinite where `to_level_m` is
        lower than what the line can draw down to. Raises InputError for a level that is not below the first.
        """
        if not to_level_m <= from_level_m:
            raise InputError(
                "The water cannot rise while it is drawn.",
                where="to_level_m",
                mend="Give a lower level than the first.",
            )
        if to_level_m == from_level_m:
            return 0.0
        if to_level_m < self.least_level_m:
            return float("inf")
        inside = (self.level_m > to_level_m) & (self.level_m < from_level_m)
        levels = np.concatenate(([to_level_m], self.level_m[inside], [from_level_m]))
        flow, litres = self.flow_at(levels), litres_at(levels)
        # the flow of an orifice goes with the root of the head: then the mean flow of a step is that of its two ends
        return float(np.sum(np.diff(litres) / (flow[1:] + flow[:-1]) * 2.0) * 60.0)


def drive_along(
    line: Line,
    *,
    end_level_m: float,
    length_m: float,
    way_level_m: ArrayLike = (),
    way_m: ArrayLike = (),
) -> Drive:
    """The levels that drive flows along a way.

    end_level_m: level of the ground where the line delivers, m; its lift and end device stand above. length_m: of the
    way, without the pieces before it. way_level_m, way_m: levels of the ground at points of the way, and how far each
    lies along it, m; the line lies `line_height_m` above them and no point may stand over the grade line.
    Raises InputError for a negative length, and for levels and distances that are not alike in number.
    """
    levels, lengths = _points(way_level_m, way_m)
    if length_m < 0:
        raise InputError("It cannot be negative.", where="length_m", mend="Give zero or more.")
    curve = _curve(line)
    end = end_level_m + line.held_back_m
    needed = end + curve.slope * length_m + curve.charge + curve.exit
    least = end
    if levels.size:
        on_way = levels + line.line_height_m
        on_way_needed = np.max(on_way[:, None] + lengths[:, None] * curve.slope[None, :], axis=0) + curve.charge
        needed = np.maximum(needed, on_way_needed)
        least = max(least, float(on_way.max()))
    return Drive(curve.flow, needed, least)


def drive_before(line: Line, *, level_m: ArrayLike, at_m: ArrayLike) -> Drive:
    """The levels that drive flows over the points of the pieces before a line's last one, its `lead`.

    level_m, at_m: levels of the ground at one or more points, and how far each lies from the tank along the pieces, m.
    All fittings but the exit are charged at the tank. Raises InputError as `drive_along` does.
    """
    levels, lengths = _points(level_m, at_m)
    curve = _curve(line)
    on_way = levels + line.line_height_m
    needed = np.repeat(on_way[:, None], curve.flow.size, axis=1)
    ends_m = np.cumsum([piece.length_m for piece in line.lead])
    for piece, end_m in zip(line.lead, ends_m, strict=True):
        within = np.clip(lengths - (end_m - piece.length_m), 0.0, piece.length_m)
        needed += within[:, None] * friction_slope(curve.flow, line.along(piece))[None, :]
    fittings = charge_m(curve.flow, replace(line, lead=tuple(replace(each, length_m=0.0) for each in line.lead)))
    return Drive(curve.flow, needed.max(axis=0) + fittings, float(on_way.max()))


def _points(level_m: ArrayLike, at_m: ArrayLike) -> tuple[Floats, Floats]:
    levels, lengths = np.asarray(level_m, dtype=np.float64), np.asarray(at_m, dtype=np.float64)
    if levels.shape != lengths.shape or levels.ndim != 1:
        raise InputError("Each point of the way has a level and a distance.", where="way_m", mend="Give as many.")
    if (lengths < 0).any():
        raise InputError("It cannot be negative.", where="way_m", mend="Give zero or more.")
    return levels, lengths


@dataclass(frozen=True, slots=True, eq=False)
class _Curve:
    """A row of flows, L/min, with what each loses: for each metre of the way, before it, and at the end, m."""

    flow: Floats
    slope: Floats
    charge: Floats
    exit: Floats


@lru_cache(maxsize=64)
def _curve(line: Line) -> _Curve:
    flow = _REYNOLDS / reynolds_per_l_min(line)
    return _Curve(flow, friction_slope(flow, line), charge_m(flow, line), exit_head_m(flow, line))
