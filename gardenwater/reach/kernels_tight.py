"""From a needed level to the point that asks for it."""

from __future__ import annotations

import math

from gardenwater.reach.kernels_records import Floats, Ints, Place
from gardenwater.reach.kernels_sight import row_col
from gardenwater.work import kernel


@kernel
def to_tightest(root: Ints, tight: Floats, place: Place, first: int, end: int) -> None:
    """Length of the way from cells `first` to `end` to the first point that asks for its own level, m, written.

    root: of `kernels_need`, a cell that asks for its own level is its own root. tight: NaN where there is no way.
    """
    cols = place.cols
    per_col = 1.0 / cols
    for cell in range(first, end):
        if root[cell] < 0:
            tight[cell] = math.nan
            continue
        length, here = 0.0, cell
        while root[here] != here:
            turn = root[here]
            row, col = row_col(here, cols, per_col)
            turn_row, turn_col = row_col(turn, cols, per_col)
            tall, wide = (turn_row - row) * place.cell_y, (turn_col - col) * place.cell_x
            length += math.sqrt(tall * tall + wide * wide)
            here = turn
        tight[cell] = length
