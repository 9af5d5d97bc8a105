"""Blocks of cells that barriers fill or part, for the preview."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.work import kernel


@kernel
def parted(burnt: NDArray[np.bool_], factor: int, blocks: NDArray[np.bool_]) -> None:
    """Mark the blocks of which barriers take more than half, or whose free cells do not hang together by their sides.

    burnt: bool (rows, cols); blocks: bool, written; blocks at the south and east edge may have fewer cells.
    """
    rows, cols = burnt.shape
    waiting = np.empty(factor * factor, dtype=np.int64)
    seen = np.empty((factor, factor), dtype=np.bool_)
    for block_row in range(blocks.shape[0]):
        for block_col in range(blocks.shape[1]):
            top, left = block_row * factor, block_col * factor
            tall, wide = min(factor, rows - top), min(factor, cols - left)
            free, start = 0, 0
            for row in range(tall):
                for col in range(wide):
                    seen[row, col] = burnt[top + row, left + col]
                    if not seen[row, col]:
                        free += 1
                        start = row * factor + col
            if free == tall * wide:
                continue
            if 2 * free < tall * wide:
                blocks[block_row, block_col] = True
                continue
            waiting[0], size, found = start, 1, 1
            seen[start // factor, start % factor] = True
            while size > 0:
                size -= 1
                row, col = waiting[size] // factor, waiting[size] % factor
                for side in range(4):
                    near_row = row + (side == 0) - (side == 1)
                    near_col = col + (side == 2) - (side == 3)
                    if 0 <= near_row < tall and 0 <= near_col < wide and not seen[near_row, near_col]:
                        seen[near_row, near_col] = True
                        waiting[size] = near_row * factor + near_col
                        size += 1
                        found += 1
            blocks[block_row, block_col] = found < free
