"""The lowest ridge between a spot and the ground that water gets to."""

from __future__ import annotations

import numpy as np

from gardenwater.reach.kernels_records import Floats, Ints, Longs
from gardenwater.work import kernel


@kernel
def _sift_up(keys: Floats, cells: Longs, at: int) -> None:
    while at > 0:
        above = (at - 1) >> 1
        if keys[above] <= keys[at]:
            break
        keys[above], keys[at] = keys[at], keys[above]
        cells[above], cells[at] = cells[at], cells[above]
        at = above


@kernel
def _sift_down(keys: Floats, cells: Longs, size: int) -> None:
    at = 0
    while True:
        least = at
        for below in range(2 * at + 1, min(2 * at + 3, size)):
            if keys[below] < keys[least]:
                least = below
        if least == at:
            break
        keys[least], keys[at] = keys[at], keys[least]
        cells[least], cells[at] = cells[at], cells[least]
        at = least


@kernel
def lowest_ridge(level: Floats, root: Ints, shape: tuple[int, int], cell: int) -> int:
    """The cell that the lowest way from `cell` to a cell with a way climbs to, -1 when none leads there.

    Takes in the lowest cell at the edge of what it has, four neighbours each, until one has a way: so no more ground is
    looked at than lies below the ridge. level: float32, infinite or NaN where nothing passes; root: -1 without a way.
    """
    rows, cols = shape
    seen = np.zeros(level.size, dtype=np.uint8)
    keys = np.empty(256, dtype=np.float32)
    cells = np.empty(256, dtype=np.int64)
    keys[0], cells[0], size = level[cell], cell, 1
    seen[cell] = 1
    crest, highest = cell, level[cell]
    while size > 0:
        here, key = cells[0], keys[0]
        size -= 1
        keys[0], cells[0] = keys[size], cells[size]
        _sift_down(keys, cells, size)
        if root[here] >= 0:
            return crest
        if key > highest:
            crest, highest = here, key
        if size + 4 > keys.size:
            more_keys, more_cells = np.empty(2 * keys.size, keys.dtype), np.empty(2 * keys.size, cells.dtype)
            more_keys[:size], more_cells[:size] = keys[:size], cells[:size]
            keys, cells = more_keys, more_cells
        row, col = here // cols, here % cols
        for side in range(4):
            down = (side == 0) - (side == 1)
            right = (side == 2) - (side == 3)
            if 0 <= row + down < rows and 0 <= col + right < cols:
                ahead = here + down * cols + right
                if not seen[ahead] and level[ahead] < np.inf:
                    seen[ahead] = 1
                    keys[size], cells[size] = level[ahead], ahead
                    _sift_up(keys, cells, size)
                    size += 1
    return -1
