"""The tree of hollows by one sweep from the lowest cell to the highest (depression hierarchy).

Cells join the water that stands beside them as it rises. Where two waters meet is the sill of both: each is a hollow,
and together they are the next one. Barnes, Callaghan and Wickert (2020, doi 10.5194/esurf-8-431-2020) find the sills
first and sort them; here the sweep meets each at its level, and what a hollow holds is summed as the water rises, in
small differences only (count x level - sum of levels would lose the litres of a puddle at 1,000 m above the sea).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.records import Records
from gardenwater.work import kernel, kernel_part

OCEAN = 0
"""The number of what is no hollow: water leaves from there."""

FRESH, QUEUED, BARRED = -1, -2, -3
"""Labels of cells that water has not come to, that wait in a flat, and that it never comes to."""

_DRY = np.uint32(0xFFFFFFFF)
"""No lowest label: negative ones are above all others when taken without their sign."""

POSITION, GROUP_END, SCAN, HEAD, TAIL, STAGE, HOLLOWS, FETCHED, SEEN = 0, 1, 2, 3, 4, 5, 6, 7, 8
_NEXT, _SEEK, _SPREAD = 0, 1, 2

_FEW = 32
"""Cells of one level that are looked at for neighbours one by one."""

_AHEAD = 32
"""Cells that are fetched together: they lie all over a large ground, and memory answers many as soon as one."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@kernel_part
def find(hollows: Records, number: int) -> int:
    """The hollow that now holds a hollow; paths are halved on the way."""
    while hollows[number].up != number:
        hollows[number].up = hollows[hollows[number].up].up
        number = hollows[number].up
    return number


@kernel_part
def rise(hollows: Records, number: int, level_m: float) -> None:
    """Let the water of a hollow rise to a level."""
    hollows[number].columns_m += hollows[number].count * (level_m - hollows[number].last_m)
    hollows[number].last_m = level_m


@kernel_part
def new_hollow(hollows: Records, marks: Ints, level_m: float) -> int:
    """The number of one more hollow, empty."""
    number = marks[HOLLOWS]
    marks[HOLLOWS] = number + 1
    hollows[number].up = number
    hollows[number].parent = -1
    hollows[number].child = 0
    hollows[number].second = 0
    hollows[number].sill = -1
    hollows[number].ways = 0
    hollows[number].count = 0
    hollows[number].own = 0
    hollows[number].last_m = level_m
    hollows[number].columns_m = 0.0
    return int(number)


@kernel_part
def close(hollows: Records, number: int, parent: int, cell: int, level_m: float, ways: int) -> None:
    """A hollow is brimful and runs over at a cell."""
    rise(hollows, number, level_m)
    hollows[number].parent = parent
    hollows[number].up = parent
    hollows[number].sill = cell
    hollows[number].ways = ways


@kernel_part
def unite(
    hollows: Records, marks: Ints, one: int, one_ways: int, other: int, other_ways: int, cell: int, level_m: float
) -> int:
    """Two waters meet at a cell; the number of what they are then. Each leaves by the ways that lead to the other."""
    to_ocean = one == OCEAN or other == OCEAN
    both = OCEAN if to_ocean else new_hollow(hollows, marks, level_m)
    if one != OCEAN:
        close(hollows, one, both, cell, level_m, other_ways)
    if other != OCEAN:
        close(hollows, other, both, cell, level_m, one_ways)
    if not to_ocean:
        hollows[both].child, hollows[both].second = one, other
        hollows[both].count = hollows[one].count + hollows[other].count
        hollows[both].columns_m = hollows[one].columns_m + hollows[other].columns_m
    return both


@kernel_part
def meet(
    cell: int,
    level: NDArray[np.float32],
    label: NDArray[np.int32],
    hollows: Records,
    steps: Ints,
    lengths_m: Floats,
    marks: Ints,
    waters: Floats,
) -> int:
    """Two or more waters meet at a cell; the number of what they are from here on.

    They meet in the order of the steepest step down to each, so that a tie is decided by the ground: what is brimful
    runs over to the steepest of the others. waters: float64 (8, 3), room for number, steepest fall and ways of each.
    """
    level_m = np.float64(level[cell])
    count = 0
    for step in range(8):
        beside = cell + steps[step]
        if label[beside] < 0:
            continue
        number = find(hollows, int(np.int64(label[beside])))
        fall = (level_m - np.float64(level[beside])) / lengths_m[step]
        at = 0
        while at < count and waters[at, 0] != number:
            at += 1
        if at == count:
            count += 1
            waters[at, 0], waters[at, 1], waters[at, 2] = number, fall, 0.0
        if fall > waters[at, 1]:
            waters[at, 1] = fall
        waters[at, 2] += 1 << step
        while at > 0 and waters[at, 1] > waters[at - 1, 1]:
            for column in range(3):
                waters[at, column], waters[at - 1, column] = waters[at - 1, column], waters[at, column]
            at -= 1
    one, one_ways = int(waters[0, 0]), int(waters[0, 2])
    for at in range(1, count):
        other, ways = int(waters[at, 0]), int(waters[at, 2])
        one = unite(hollows, marks, one, one_ways, other, ways, cell, level_m)
        one_ways |= ways
    return one


@kernel_part
def borders_another(cell: int, number: int, label: NDArray[np.int32], hollows: Records, steps: Ints) -> bool:
    """Whether other water than that of a hollow stands beside a cell."""
    last = number
    for step in range(8):
        beside = int(np.int64(label[cell + steps[step]]))
        if beside >= 0 and beside != last:
            last = beside
            if find(hollows, beside) != number:
                return True
    return False


@kernel_part
def join(
    cell: int,
    level: NDArray[np.float32],
    label: NDArray[np.int32],
    hollows: Records,
    steps: Ints,
    lengths_m: Floats,
    marks: Ints,
    waters: Floats,
) -> None:
    """Water comes to a cell: it begins a hollow, joins the one beside it, or is where several meet.

    Which of its neighbours are wet cannot be foretold; their highest and lowest labels are found without a branch, and
    mostly are the same.
    """
    highest, lowest = np.int32(-1), _DRY
    for step in range(8):
        beside = label[cell + steps[step]]
        highest, lowest = max(highest, beside), min(lowest, np.uint32(beside))
    if highest < 0:
        number = new_hollow(hollows, marks, np.float64(level[cell]))
    else:
        number = find(hollows, int(np.int64(highest)))
        if lowest != highest and borders_another(cell, number, label, hollows, steps):
            number = meet(cell, level, label, hollows, steps, lengths_m, marks, waters)
    label[cell] = number
    if number != OCEAN:
        rise(hollows, number, np.float64(level[cell]))
        hollows[number].count += 1
        hollows[number].own += 1


@kernel_part
def touches_water(cell: int, label: NDArray[np.int32], steps: Ints) -> bool:
    """Whether water stands beside a cell."""
    touches = False
    for step in range(8):
        touches = touches or label[cell + steps[step]] >= 0
    return touches


@kernel_part
def fetch(
    level: NDArray[np.float32], label: NDArray[np.int32], order: NDArray[np.int32], stride: int, marks: Ints
) -> None:
    """Bring what the next cells need into the processor's cache. What is seen is summed, lest it be left out."""
    begin = max(marks[FETCHED], marks[POSITION])
    end = min(begin + _AHEAD, order.size)
    seen = 0
    for at in range(begin, end):
        cell = np.int64(order[at])
        seen += label[cell - stride] + label[cell] + label[cell + stride]
        seen += level[cell] > 0.0
    marks[SEEN] += seen
    marks[FETCHED] = end


@kernel_part
def apart(order: NDArray[np.int32], position: int, end: int, stride: int) -> bool:
    """Whether no two cells of a level are neighbours: chance ties, and no flat. Asked of few cells, in their order."""
    if end - position > _FEW:
        return False
    for one in range(position, end):
        other = one + 1
        while other < end and order[other] - order[one] <= stride + 1:
            if order[other] - order[one] == 1 or order[other] - order[one] >= stride - 1:
                return False
            other += 1
    return True


@kernel
def sweep(
    level: NDArray[np.float32],
    label: NDArray[np.int32],
    way: NDArray[np.uint8],
    order: NDArray[np.int32],
    queue: NDArray[np.int32],
    hollows: Records,
    steps: Ints,
    lengths_m: Floats,
    marks: Ints,
    budget: int,
) -> bool:
    """Let the water come to about `budget` more cells; True when all are done. All it knows is in its arrays.

    Cells of one level are a flat: water comes to those beside lower ground first and spreads from them, and `way`
    keeps the step back, so that each flat drains by the fewest steps. What it cannot spread to begins a hollow.
    """
    waters = np.empty((8, 3), dtype=np.float64)
    while budget > 0:
        budget -= 1
        if marks[STAGE] == _NEXT:
            position = marks[POSITION]
            if position == order.size:
                return True
            if position >= marks[FETCHED] - 1:
                fetch(level, label, order, steps[6], marks)
            end = position + 1
            level_m = level[order[position]]
            while end < order.size and level[order[end]] == level_m:
                end += 1
            if apart(order, position, end, steps[6]):
                for at in range(position, end):
                    join(int(np.int64(order[at])), level, label, hollows, steps, lengths_m, marks, waters)
                marks[POSITION] = end
                continue
            budget -= (end - position) // 8
            marks[GROUP_END], marks[SCAN], marks[HEAD], marks[TAIL], marks[STAGE] = end, position, 0, 0, _SEEK
        elif marks[STAGE] == _SEEK:
            cell = int(np.int64(order[marks[SCAN]]))
            if touches_water(cell, label, steps):
                queue[marks[TAIL]] = cell
                label[cell] = QUEUED
                marks[TAIL] += 1
            marks[SCAN] += 1
            if marks[SCAN] == marks[GROUP_END]:
                marks[SCAN], marks[STAGE] = marks[POSITION], _SPREAD
        elif marks[HEAD] < marks[TAIL]:
            cell = int(np.int64(queue[marks[HEAD]]))
            marks[HEAD] += 1
            join(cell, level, label, hollows, steps, lengths_m, marks, waters)
            for step in range(8):
                beside = cell + steps[step]
                if label[beside] == FRESH and level[beside] == level[cell]:
                    queue[marks[TAIL]] = beside
                    label[beside] = QUEUED
                    way[beside] = 8 - step
                    marks[TAIL] += 1
        elif marks[SCAN] == marks[GROUP_END]:
            marks[POSITION], marks[STAGE] = marks[GROUP_END], _NEXT
        else:
            cell = int(np.int64(order[marks[SCAN]]))
            marks[SCAN] += 1
            if label[cell] == FRESH:
                queue[marks[TAIL]] = cell
                label[cell] = QUEUED
                marks[TAIL] += 1
    return False
