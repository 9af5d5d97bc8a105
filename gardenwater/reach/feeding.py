"""How far a feeder runs from a downpipe, and how high its water still is where it comes to a tank."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from affine import Affine
from numpy.typing import NDArray
from shapely import box
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line
from gardenwater.reach.prepared import Prepared, prepare
from gardenwater.reach.reaching import water_reach

Lengths = NDArray[np.float32]

_NO_LOSS = Line(bore_mm=2000.0, fittings_k=0.0, flow_l_min=1e-3)
_HIGH_M = 1000.0
_SNAP_CELLS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedPoint:
    """Where a feeder can begin. key: whose it is; at: x and y, m; level_m: the highest that water leaves it at."""

    key: str
    at: tuple[float, float]
    level_m: float

    def __post_init__(self) -> None:
        if not all(math.isfinite(number) for number in (*self.at, self.level_m)):
            raise InputError(
                "A feeder needs a place and a level to begin at.", where=self.key or "feed", mend="Give finite numbers."
            )


@dataclass(frozen=True, slots=True, eq=False)
class FeederWays:
    """Lengths of feeders from one point, on a window of the ground's grid.

    window: rows and columns of the grid. length_m: float32, m, the shortest way round barriers; NaN where there is
    none, or a longer one than was asked for.
    """

    window: tuple[slice, slice]
    length_m: Lengths


def feeder_ways(
    ground: Ground, *, at: tuple[float, float], barriers: Sequence[BaseGeometry], most_m: float
) -> FeederWays | None:
    """How long a feeder from a point is, to every cell within `most_m` of it; None for a point far off the ground.

    A feeder goes round barriers (buildings) and over everything else. Its way is what `water_reach` finds on ground
    without any fall, so the two measure alike.
    """
    window = _window(ground, at, most_m)
    if window is None:
        return None
    flat = _flat(ground, window)
    near = box(*flat.bounds)
    prepared = prepare(flat, barriers=[shape for shape in barriers if shape.intersects(near)])
    start = _start(prepared, at)
    ways = water_reach(prepared, at=start, water_level_m=_HIGH_M, line=_NO_LOSS).distance_m
    with np.errstate(invalid="ignore"):
        return FeederWays(window, np.where(ways <= most_m, ways, np.float32(np.nan)))


def _window(ground: Ground, at: tuple[float, float], most_m: float) -> tuple[slice, slice] | None:
    """The part of the grid within `most_m` of a point, two cells more on each side."""
    rows, cols = ground.shape
    across, down = most_m + 2 * ground.cell_x_m, most_m + 2 * ground.cell_y_m
    west, north = ground.transform.c, ground.transform.f
    first_col = max(math.floor((at[0] - across - west) / ground.cell_x_m), 0)
    last_col = min(math.ceil((at[0] + across - west) / ground.cell_x_m), cols)
    first_row = max(math.floor((north - at[1] - down) / ground.cell_y_m), 0)
    last_row = min(math.ceil((north - at[1] + down) / ground.cell_y_m), rows)
    if first_col >= last_col or first_row >= last_row or ground.cell_at(*at) is None:
        return None
    return slice(first_row, last_row), slice(first_col, last_col)


def _flat(ground: Ground, window: tuple[slice, slice]) -> Ground:
    rows, cols = window
    a, _, west, _, e, north = tuple(ground.transform)[:6]
    corner = Affine(a, 0.0, west + cols.start * a, 0.0, e, north + rows.start * e)
    return Ground(np.zeros((rows.stop - rows.start, cols.stop - cols.start), dtype=np.float32), corner)


def _start(prepared: Prepared, at: tuple[float, float]) -> tuple[float, float]:
    """The point itself, or where it is on a barrier the nearest free cell: pipes are drawn on or in their wall."""
    cell = prepared.ground.cell_at(*at)
    barred = np.isinf(prepared.level_m)
    if cell is None or not barred[cell]:
        return at
    row, col = cell
    reach = _SNAP_CELLS
    while reach <= 8 * _SNAP_CELLS:
        top, left = max(row - reach, 0), max(col - reach, 0)
        free = np.argwhere(~barred[top : row + reach + 1, left : col + reach + 1])
        if free.size:
            spots = [prepared.ground.centre_of(int(r) + top, int(c) + left) for r, c in free]
            return min(spots, key=lambda spot: math.dist(spot, at))
        reach *= 2
    return at
