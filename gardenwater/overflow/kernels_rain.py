"""Where rain on the ground itself runs together: which hollow, taker or edge each cell's water comes to.

Eight directions: for volumes they are as good as the continuous surface (a catchment's edge moves by a cell or so), and
one look at each cell is enough.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.records import Land
from gardenwater.work import kernel, kernel_part

OFF, NOT_KNOWN, NO_GROUND = 0, -2147483648, -2147483647
"""Ends of cells that are neither a hollow (its number) nor a taker (-1 less its number)."""


@kernel_part
def down_from(land: Land, cell: int, steps: NDArray[np.int64], lengths_m: NDArray[np.float64]) -> int:
    """The cell that the water of a cell runs to: by the steepest step down, or out of a flat; itself at a bottom.

    Off the ground only where nothing else lies lower: a cell at its edge may well slope inwards.
    """
    best, onto, edge = 0.0, cell, cell
    level_m = np.float64(land.surface.level[cell])
    for step in range(8):
        fall = (level_m - np.float64(land.surface.level[cell + steps[step]])) / lengths_m[step]
        if fall == np.inf:
            edge = cell + steps[step]
        elif fall > best:
            best, onto = fall, cell + steps[step]
    if onto == cell and edge != cell:
        return int(edge)
    if onto == cell and land.way[cell] > 0:
        onto = cell + steps[int(np.int64(land.way[cell])) - 1]
    return int(onto)


@kernel
def rain_ends(
    land: Land,
    taker_of: NDArray[np.int32],
    steps: NDArray[np.int64],
    lengths_m: NDArray[np.float64],
    ends: NDArray[np.int32],
) -> None:
    """Fill in what the water of each cell comes to: a hollow's number, -1 less a taker's, OFF, or NO_GROUND.

    ends: int32, one for each cell of the padded grid, NOT_KNOWN at first.
    """
    for cell in range(ends.size):
        if land.surface.level[cell] == np.inf:
            ends[cell] = NO_GROUND
        elif land.surface.level[cell] == -np.inf:
            ends[cell] = OFF
        elif taker_of.size > 1 and taker_of[cell] > 0:
            ends[cell] = -taker_of[cell]
    for first in range(ends.size):
        at = first
        while ends[at] == NOT_KNOWN:
            onto = down_from(land, at, steps, lengths_m)
            if onto == at:
                label = max(int(np.int64(land.label[at])), 0)
                ends[at] = land.hollows[label].first if label > 0 else OFF
            else:
                at = onto
        end = ends[at]
        at = first
        while ends[at] == NOT_KNOWN:
            onto = down_from(land, at, steps, lengths_m)
            ends[at] = end
            at = onto
