"""The needed level, backwards from a delivery spot: what the water must have had before it got here.

A cell remembers the point from which its needed level counts: a turning point, or a cell whose own ground asks for more
than what lies behind it does. From there it rises with the friction along the straight line, as far as nothing on the
line asks for more. Cells are settled by needed level.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.reach.kernels_queue import put, room, take, turn_over
from gardenwater.reach.kernels_records import Bits, Buckets, Doubles, Floats, Ints, Place
from gardenwater.reach.kernels_sight import frame, in_sight, row_col
from gardenwater.work import kernel

HAS = np.uint8(1)
WAITS = np.uint8(2)
LEAF = np.uint8(4)
FINISHED, MORE, GROW = 0, 1, 2

_BETTER_M = 1e-7


@kernel
def spread_back(
    level: Floats, ground: Floats, state: Bits, root: Ints, need: Doubles,
    place: Place, slope: float, line_height: float, queue: Buckets, budget: int,
) -> int:  # fmt: skip
    """Settle up to `budget` queued cells; FINISHED, MORE to do, or GROW the queue.

    level: the ground with barriers infinite; ground: without them; all flat. A cell on a barrier gets a level, as a
    tank may stand on it, and hands nothing on. One loop over the eight neighbours, as each needs all the arrays.
    """
    rows, cols = place.rows, place.cols
    per_col = 1.0 / cols
    diagonal = math.sqrt(place.cell_x**2 + place.cell_y**2)
    labelled = HAS | WAITS
    while budget > 0:
        if room(queue) < 8:
            return GROW
        cell = take(queue)
        if cell < 0:
            if turn_over(queue, need, state, WAITS):
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
                best, whence = np.inf, -1
                tall, wide = turn_row - row - down, turn_col - col - right
                line = frame(tall, wide, cols)
                far, near, step_far, step_near = line
                # only a neighbour beside the line can hand the point on
                if far > 1 and (cell == ahead + step_far or (near > 0 and cell == ahead + step_far + step_near)):
                    rise = slope * math.sqrt((tall * place.cell_y) ** 2 + (wide * place.cell_x) ** 2)
                    if need[turn] + rise < need[ahead] and in_sight(
                        level, root, state, labelled, ahead, turn, line, need[turn] - line_height, rise
                    ):
                        best, whence = need[turn] + rise, int(turn)
                if whence < 0:
                    rise = slope * (diagonal if down and right else place.cell_y if down else place.cell_x)
                    best, whence = here + rise, cell
                    if down and right:
                        # over a corner goes the way past the lower of the two cells beside it; NaN is a wall there
                        a, b = level[cell + down * cols], level[cell + right]
                        corner = (a if a <= b or np.isnan(b) else b) + line_height + rise / 2.0
                        if not corner <= best:
                            best, whence = np.inf if np.isnan(corner) else corner, ahead
                if own > best:
                    best, whence = own, ahead
                if best < need[ahead] - _BETTER_M:
                    need[ahead], root[ahead] = best, whence
                    if level[ahead] < np.inf:
                        state[ahead] = WAITS
                        put(queue, ahead, best)
                    else:
                        state[ahead] = LEAF
    return MORE
