"""All that lies in straight sight of the tank, in one sweep outwards: most of the ground, at a tenth of a queue's cost.

A cell's straight way is the shortest there can be, so where it is open nothing needs to be compared or queued. Whether
the tank is in sight is handed on from the two nearer cells beside the line; only where they disagree is the line walked.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_sight import (
    DONE,
    FLOWS,
    IN_SIGHT,
    OPEN,
    OPEN_STILL,
    in_sight_of_tank,
    least_along,
    taken_over,
)
from gardenwater.work import kernel


@kernel
def sweep(level, state, root, way, margin, flow, table, law, place, first, end):
    """Settle rows `first` to `end`, counted from the tank's row to the north edge and then from there to the south.

    One loop, as each cell takes six arrays at three places. level, way, margin, flow: float32, root: int32, state:
    uint8, all flat; law, place: as `passes.Pass` has them. The tank's own cell is settled before.
    """
    a_way, slope, head_way = law[0], law[1], law[2]
    rows, cols, tank, cell_x, cell_y, off_x, off_y = place
    row_0, col_0 = tank // cols, tank % cols
    for step in range(first, end):
        row = row_0 - step if step <= row_0 else step
        inwards = 0 if row == row_0 else (cols if row < row_0 else -cols)
        tall = abs(row - row_0)
        y = (row - row_0) * cell_y - off_y
        # the tank's column goes first: the cells beside it look back at it
        for side in range(1, -2, -2):
            wide = 0 if side == 1 else 1
            col = col_0 + side * wide
            while 0 <= col < cols:
                cell = row * cols + col
                z = level[cell]
                if z <= head_way and cell != tank:
                    x = (col - col_0) * cell_x - off_x
                    length = math.sqrt(x * x + y * y)
                    spare = a_way - slope * length - z
                    opened = OPEN_STILL | OPEN if spare >= 0.0 else OPEN_STILL
                    if tall >= wide:
                        far, near, step_far, step_near = tall, wide, inwards, -side
                    else:
                        far, near, step_far, step_near = wide, tall, -side, inwards
                    a = cell + step_far
                    b = a + step_near
                    if near == 0:
                        b = a
                    elif near == far:
                        a = b
                    seen = state[a] & state[b] & (opened >> 2) & IN_SIGHT
                    if a != b:
                        asked = (state[a] ^ state[b]) & (opened >> 2) & (state[a] >> 2) & IN_SIGHT
                        if asked:
                            seen |= in_sight_of_tank(state, cell, far, near, step_far, step_near, asked)
                    elif near == far:
                        seen &= (state[cell + step_far] | state[cell + step_near]) >> 2
                    state[cell] = opened
                    if seen:
                        enough = False
                        least, slowest = np.float32(spare), flow_at(table, head_way - z, length)
                        if state[a] & state[b] & DONE:
                            share = np.float32(near / far) if a != b else np.float32(0.0)
                            enough, least, slowest = taken_over(
                                margin[a], margin[b], flow[a], flow[b], share, seen & FLOWS, least, slowest
                            )
                        if not enough:
                            least, slowest = least_along(
                                level, root, state, margin, flow, table, cell, tank, far, near, step_far, step_near,
                                0.0, length, law, seen & FLOWS, least, slowest,
                            )  # fmt: skip
                        way[cell] = length
                        root[cell] = tank
                        margin[cell] = least
                        flow[cell] = slowest
                        state[cell] = opened | seen | DONE
                col += side
                wide += 1
