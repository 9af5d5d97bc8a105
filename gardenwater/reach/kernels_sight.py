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

import math

import numpy as np

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_records import Bits, Cells, Errors, Flag, Floats, Index, Ints, Law, Number
from gardenwater.work import kernel_part

FLOWS = np.uint8(1)
STILL = np.uint8(2)
OPEN = np.uint8(4)
OPEN_STILL = np.uint8(8)
CREPT = np.uint8(16)
QUEUED = np.uint8(32)
DONE = np.uint8(64)
IN_SIGHT = np.uint8(3)

Frame = tuple[int, int, int, int]
"""far, near, step_far, step_near."""

MARGIN_AGREES_M = np.float32(0.005)
MARGIN_AGREES = np.float32(0.03)
FLOW_AGREES = np.float32(0.02)


@kernel_part
def row_col(cell: Index, cols: int, per_col: float) -> tuple[int, int]:
    """Row and column of a cell. per_col: 1 / cols; whole-number division would cost more than all else that is done."""
    row = int((cell + 0.5) * per_col)
    return row, int(cell - row * cols)


@kernel_part
def frame(down: int, right: int, cols: int) -> Frame:
    """The way from a cell to one so many rows and columns away."""
    step_y = cols if down > 0 else -cols
    step_x = 1 if right > 0 else -1
    if abs(down) >= abs(right):
        return abs(down), abs(right), step_y, step_x
    return abs(right), abs(down), step_x, step_y


@kernel_part
def _first_entry(far: int, near: int) -> tuple[int, int]:
    """Where the line enters the first row beyond its cell: column, and twice how far beyond that cell's edge.

    In parts of a cell, `far` of them to a half, so that it stays whole: 0 beyond the edge is a corner.
    """
    return (1, 0) if near == far else (0, near + far)


@kernel_part
def in_sight_of_tank(state: Bits, cell: int, line: Frame, asked: Flag) -> Flag:
    """Which of the bits `asked` (FLOWS, STILL) have the tank in sight. All nearer cells must be settled.

    Ends where the two cells beside the line agree: when both see the tank so does the line between them, as no cell
    fits between two lines that are less than a cell apart; when neither does, a slit finer than a cell is given up.
    """
    far, near, step_far, step_near = line
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


@kernel_part
def in_sight(
    level: Floats, root: Ints, state: Bits, labelled: Flag, cell: Index, turn: Index,
    line: Frame, limit: Number, rise: Number,
) -> bool:  # fmt: skip
    """Whether a turning point is in sight of a cell: nothing on the line is higher than the water may be there.

    limit: level that may be at the turning point; rise: what is added to it along the whole line to the cell. Ends as
    soon as the cells beside the line have that turning point too (`labelled`: bits of cells whose root counts).
    """
    far, near, step_far, step_near = line
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


@kernel_part
def error_at(errors: Errors, cell: int, distance: Number) -> Number:
    """One standard error of a cell's level relative to the tank's, so far along the way, m; NaN where not known."""
    own = np.float64(errors.level[cell]) if errors.level.size > 0 else errors.usual
    step = (distance + errors.before) * errors.per_m
    at = int(step)
    alike = 0.0
    if at < errors.alike.size - 1:
        alike = errors.alike[at] + (step - at) * (errors.alike[at + 1] - errors.alike[at])
    return math.sqrt(max(own * own + errors.tank * errors.tank - 2.0 * alike * own * errors.tank, 0.0))


@kernel_part
def _agree(a: np.float32, b: np.float32) -> bool:
    return bool(abs(a - b) <= MARGIN_AGREES_M + MARGIN_AGREES * min(abs(a), abs(b)))


@kernel_part
def taken_over(
    cells: Cells, a: int, b: int, share: float, flows: Flag, least: Number, sure: Number, slowest: Number
) -> tuple[bool, Number, Number, Number]:
    """Least margin, sure margin and flow after those of cells a and b beside the line, and whether the two tell enough.

    They do when they agree (within 5 mm and 3 % of the margins, 2 % of the flow), or when nothing less can come from
    them. share: how near the line passes to b. flows: not 0 where the wanted flow gets, as there the margins count.
    """
    m_a, m_b, q_a, q_b = cells.margin[a], cells.margin[b], cells.flow[a], cells.flow[b]
    s_a, s_b = cells.sure[a], cells.sure[b]
    if slowest <= min(q_a, q_b) and (not flows or (least <= min(m_a, m_b) and sure <= min(s_a, s_b))):
        return True, least, sure, slowest
    if abs(q_a - q_b) <= FLOW_AGREES * min(q_a, q_b) and (not flows or (_agree(m_a, m_b) and _agree(s_a, s_b))):
        return (
            True,
            min(least, m_a + share * (m_b - m_a)),
            min(sure, s_a + share * (s_b - s_a)),
            min(slowest, q_a + share * (q_b - q_a)),
        )
    return False, least, sure, slowest


@kernel_part
def least_along(
    cells: Cells, table: Floats, law: Law, errors: Errors, cell: int, line: Frame, way: Number, length: Number,
    flows: Flag,
) -> tuple[Number, Number, Number]:  # fmt: skip
    """Least margin, margin less error, and flow of all points of the way to a cell, the cell itself among them.

    way: to the turning point; length: from there to the cell, m. Goes back along the line until the two cells beside
    it tell enough, at the latest to the turning point.
    """
    far, near, step_far, step_near = line
    level, root, state = cells.level, cells.root, cells.state
    turn = root[cell]
    least = law.a_way - law.slope * (way + length) - level[cell]
    sure = least - error_at(errors, cell, way + length) if flows else 0.0
    slowest = flow_at(table, law.head_way - level[cell], way + length)
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
                share = between / far
                enough, least, sure, slowest = taken_over(cells, here, there, share, flows, least, sure, slowest)
                if enough:
                    return least, sure, slowest
        passed = here + step_near if 2 * between >= far else here
        z = level[passed]
        distance = way + length * (far - i) / far
        spare = law.a_way - law.slope * distance - z
        least = min(least, spare)
        if flows:
            sure = min(sure, spare - error_at(errors, passed, distance))
        slowest = min(slowest, flow_at(table, law.head_way - z, distance))
    return min(least, cells.margin[turn]), min(sure, cells.sure[turn]), min(slowest, cells.flow[turn])
