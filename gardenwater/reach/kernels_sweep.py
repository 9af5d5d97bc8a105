"""All that lies in straight sight of the tank, in one sweep outwards: most of the ground.

A cell's straight way is the shortest there can be, so where it is open nothing needs to be compared or queued. Whether
the tank is in sight is handed on from the two nearer cells beside the line; only where they disagree is the line
walked. It costs a tenth of a queue.
"""

from __future__ import annotations

import math

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_records import Cells, Errors, Floats, Law, Place
from gardenwater.reach.kernels_sight import (
    DONE,
    FLOWS,
    IN_SIGHT,
    OPEN,
    OPEN_STILL,
    error_at,
    in_sight_of_tank,
    least_along,
    taken_over,
)
from gardenwater.work import kernel


@kernel
def sweep(cells: Cells, table: Floats, law: Law, errors: Errors, place: Place, first: int, end: int) -> None:
    """Settle rows `first` to `end`, counted from the tank's row to the north edge and then from there to the south.

    One loop, as each cell takes six arrays at three places. The tank's own cell is settled before.
    """
    level, state = cells.level, cells.state
    a_way, slope, head_way = law.a_way, law.slope, law.head_way
    cols, tank = place.cols, place.tank
    row_0, col_0 = tank // cols, tank % cols
    for step in range(first, end):
        row = row_0 - step if step <= row_0 else step
        inwards = 0 if row == row_0 else (cols if row < row_0 else -cols)
        tall = abs(row - row_0)
        y = (row - row_0) * place.cell_y - place.off_y
        # the tank's column goes first: the cells beside it look back at it
        for side in range(1, -2, -2):
            wide = 0 if side == 1 else 1
            col = col_0 + side * wide
            while 0 <= col < cols:
                cell = row * cols + col
                z = level[cell]
                if z <= head_way and cell != tank:
                    x = (col - col_0) * place.cell_x - place.off_x
                    length = math.sqrt(x * x + y * y)
                    spare = a_way - slope * length - z
                    opened = OPEN_STILL | OPEN if spare >= 0.0 else OPEN_STILL
                    line = (tall, wide, inwards, -side) if tall >= wide else (wide, tall, -side, inwards)
                    far, near, step_far, step_near = line
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
                            seen |= in_sight_of_tank(state, cell, line, asked)
                    elif near == far:
                        seen &= (state[cell + step_far] | state[cell + step_near]) >> 2
                    state[cell] = opened
                    if seen:
                        cells.way[cell] = length
                        cells.root[cell] = tank
                        enough = False
                        flows = seen & FLOWS
                        least, slowest = spare, flow_at(table, head_way - z, length)
                        sure = spare - error_at(errors, cell, length) if flows else 0.0
                        if state[a] & state[b] & DONE:
                            share = near / far if a != b else 0.0
                            enough, least, sure, slowest = taken_over(cells, a, b, share, flows, least, sure, slowest)
                        if not enough:
                            least, sure, slowest = least_along(
                                cells, table, law, errors, cell, line, 0.0, length, flows
                            )
                        cells.margin[cell] = least
                        cells.sure[cell] = sure
                        cells.flow[cell] = slowest
                        state[cell] = opened | seen | DONE
                col += side
                wide += 1
