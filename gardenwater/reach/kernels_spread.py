"""What lies round corners: ways that go on from the cells in sight, turning where something bars the straight line.

Each cell remembers the turning point of its way, and its distance is that point's distance plus the straight line. Is
the turning point of a neighbour not in sight, the way turns at the neighbour. Cells are settled by distance.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_queue import put, room, take, turn_over
from gardenwater.reach.kernels_records import Buckets, Cells, Errors, Floats, Index, Law, Number, Place, Stage
from gardenwater.reach.kernels_sight import (
    DONE,
    FLOWS,
    QUEUED,
    error_at,
    frame,
    in_sight,
    least_along,
    row_col,
    taken_over,
)
from gardenwater.work import kernel, kernel_part

FINISHED, MORE, GROW = 0, 1, 2

_NOTHING = np.uint8(0)
_BETTER = 1.0 - 1e-6
_PULL_CELLS = 32
_PULL_NEAR = 5
_WORTH_CELLS = 0.03


@kernel_part
def _lead(cells: Cells, queue: Buckets, cell: int, turn: Index, length: Number) -> None:
    """Give a cell a way and let it wait."""
    cells.way[cell] = length
    cells.root[cell] = turn
    cells.state[cell] = (cells.state[cell] | QUEUED) & ~DONE
    put(queue, cell, length)


@kernel
def seed(cells: Cells, place: Place, stage: Stage, queue: Buckets, first: int, end: int) -> int:
    """Queue the open cells beside those that have a way, rows `first` to `end`; returns the row that it came to.

    Comes back early when there is no room.
    """
    level, state, way = cells.level, cells.state, cells.way
    rows, cols = place.rows, place.cols
    for row in range(first, end):
        if room(queue) < cols:
            return row
        for col in range(cols):
            cell = row * cols + col
            if state[cell] & stage.have or not state[cell] & stage.opened:
                continue
            best, turn = np.inf, -1
            for down in range(-1 if row > 0 else 0, 2 if row + 1 < rows else 1):
                for right in range(-1 if col > 0 else 0, 2 if col + 1 < cols else 1):
                    near = cell + down * cols + right
                    if not state[near] & stage.have:
                        continue
                    step = math.sqrt((down * place.cell_y) ** 2 + (right * place.cell_x) ** 2)
                    length = way[near] + step
                    limit = stage.a_way - stage.slope * length
                    if length >= best or not level[cell] <= limit:
                        continue
                    corner = limit + stage.slope * step / 2.0
                    if down and right and not (level[cell + down * cols] <= corner or level[cell + right] <= corner):
                        continue
                    best, turn = length, near
            if turn >= 0:
                _lead(cells, queue, cell, turn, best)
    return end


@kernel_part
def _pull(cells: Cells, place: Place, stage: Stage, cell: int) -> None:
    """Turn earlier on the straight piece before the turning point, as far back as the cell has it in sight.

    For cells close to a turning point, where the way has just met a corner; the cells beyond inherit what is found.
    """
    level, state, root, way = cells.level, cells.state, cells.root, cells.way
    cols = place.cols
    per_col = 1.0 / cols
    worth = _WORTH_CELLS * min(place.cell_x, place.cell_y)
    turn = root[cell]
    before = root[turn]
    row, col = row_col(cell, cols, per_col)
    turn_row, turn_col = row_col(turn, cols, per_col)
    before_row, before_col = row_col(before, cols, per_col)
    back_far, back_near, back_step_far, back_step_near = frame(before_row - turn_row, before_col - turn_col, cols)
    at, between = int(turn), 0
    for _ in range(min(back_far, _PULL_CELLS)):
        at += back_step_far
        between += back_near
        if between >= back_far:
            between -= back_far
            at += back_step_near
        earlier = at + back_step_near if 2 * between >= back_far else at
        straight_there = state[earlier] & (stage.have | QUEUED) and (root[earlier] == before or earlier == before)
        if earlier == place.tank or not straight_there:
            break
        earlier_row, earlier_col = row_col(earlier, cols, per_col)
        tall, wide = earlier_row - row, earlier_col - col
        straight = math.sqrt((tall * place.cell_y) ** 2 + (wide * place.cell_x) ** 2)
        length = way[earlier] + straight
        if not length < way[cell] - worth:
            break
        # walked from the turning point: what bars the line stands beside the corner
        line = frame(-tall, -wide, cols)
        limit, rise = stage.a_way - stage.slope * length, stage.slope * straight
        if not in_sight(level, root, state, _NOTHING, earlier, cell, line, limit, rise):
            break
        way[cell], root[cell] = length, earlier


@kernel
def spread(
    cells: Cells, table: Floats, law: Law, errors: Errors, place: Place, stage: Stage, queue: Buckets, budget: int
) -> int:
    """Settle up to `budget` queued cells and queue their neighbours; FINISHED, MORE to do, or GROW the queue.

    One loop over the eight neighbours, as in `kernels_sweep`.
    """
    level, state, root, way = cells.level, cells.state, cells.root, cells.way
    rows, cols = place.rows, place.cols
    a_way, slope, flows = stage.a_way, stage.slope, stage.mark & FLOWS
    labelled = stage.have | QUEUED
    per_col = 1.0 / cols
    diagonal = math.sqrt(place.cell_x**2 + place.cell_y**2)
    while budget > 0:
        if room(queue) < 8:
            return GROW
        cell = take(queue)
        if cell < 0:
            if turn_over(queue, way, state, QUEUED):
                continue
            return FINISHED
        if not state[cell] & QUEUED:
            continue
        budget -= 1
        row, col = row_col(cell, cols, per_col)
        turn_row, turn_col = row_col(root[cell], cols, per_col)
        if abs(turn_row - row) <= _PULL_NEAR and abs(turn_col - col) <= _PULL_NEAR:
            _pull(cells, place, stage, cell)
            turn_row, turn_col = row_col(root[cell], cols, per_col)
        here = np.float64(way[cell])
        turn = root[cell]
        way_turn = np.float64(way[turn])
        line = frame(turn_row - row, turn_col - col, cols)
        # as in `kernels_sweep`: both cells beside the line tell, nearly everywhere
        far, near, step_far, step_near = line
        a = cell + step_far
        b = a if near == 0 else a + step_near
        a = b if near == far else a
        least = law.a_way - law.slope * here - level[cell]
        sure = least - error_at(errors, cell, here) if flows else 0.0
        slowest = flow_at(table, law.head_way - level[cell], here)
        enough = False
        if root[a] == turn and root[b] == turn and state[a] & state[b] & DONE:
            enough, least, sure, slowest = taken_over(cells, a, b, near / far, flows, least, sure, slowest)
        if not enough:
            least, sure, slowest = least_along(cells, table, law, errors, cell, line, way_turn, here - way_turn, flows)
        cells.margin[cell], cells.sure[cell], cells.flow[cell] = least, sure, slowest
        state[cell] = (state[cell] & ~QUEUED) | stage.mark | DONE
        for down in range(-1 if row > 0 else 0, 2 if row + 1 < rows else 1):
            for right in range(-1 if col > 0 else 0, 2 if col + 1 < cols else 1):
                ahead = cell + down * cols + right
                if state[ahead] & stage.final:
                    continue
                z = level[ahead]
                known = way[ahead] * _BETTER if state[ahead] & labelled else np.inf
                if not (z <= a_way and here < known):
                    continue
                tall, wide = turn_row - row - down, turn_col - col - right
                line = frame(tall, wide, cols)
                _, near, step_far, step_near = line
                # only a neighbour beside the line can hand the turning point on
                if cell == ahead + step_far or (near > 0 and cell == ahead + step_far + step_near):
                    straight = math.sqrt((tall * place.cell_y) ** 2 + (wide * place.cell_x) ** 2)
                    length = way_turn + straight
                    if not (length < known and z <= a_way - slope * length):
                        continue
                    limit = a_way - slope * way_turn
                    if in_sight(level, root, state, labelled, ahead, turn, line, limit, -slope * straight):
                        _lead(cells, queue, ahead, turn, length)
                        continue
                length = here + (diagonal if down and right else place.cell_y if down else place.cell_x)
                limit = a_way - slope * length
                if not (length < known and z <= limit):
                    continue
                corner = limit + slope * diagonal / 2.0
                if down and right and not (level[cell + down * cols] <= corner or level[cell + right] <= corner):
                    continue
                _lead(cells, queue, ahead, cell, length)
    return MORE
