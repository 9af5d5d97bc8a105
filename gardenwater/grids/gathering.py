"""What a surface gathers: the ground above each cell, and above each metre of a level line there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.work import Cancel, stop_if

_CELLS_AT_ONCE = 1 << 18
_STEPS = ((-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1))
"""Rows down and columns right of the eight steps; the step back is 7 less it."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Gathered:
    """What each cell of a surface gathers; arrays of the padded surface's shape without its rim, read-only.

    area_m2: float64 (rows, cols), the ground whose water comes through a cell, its own included; NaN where none comes.
    upslope_m: float64, that area for each metre of level line, m: the specific catchment area of the wetness index.
    """

    area_m2: Floats
    upslope_m: Floats


def gather(level_m: Floats, *, cell_x_m: float, cell_y_m: float, cancel: Cancel | None = None) -> Gathered:
    """Gather water evenly over a surface whose hollows are filled.

    level_m: float64 (rows + 2, cols + 2) with a rim of one cell; +inf where no water comes, -inf where it leaves. A
    cell hands its water to all lower neighbours by slope^1.1 (Freeman 1991); over level ground the shortest way out;
    where no way leads out it stays. A cell beside an opening whose neighbours are none of them lower hands it out.

    upslope_m is area x length of the mean step / area of the cell: what goes through a cell, spread over the ground,
    is a flow along that step, and its density is the flow through a metre of level line. On a plane this is the
    distance from its upper edge, whatever its azimuth. Raises InputError for a surface that has no inside or a rim with
    levels.
    """
    if min(level_m.shape) < 3 or np.isfinite(level_m[[0, -1], :]).any() or np.isfinite(level_m[:, [0, -1]]).any():
        raise InputError("A surface needs a rim without levels.", where="level_m", mend="Pad it with inf or -inf.")
    from gardenwater.grids import kernels_gather as kernels

    rows, cols = level_m.shape
    level = np.ascontiguousarray(level_m, dtype=np.float64).ravel()
    steps = np.array([down * cols + right for down, right in _STEPS], dtype=np.int64)
    east_m = np.array([right * cell_x_m for _, right in _STEPS])
    north_m = np.array([-down * cell_y_m for down, _ in _STEPS])
    rank, towards = np.empty(level.size, dtype=np.int32), np.empty(level.size, dtype=np.int8)
    queue = np.empty(level.size, dtype=np.int32)
    kernels.rank_flats(level, steps, rank, towards, queue)
    stop_if(cancel)
    cells = np.flatnonzero(np.isfinite(level)).astype(np.int32)
    order = cells[np.lexsort((rank[cells], level[cells]))[::-1]]
    gathered = np.full(level.size, cell_x_m * cell_y_m)
    stride_m = np.full(level.size, np.nan)
    for begin in range(0, order.size, _CELLS_AT_ONCE):
        stop_if(cancel)
        end = min(begin + _CELLS_AT_ONCE, order.size)
        kernels.hand_down(level, order, steps, east_m, north_m, towards, gathered, stride_m, begin, end)
    return _result(level.reshape(rows, cols), gathered, stride_m, cell_x_m, cell_y_m)


def _result(level: Floats, gathered: Floats, stride_m: Floats, cell_x_m: float, cell_y_m: float) -> Gathered:
    """Without the rim; a cell that keeps its water, or hands it over the edge, counts with its own width."""
    known = np.isfinite(level[1:-1, 1:-1])
    area_m2 = np.where(known, gathered.reshape(level.shape)[1:-1, 1:-1], np.nan)
    run_m = stride_m.reshape(level.shape)[1:-1, 1:-1]
    run_m = np.where(run_m > 0.0, run_m, np.sqrt(cell_x_m * cell_y_m))
    upslope_m = area_m2 * run_m / (cell_x_m * cell_y_m)
    for array in (area_m2, upslope_m):
        array.flags.writeable = False
    return Gathered(area_m2, upslope_m)
