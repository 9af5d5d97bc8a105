"""How high the water must stand, at every spot, to serve a bed."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import Point
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, charge_m, friction_slope, wanted_head_m
from gardenwater.reach.kernels_records import Place
from gardenwater.reach.prepared import Prepared, as_prepared
from gardenwater.reach.queue import empty_queue, grown
from gardenwater.work import Cancel, Progress, say, stop_if

_SETTLE_CELLS = 60_000
_TIGHT_CELLS = 500_000
_LEAST_PART = 2.0**-18
_WORDS = "working out needed levels"


@dataclass(frozen=True, slots=True, eq=False)
class Needed:
    """The needed level of a bed and what asks for it, (rows, cols), read-only; NaN where no way leads to the bed.

    level_m: float32, m above the datum. tight_m: float16, m, how far along the way from a cell the point lies that asks
    for the most: a ridge, the bed, or the cell itself.
    """

    level_m: NDArray[np.float32] = field(repr=False)
    tight_m: NDArray[np.float16] = field(repr=False)


def needed_level(
    ground: Ground | Prepared,
    *,
    bed: Polygon | MultiPolygon,
    line: Line,
    barriers: Iterable[BaseGeometry] = (),
    deliver_at: tuple[float, float] | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> NDArray[np.float32]:
    """The lowest water level, at every cell, that serves a bed from there: float32 (rows, cols), m above the datum.

    NaN where no way leads to the bed, or without data. bed: its outline, m. deliver_at: the spot that must be served, x
    and y; the bed's highest cell off barriers unless given. ground, line, barriers: as for `water_reach`, of which this
    is the way back: need(q) = max(need(p) + friction of the step, ground(q) + line height), from what the delivery spot
    asks for. The two agree but for 0.5 % of the loss and 5 mm. A cell on a barrier has a level where a tank that stands
    on it could be led away from.

    Raises InputError for a bed or a delivery spot that is off the grid or on ground without data.
    """
    prepared = as_prepared(ground, barriers, cancel, progress)
    return _needed(prepared, bed, line, deliver_at, cancel, progress)[0]


def needed(
    ground: Ground | Prepared,
    *,
    bed: Polygon | MultiPolygon,
    line: Line,
    barriers: Iterable[BaseGeometry] = (),
    deliver_at: tuple[float, float] | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Needed:
    """The needed level with the distance to what asks for it; everything else as in `needed_level`."""
    from gardenwater.reach.kernels_tight import to_tightest

    prepared = as_prepared(ground, barriers, cancel, progress)
    level_m, root = _needed(prepared, bed, line, deliver_at, cancel, progress)
    tight = np.empty(root.size, dtype=np.float32)
    place = _place(prepared, 0)
    for first in range(0, root.size, _TIGHT_CELLS):
        stop_if(cancel)
        to_tightest(root, tight, place, first, min(first + _TIGHT_CELLS, root.size))
    with np.errstate(over="ignore"):  # over 65 km off it is infinite
        answer = tight.astype(np.float16).reshape(prepared.ground.shape)
    answer.flags.writeable = False
    return Needed(level_m, answer)


def _needed(
    prepared: Prepared,
    bed: Polygon | MultiPolygon,
    line: Line,
    deliver_at: tuple[float, float] | None,
    cancel: Cancel | None,
    progress: Progress | None,
) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """The needed levels, and by cell the point that they count from (-1: none)."""
    spot = _spot(prepared, bed, deliver_at)
    size = prepared.ground.level_m.size
    root = np.full(size, -1, dtype=np.int32)
    if np.isinf(prepared.level_m.flat[spot]):
        return np.full(prepared.ground.shape, np.nan, dtype=np.float32), root  # nothing leads onto a barrier
    need = np.full(size, np.inf)
    need[spot] = float(prepared.ground.level_m.flat[spot]) + max(line.line_height_m, wanted_head_m(line))
    _settle(prepared, line, need, root, spot, cancel, progress)
    need += float(charge_m(line.flow_l_min, line))
    need[np.isinf(need)] = np.nan
    say(progress, 1.0, _WORDS)
    answer = need.astype(np.float32).reshape(prepared.ground.shape)
    answer.flags.writeable = False
    return answer, root


def _place(prepared: Prepared, spot: int) -> Place:
    rows, cols = prepared.ground.shape
    return Place(rows, cols, spot, prepared.ground.cell_x_m, prepared.ground.cell_y_m, 0.0, 0.0)


def delivery_spot(ground: Ground | Prepared, bed: Polygon | MultiPolygon) -> tuple[float, float]:
    """The centre of a bed's highest cell, x and y: what must be served for all of it to be.

    On a ground with its barriers, the highest that no barrier touches, if there is one. Raises InputError for a bed off
    the grid or on ground without data.
    """
    grid = ground if isinstance(ground, Ground) else ground.ground
    row, col = divmod(_highest(grid, grid.level_m if grid is ground else ground.level_m, bed), grid.shape[1])
    return grid.centre_of(row, col)


def _spot(prepared: Prepared, bed: Polygon | MultiPolygon, deliver_at: tuple[float, float] | None) -> int:
    """The flat index of the cell that must be served."""
    ground = prepared.ground
    if deliver_at is None:
        return _highest(ground, prepared.level_m, bed)
    x, y = deliver_at
    cell = ground.cell_at(x, y) if math.isfinite(x) and math.isfinite(y) else None
    if cell is None or math.isnan(ground.level_m[cell]):
        raise InputError(
            f"The ground has no level at the delivery spot {x:g}, {y:g}.",
            where="deliver_at",
            mend="Take a spot on ground with a level.",
        )
    return cell[0] * ground.shape[1] + cell[1]


def _highest(ground: Ground, bars_m: NDArray[np.float32], bed: Polygon | MultiPolygon) -> int:
    levels, bars = ground.level_m.ravel(), bars_m.ravel()
    for leakless in (False, True):  # a bed finer than the grid may hold no centre of a cell
        inside = np.flatnonzero(burn([bed], ground.transform, ground.shape, leakless=leakless))
        inside = inside[~np.isnan(levels[inside])]
        free = inside[~np.isinf(bars[inside])]
        inside = free if free.size else inside
        if inside.size:
            return int(inside[np.argmax(levels[inside])])
    centre = bed.centroid if not bed.is_empty else Point(math.nan, math.nan)
    raise InputError(
        f"The ground has no level under the bed at {centre.x:g}, {centre.y:g}.",
        where="bed",
        mend="Draw it on ground with a level.",
    )


def _settle(
    prepared: Prepared,
    line: Line,
    need: NDArray[np.float64],
    root: NDArray[np.int32],
    spot: int,
    cancel: Cancel | None,
    progress: Progress | None,
) -> None:
    from gardenwater.reach.kernels_need import FINISHED, GROW, WAITS, spread_back
    from gardenwater.reach.kernels_queue import put

    ground = prepared.ground
    rows, cols = ground.shape
    place = _place(prepared, spot)
    slope = float(friction_slope(line.flow_l_min, line))
    relief_m = float(np.nanmax(ground.level_m) - np.nanmin(ground.level_m))
    # one cell's friction a bucket gives the order of a heap; with next to no friction there would be too many of them
    width = max(slope * min(place.cell_x, place.cell_y), relief_m * _LEAST_PART, 1e-9)
    queue = empty_queue(width=width, slots=4 * (rows + cols) + 4096, first=float(need[spot]))
    state = np.zeros(need.size, dtype=np.uint8)
    state[spot], root[spot] = WAITS, spot
    put(queue, spot, need[spot])
    status, settled = -1, 0
    while status != FINISHED:
        stop_if(cancel)
        say(progress, min(settled / need.size, 0.99), _WORDS)
        status = spread_back(
            prepared.level_m.ravel(), ground.level_m.ravel(), state, root, need, place, slope, line.line_height_m,
            queue, _SETTLE_CELLS,
        )  # fmt: skip
        settled += _SETTLE_CELLS
        if status == GROW:
            queue = grown(queue)
