"""The cheapest way for a trench that always falls: Dijkstra's search, with the level of the trench's bed carried along.

From cell to cell the bed falls by at least a given slope and lies at least so deep under the ground; a cell is entered
only where the bed would not lie deeper than it may. What a metre costs is the ground's weight times (1 + depth x
`DEEPER`). A cell keeps the cheapest way to it: a dearer one that would have lain higher is not looked at further, so
what is found always falls, and is the cheapest but for ground where only a detour would have kept the bed high enough.

Levels and weights stand in flat arrays with a rim of two cells of weight inf, for the sixteen steps of a knight's move.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.work import kernel, kernel_part

DEEPER = 1.0
"""What each metre of depth adds to the cost of a metre of trench, as a share (judgement, no source)."""

COUNT, DONE = 0, 1
"""What `marks` holds: cells in the heap, and whether the search is over."""

NO_CELL = -1

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]


@kernel_part
def sift_up(heap: Ints, place: Ints, cost: Floats, at: int) -> None:
    """Move a cell of the heap up to where it belongs."""
    cell = heap[at]
    while at > 0:
        above = (at - 1) // 2
        if cost[heap[above]] <= cost[cell]:
            break
        heap[at] = heap[above]
        place[heap[at]] = at
        at = above
    heap[at] = cell
    place[cell] = at


@kernel_part
def take_first(heap: Ints, place: Ints, cost: Floats, count: int) -> int:
    """The cheapest cell of a heap of `count` cells, taken out of it."""
    first, cell = heap[0], heap[count - 1]
    count -= 1
    at = 0
    while True:
        below = 2 * at + 1
        if below >= count:
            break
        if below + 1 < count and cost[heap[below + 1]] < cost[heap[below]]:
            below += 1
        if cost[heap[below]] >= cost[cell]:
            break
        heap[at] = heap[below]
        place[heap[at]] = at
        at = below
    if count > 0:
        heap[at] = cell
        place[cell] = at
    place[first] = -2
    return int(first)


@kernel
def search(
    level: Floats,
    weight: Floats,
    steps: NDArray[np.int64],
    length_m: Floats,
    fall: float,
    cover_m: float,
    deepest_m: float,
    cost: Floats,
    bed_m: Floats,
    before: Ints,
    heap: Ints,
    place: Ints,
    marks: NDArray[np.int64],
    most: int,
) -> None:
    """Settle up to `most` cells. steps: the eight neighbours, then pairs of a knight's move and the two cells it cuts.

    steps: int64 (16, 3), the step and the cells between (0 for none). place: -1 for cells not seen, -2 for settled.
    """
    for _ in range(most):
        if marks[COUNT] == 0:
            marks[DONE] = 1
            return
        cell = take_first(heap, place, cost, marks[COUNT])
        marks[COUNT] -= 1
        for turn in range(16):
            other = cell + steps[turn, 0]
            if place[other] == -2 or not np.isfinite(weight[other]):
                continue
            if not (np.isfinite(weight[cell + steps[turn, 1]]) and np.isfinite(weight[cell + steps[turn, 2]])):
                continue
            bed = min(bed_m[cell] - fall * length_m[turn], level[other] - cover_m)
            deep_m = level[other] - bed
            if deep_m > deepest_m:
                continue
            metre = 0.5 * (weight[cell] + weight[other]) * (1.0 + DEEPER * deep_m)
            whole = cost[cell] + metre * length_m[turn]
            if whole < cost[other]:
                if place[other] == -1:
                    place[other] = marks[COUNT]
                    heap[marks[COUNT]] = other
                    marks[COUNT] += 1
                cost[other], bed_m[other], before[other] = whole, bed, cell
                sift_up(heap, place, cost, place[other])
