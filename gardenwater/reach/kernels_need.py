"""The needed level, backwards from a delivery spot: what the water must have had before it got here.

A cell remembers the point from which its needed level counts: a turning point, or a cell whose own ground asks for more
than what lies behind it does. From there it rises with the friction along the straight line, as far as nothing on the
line asks for more. Cells are settled by needed level.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.reach.kernels_queue import LIVE, put, take, turn_over
from gardenwater.reach.kernels_sight import frame, in_sight, row_col
from gardenwater.work import kernel

HAS = np.uint8(1)
WAITS = np.uint8(2)
LEAF = np.uint8(4)
FINISHED, MORE, GROW = 0, 1, 2
BETTER_M = 1e-7


@kernel
def spread_back(
    level, ground, state, root, need, shape, cell_m, slope, line_height,
    heads, slot_cell, slot_next, marks, scale, budget,
):  # fmt: skip
    """Settle up to `budget` queued cells; FINISHED, MORE to do, or GROW the slots.

    level: float32, the ground with barriers infinite; ground: without them; state: uint8; root: int32; need: float64,
    all flat. A cell on a barrier gets a level, as a tank may stand on it, and hands nothing on. One loop over the eight
    neighbours, as each needs all the arrays.
    """
    rows, cols = shape
    cell_x, cell_y = cell_m
    per_col = 1.0 / cols
    diagonal = math.sqrt(cell_x * cell_x + cell_y * cell_y)
    labelled = HAS | WAITS
    while budget > 0:
        if slot_cell.size - marks[LIVE] < 8:
            return GROW
        cell = take(heads, slot_cell, slot_next, marks)
        if cell < 0:
            if turn_over(heads, slot_cell, slot_next, marks, scale, need, state, WAITS):
                continue
            return FINISHED
        if not state[cell] & WAITS:
            continue
        budget -= 1
        state[cell] = HAS
        here = need[cell]
        turn = root[cell]
        row, col = row_col(cell, cols, per_col)
        turn_row, turn_col = row_col(turn, cols, per_col)
        for down in range(-1 if row > 0 else 0, 2 if row + 1 < rows else 1):
            for right in range(-1 if col > 0 else 0, 2 if col + 1 < cols else 1):
                ahead = cell + down * cols + right
                own = ground[ahead] + line_height
                if ahead == cell or not here < need[ahead] or np.isnan(own):
                    continue
                best, whence = np.inf, np.int64(-1)
                tall, wide = turn_row - row - down, turn_col - col - right
                far, near, step_far, step_near = frame(tall, wide, cols)
                # only a neighbour beside the line can hand the point on
                if far > 1 and (cell == ahead + step_far or (near > 0 and cell == ahead + step_far + step_near)):
                    rise = slope * math.sqrt((tall * cell_y) ** 2 + (wide * cell_x) ** 2)
                    if need[turn] + rise < need[ahead] and in_sight(
                        level, root, state, labelled, ahead, turn, far, near, step_far, step_near,
                        need[turn] - line_height, rise,
                    ):  # fmt: skip
                        best, whence = need[turn] + rise, turn
                if whence < 0:
                    rise = slope * (diagonal if down and right else cell_y if down else cell_x)
                    best, whence = here + rise, cell
                    if down and right:
                        # over a corner goes the way past the lower of the two cells beside it; NaN is a wall there
                        a, b = level[cell + down * cols], level[cell + right]
                        corner = (a if a <= b or np.isnan(b) else b) + line_height + rise / 2.0
                        if not corner <= best:
                            best, whence = np.inf if np.isnan(corner) else corner, ahead
                if own > best:
                    best, whence = own, ahead
                if best < need[ahead] - BETTER_M:
                    need[ahead], root[ahead] = best, whence
                    if level[ahead] < np.inf:
                        state[ahead] = WAITS
                        put(heads, slot_cell, slot_next, marks, scale, ahead, best)
                    else:
                        state[ahead] = LEAF
    return MORE
