"""How pools stand at the end: level, depth of each wet cell, and the field whose zero line is the shore."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.kernels_store import floor_m
from gardenwater.overflow.records import Land
from gardenwater.work import kernel

Floats = NDArray[np.float64]

_SHARP_M = 0.02
"""Depth, and height over the water, at which the shore is half way to its limits, m."""


@kernel
def stand(land: Land, hollow: int, volume_m3: float, depth_m: Floats, found: Floats, box: NDArray[np.int64]) -> int:
    """Let a volume stand in a hollow; how many of the hollow's cells it comes to, counted from the first in the list.

    depth_m: float64 (rows x cols, no rim), filled in. found: float64 (3), level of the surface, greatest depth, and the
    cell where that is. box: int64 (4), first row, last row, first column, last column with water, widened to hold this.
    Depths are differences of levels to one of the hollow's, so that a film is not lost in them.
    """
    begin, end = land.hollows[hollow].start, land.hollows[hollow + 1].start
    within = land.hollows[land.hollows[hollow].first].start
    cell_m2 = land.surface.cell_x_m * land.surface.cell_y_m
    columns_m = volume_m3 / cell_m2
    base_m = floor_m(land, hollow, 1 if end > begin else end - begin)
    first = land.hollows[hollow].first
    if first < hollow:
        columns_m -= land.hollows[hollow - 1].columns_m
        columns_m -= land.hollows[land.hollows[hollow - 1].first - 1].columns_m
    columns_m = max(columns_m, 0.0)
    wet, rise_m = begin - within + (1 if end > begin else 0), 0.0
    while within + wet < end:
        step_m = np.float64(land.surface.level[land.cells[within + wet]]) - base_m - rise_m
        if step_m * wet >= columns_m:
            break
        columns_m -= step_m * wet
        rise_m += step_m
        wet += 1
    rise_m += columns_m / wet
    found[0], found[1] = base_m + rise_m, -1.0
    cols = land.surface.stride - 2
    for at in range(within, within + wet):
        cell = land.cells[at]
        deep_m = rise_m + (base_m - np.float64(land.surface.level[cell]))
        if deep_m > 0.0:
            row, col = cell // land.surface.stride, cell % land.surface.stride
            depth_m[(row - 1) * cols + col - 1] = deep_m
            box[0], box[1] = min(box[0], row), max(box[1], row)
            box[2], box[3] = min(box[2], col), max(box[3], col)
            if deep_m > found[1]:
                found[1], found[2] = deep_m, cell
    return int(wet)


@kernel
def shore_field(
    land: Land,
    depth_m: Floats,
    hollow: int,
    wet: int,
    level_m: float,
    number: int,
    corner: int,
    field: Floats,
    pools: NDArray[np.int32],
) -> None:
    """Draw a pool into a window: positive in wet cells, negative in dry ones beside them; pools: 1 + its number.

    wet: as `stand` said. corner: the cell of the window's first value. Values lie between a half and one, by depth or
    height over the water: the shore runs between a third and two thirds of the way from a wet centre to a dry one.
    """
    cols = land.surface.stride - 2
    row_0, col_0 = corner // land.surface.stride, corner % land.surface.stride
    within = land.hollows[land.hollows[hollow].first].start
    for at in range(within, within + wet):
        cell = land.cells[at]
        deep_m = depth_m[(cell // land.surface.stride - 1) * cols + cell % land.surface.stride - 1]
        if deep_m <= 0.0:
            continue
        row, col = cell // land.surface.stride - row_0, cell % land.surface.stride - col_0
        field[row, col] = 0.5 + 0.5 * deep_m / (deep_m + _SHARP_M)
        pools[row, col] = number + 1
        for down in (-1, 0, 1):
            for right in (-1, 0, 1):
                beside = cell + down * land.surface.stride + right
                high_m = max(np.float64(land.surface.level[beside]) - level_m, 0.0)
                if np.isfinite(land.surface.level[beside]) and field[row + down, col + right] <= 0.0:
                    dry = -0.5 - 0.5 * high_m / (high_m + _SHARP_M)
                    field[row + down, col + right] = max(field[row + down, col + right], dry)
