"""Sight lines over cells: what lies between a cell and the turning point of its way.

Cells are counted from a cell towards its turning point: `far` steps along the axis on which the two are farther apart,
`near` along the other; `step_far` and `step_near` are the flat offsets of one step. A line from centre to centre
crosses one or two cells at each far step. Where it goes exactly through a corner, one of the two cells beside the
corner must let it pass. All of that is in whole numbers, so that mirrored and turned grounds give the same answers.

A cell's state, in bits. OPEN, OPEN_STILL: its level lets the wanted flow, standing water pass, if it gets there
straight from the tank. FLOWS: the wanted flow gets there. STILL: the tank is in sight of standing water. CREPT:
standing water gets there round corners. QUEUED: it waits in the queue. DONE: its margin and flow are worked out.
"""

from __future__ import annotations

import numpy as np

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.work import kernel

FLOWS = np.uint8(1)
STILL = np.uint8(2)
OPEN = np.uint8(4)
OPEN_STILL = np.uint8(8)
CREPT = np.uint8(16)
QUEUED = np.uint8(32)
DONE = np.uint8(64)
IN_SIGHT = np.uint8(3)

MARGIN_AGREES_M = np.float32(0.005)
FLOW_AGREES = np.float32(0.01)


@kernel
def row_col(cell, cols, per_col):
    """Row and column of a cell. per_col: 1 / cols; whole-number division would cost more than all else that is done."""
    row = np.int64((cell + 0.5) * per_col)
    return row, cell - row * cols


@kernel
def frame(down, right, cols):
    """far, near, step_far, step_near of the way from a cell to one so many rows and columns away."""
    step_y = cols if down > 0 else -cols
    step_x = 1 if right > 0 else -1
    if abs(down) >= abs(right):
        return abs(down), abs(right), step_y, step_x
    return abs(right), abs(down), step_x, step_y


@kernel
def in_sight_of_tank(state, cell, far, near, step_far, step_near, asked):
    """Which of the bits `asked` (FLOWS, STILL) have the tank in sight. All nearer cells must be settled.

    Ends where the two cells beside the line agree: when both see the tank so does the line between them, as no cell
    fits between two lines that are less than a cell apart; when neither does, a slit finer than a cell is given up.
    """
    seen = np.uint8(0)
    entry, over = _first_entry(far, near)
    here, between = cell, 0
    at = cell + entry * step_near
    for i in range(1, far + 1):
        at += step_far
        if over == 0 and near > 0:
            asked &= (state[at - step_far] | state[at - step_near]) >> 2
        if i == far:
            return seen | asked
        here += step_far
        between += near
        if between >= far:
            between -= far
            here += step_near
        there = state[here + step_near] if between else state[here]
        seen |= asked & state[here] & there
        asked &= state[here] ^ there
        if asked == 0:
            break
        asked &= state[at] >> 2
        over += 2 * near
        if over >= 2 * far:
            over -= 2 * far
            at += step_near
            if over > 0:
                asked &= state[at] >> 2
    return seen


@kernel
def _first_entry(far, near):
    """Where the line enters the first row beyond its cell: column, and twice how far beyond that cell's edge.

    In halves of a `far`-th of a cell, so that it stays whole: 0 over the edge is a corner.
    """
    return (1, 0) if near == far else (0, near + far)


@kernel
def in_sight(level, root, state, labelled, cell, turn, far, near, step_far, step_near, limit, rise):
    """Whether a turning point is in sight of a cell: nothing on the line is higher than the water may be there.

    limit: level that may be at the turning point; rise: what is added to it along the whole line to the cell. Ends as
    soon as the cells beside the line have that turning point too (`labelled`: bits of cells whose root counts).
    """
    entry, over = _first_entry(far, near)
    here, between = cell, 0
    at = cell + entry * step_near
    per_step = rise / far
    for i in range(1, far + 1):
        at += step_far
        if over == 0 and near > 0:
            least = limit + per_step * (far - i + 0.5)
            if not (level[at - step_far] <= least or level[at - step_near] <= least):
                return False
        if i == far:
            break
        here += step_far
        between += near
        if between >= far:
            between -= far
            here += step_near
        if root[here] == turn and state[here] & labelled:
            there = here + step_near if between else here
            if root[there] == turn and state[there] & labelled:
                break
        least = limit + per_step * (far - i)
        if not level[at] <= least:
            return False
        over += 2 * near
        if over >= 2 * far:
            over -= 2 * far
            at += step_near
            if over > 0 and not level[at] <= least:
                return False
    return True


@kernel
def taken_over(m_a, m_b, q_a, q_b, share, flows, least, slowest):
    """Least margin and flow after those of two cells beside the line, and whether the two tell enough.

    They do when they agree, or when nothing less can come from them. share: how near the line passes to b. flows:
    whether the margin counts, which it does where the wanted flow gets.
    """
    if least <= min(m_a, m_b) and slowest <= min(q_a, q_b):
        return True, least, slowest
    if (not flows or abs(m_a - m_b) <= MARGIN_AGREES_M) and abs(q_a - q_b) <= FLOW_AGREES * min(q_a, q_b):
        return True, min(least, m_a + share * (m_b - m_a)), min(slowest, q_a + share * (q_b - q_a))
    return False, least, slowest


@kernel
def least_along(
    level, root, state, margin, flow, table, cell, turn, far, near, step_far, step_near, way, length, law,
    flows, least, slowest,
):  # fmt: skip
    """Least margin and flow of all points of the way: of the cell itself (`least`, `slowest`), and of what lies before.

    way: to the turning point; length: from there to the cell, m. Goes back along the line until the two cells beside
    it tell enough, at the latest to the turning point.
    """
    a_way, slope, head_way = law[0], law[1], law[2]
    here, between = cell, 0
    for i in range(1, far):
        here += step_far
        between += near
        if between >= far:
            between -= far
            here += step_near
        if root[here] == turn and state[here] & DONE:
            there = here + step_near if between else here
            if root[there] == turn and state[there] & DONE:
                share = np.float32(between / far)
                enough, least, slowest = taken_over(
                    margin[here], margin[there], flow[here], flow[there], share, flows, least, slowest
                )
                if enough:
                    return least, slowest
        z = level[here + step_near] if 2 * between >= far else level[here]
        distance = way + length * (far - i) / far
        least = min(least, np.float32(a_way - slope * distance - z))
        slowest = min(slowest, flow_at(table, head_way - z, distance))
    return min(least, margin[turn]), min(slowest, flow[turn])
