"""What lies round corners: ways that go on from the cells in sight, turning where something bars the straight line.

Each cell remembers the turning point of its way, and its distance is that point's distance plus the straight line. Is
the turning point of a neighbour not in sight, the way turns at the neighbour. Cells are settled by distance.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_queue import LIVE, put, take, turn_over
from gardenwater.reach.kernels_sight import DONE, FLOWS, QUEUED, frame, in_sight, least_along, row_col
from gardenwater.work import kernel

FINISHED, MORE, GROW = 0, 1, 2
BETTER = 1.0 - 1e-6
PULL_CELLS = 32
PULL_NEAR = 5
WORTH_CELLS = 0.03
NOTHING = np.uint8(0)


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
                    corner = limit + slope * (length - way[near]) / 2.0
                    if down and right and not (level[cell + down * cols] <= corner or level[cell + right] <= corner):
                        continue
                    best, turn = length, near
            if turn >= 0:
                way[cell], root[cell] = best, turn
                state[cell] = (state[cell] | QUEUED) & ~DONE
                put(heads, slot_cell, slot_next, marks, scale, cell, best)
    return end


@kernel
def pull(level, root, state, way, place, labelled, a_way, slope, cell):
    """Turn earlier on the straight piece before the turning point, as far back as the cell has it in sight.

    A way that turns right beside a cell has met a corner there; the cells beyond inherit what is found here.
    """
    _, cols, tank, cell_x, cell_y, _, _ = place
    per_col = 1.0 / cols
    row, col = row_col(cell, cols, per_col)
    turn = root[cell]
    before = root[turn]
    worth = WORTH_CELLS * min(cell_x, cell_y)
    turn_row, turn_col = row_col(turn, cols, per_col)
    before_row, before_col = row_col(before, cols, per_col)
    back_far, back_near, back_step_far, back_step_near = frame(before_row - turn_row, before_col - turn_col, cols)
    at, between = np.int64(turn), 0
    for _ in range(min(back_far, PULL_CELLS)):
        at += back_step_far
        between += back_near
        if between >= back_far:
            between -= back_far
            at += back_step_near
        earlier = at + back_step_near if 2 * between >= back_far else at
        if earlier == tank or not (state[earlier] & labelled and (root[earlier] == before or earlier == before)):
            break
        earlier_row, earlier_col = row_col(earlier, cols, per_col)
        tall, wide = earlier_row - row, earlier_col - col
        straight = math.sqrt((tall * cell_y) ** 2 + (wide * cell_x) ** 2)
        length = way[earlier] + straight
        if not length < way[cell] - worth:
            break
        # walked from the turning point: what bars the line stands beside the corner
        far, near, step_far, step_near = frame(-tall, -wide, cols)
        if not in_sight(
            level, root, state, NOTHING, earlier, cell, far, near, step_far, step_near,
            a_way - slope * length, slope * straight,
        ):  # fmt: skip
            break
        way[cell], root[cell] = length, earlier


@kernel
def spread(
    level, state, root, way, margin, flow, table, law, place, a_way, slope, have, final, mark,
    heads, slot_cell, slot_next, marks, scale, budget,
):  # fmt: skip
    """Settle up to `budget` queued cells and queue their neighbours; FINISHED, MORE to do, or GROW the slots.

    One loop over the eight neighbours, as in `kernels_sweep`. a_way, slope: a cell is entered while its level is at
    most a_way - slope x way. have: bits of cells with a way; final: of those whose way stays as it is; mark: the
    bit that a settled cell gets.
    """
    rows, cols, _, cell_x, cell_y, _, _ = place
    labelled = have | QUEUED
    per_col = 1.0 / cols
    diagonal = math.sqrt(cell_x * cell_x + cell_y * cell_y)
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
        row, col = row_col(cell, cols, per_col)
        turn_row, turn_col = row_col(root[cell], cols, per_col)
        if abs(turn_row - row) <= PULL_NEAR and abs(turn_col - col) <= PULL_NEAR:
            pull(level, root, state, way, place, labelled, a_way, slope, cell)
            turn_row, turn_col = row_col(root[cell], cols, per_col)
        here = np.float64(way[cell])
        turn = root[cell]
        far, near, step_far, step_near = frame(turn_row - row, turn_col - col, cols)
        least = np.float32(law[0] - law[1] * here - level[cell])
        slowest = flow_at(table, law[2] - level[cell], here)
        margin[cell], flow[cell] = least_along(
            level, root, state, margin, flow, table, cell, turn, far, near, step_far, step_near,
            way[turn], here - way[turn], law, mark == FLOWS, least, slowest,
        )  # fmt: skip
        state[cell] = (state[cell] & ~QUEUED) | mark | DONE
        way_turn = np.float64(way[turn])
        limit_turn = a_way - slope * way_turn
        for down in range(-1 if row > 0 else 0, 2 if row + 1 < rows else 1):
            for right in range(-1 if col > 0 else 0, 2 if col + 1 < cols else 1):
                ahead = cell + down * cols + right
                if state[ahead] & final:
                    continue
                z = level[ahead]
                known = way[ahead] * BETTER if state[ahead] & labelled else np.inf
                if not (z <= a_way and here < known):
                    continue
                tall, wide = turn_row - row - down, turn_col - col - right
                far, near, step_far, step_near = frame(tall, wide, cols)
                # only a neighbour beside the line can hand the turning point on
                if cell == ahead + step_far or (near > 0 and cell == ahead + step_far + step_near):
                    straight = math.sqrt((tall * cell_y) ** 2 + (wide * cell_x) ** 2)
                    length = way_turn + straight
                    if not (length < known and z <= a_way - slope * length):
                        continue
                    if in_sight(
                        level, root, state, labelled, ahead, turn, far, near, step_far, step_near,
                        limit_turn, -slope * straight,
                    ):  # fmt: skip
                        way[ahead], root[ahead] = length, turn
                        state[ahead] = (state[ahead] | QUEUED) & ~DONE
                        put(heads, slot_cell, slot_next, marks, scale, ahead, length)
                        continue
                length = here + (diagonal if down and right else cell_y if down else cell_x)
                limit = a_way - slope * length
                if not (length < known and z <= limit):
                    continue
                corner = limit + slope * diagonal / 2.0
                if down and right and not (level[cell + down * cols] <= corner or level[cell + right] <= corner):
                    continue
                way[ahead], root[ahead] = length, cell
                state[ahead] = (state[ahead] | QUEUED) & ~DONE
                put(heads, slot_cell, slot_next, marks, scale, ahead, length)
    return MORE
