"""What lies round corners: ways that go on from the cells in sight, turning where something bars the straight line.

Each cell remembers the turning point of its way, and its distance is that point's distance plus the straight line. Is
the turning point of a neighbour not in sight, the way turns at the neighbour. Cells are settled by distance.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_queue import LIVE, put, take, turn_over
from gardenwater.reach.kernels_sight import DONE, FLOWS, QUEUED, frame, in_sight, least_along
from gardenwater.work import kernel

FINISHED, MORE, GROW = 0, 1, 2
_BETTER = 1.0 - 1e-6


@kernel
def seed(
    level, state, root, way, place, a_way, slope, opened, have,
    heads, slot_cell, slot_next, marks, scale, first, end,
):  # fmt: skip
    """Queue the open cells beside those that have a way, rows `first` to `end`; returns the row that it came to.

    opened, have: bits of cells that may be entered and of cells with a way. Comes back early when slots run out.
    """
    rows, cols, _, cell_x, cell_y, _, _ = place
    for row in range(first, end):
        if slot_cell.size - marks[LIVE] < cols:
            return row
        for col in range(cols):
            cell = row * cols + col
            if state[cell] & have or not state[cell] & opened:
                continue
            best, turn = np.inf, -1
            for down in range(-1, 2):
                for right in range(-1, 2):
                    if not (0 <= row + down < rows and 0 <= col + right < cols):
                        continue
                    near = cell + down * cols + right
                    if not state[near] & have:
                        continue
                    length = way[near] + math.sqrt((down * cell_y) ** 2 + (right * cell_x) ** 2)
                    limit = a_way - slope * length
                    if length >= best or not level[cell] <= limit:
                        continue
                    if down and right and not (level[cell + down * cols] <= limit or level[cell + right] <= limit):
                        continue
                    best, turn = length, near
            if turn >= 0:
                way[cell], root[cell] = best, turn
                state[cell] = (state[cell] | QUEUED) & ~DONE
                put(heads, slot_cell, slot_next, marks, scale, cell, best)
    return end


@kernel
def spread(
    level, state, root, way, margin, flow, table, law, place, a_way, slope, have, mark,
    heads, slot_cell, slot_next, marks, scale, budget,
):  # fmt: skip
    """Settle up to `budget` queued cells and queue their neighbours; FINISHED, MORE to do, or GROW the slots.

    One loop over the eight neighbours, as in `kernels_sweep`. a_way, slope: a cell is entered while its level is at
    most a_way - slope x way. have: bits of cells with a way; mark: the bit that a settled cell gets.
    """
    rows, cols, tank, cell_x, cell_y, _, _ = place
    labelled = have | QUEUED
    while budget > 0:
        if slot_cell.size - marks[LIVE] < 8:
            return GROW
        cell = take(heads, slot_cell, slot_next, marks)
        if cell < 0:
            if turn_over(heads, slot_cell, slot_next, marks, scale, way, state, QUEUED):
                continue
            return FINISHED
        if not state[cell] & QUEUED:
            continue
        budget -= 1
        here = np.float64(way[cell])
        turn = root[cell]
        row, col = cell // cols, cell % cols
        turn_row, turn_col = turn // cols, turn % cols
        far, near, step_far, step_near = frame(cell, turn, cols)
        least = np.float32(law[0] - law[1] * here - level[cell])
        slowest = flow_at(table, law[2] - level[cell], here)
        margin[cell], flow[cell] = least_along(
            level, root, state, margin, flow, table, cell, turn, far, near, step_far, step_near,
            way[turn], here - way[turn], law, mark == FLOWS, least, slowest,
        )  # fmt: skip
        state[cell] = (state[cell] & ~QUEUED) | mark | DONE
        for down in range(-1, 2):
            for right in range(-1, 2):
                if not (0 <= row + down < rows and 0 <= col + right < cols):
                    continue
                ahead = cell + down * cols + right
                z = level[ahead]
                known = state[ahead] & labelled
                if not z <= a_way or ahead == cell or (known and way[ahead] <= here):
                    continue
                if turn != tank:
                    tall, wide = turn_row - row - down, turn_col - col - right
                    back_y = cols if tall > 0 else -cols
                    back_x = 1 if wide > 0 else -1
                    if abs(tall) >= abs(wide):
                        far, near, step_far, step_near = abs(tall), abs(wide), back_y, back_x
                    else:
                        far, near, step_far, step_near = abs(wide), abs(tall), back_x, back_y
                    # only a neighbour beside the line can hand the turning point on
                    if cell == ahead + step_far or (near > 0 and cell == ahead + step_far + step_near):
                        straight = math.sqrt((tall * cell_y) ** 2 + (wide * cell_x) ** 2)
                        length = way[turn] + straight
                        if (known and length >= way[ahead] * _BETTER) or z > a_way - slope * length:
                            continue
                        if in_sight(
                            level, root, state, labelled, ahead, turn, far, near, step_far, step_near,
                            a_way - slope * way[turn], -slope * straight,
                        ):  # fmt: skip
                            way[ahead], root[ahead] = length, turn
                            state[ahead] = (state[ahead] | QUEUED) & ~DONE
                            put(heads, slot_cell, slot_next, marks, scale, ahead, length)
                            continue
                length = here + math.sqrt((down * cell_y) ** 2 + (right * cell_x) ** 2)
                limit = a_way - slope * length
                if (known and length >= way[ahead] * _BETTER) or z > limit:
                    continue
                if down and right and not (level[cell + down * cols] <= limit or level[cell + right] <= limit):
                    continue
                way[ahead], root[ahead] = length, cell
                state[ahead] = (state[ahead] | QUEUED) & ~DONE
                put(heads, slot_cell, slot_next, marks, scale, ahead, length)
    return MORE
