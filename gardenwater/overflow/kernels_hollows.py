"""The finished tree of hollows: numbered, with the cells of each listed, and the ground filled up to their brims."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.kernels_tree import OCEAN
from gardenwater.overflow.records import Records
from gardenwater.work import kernel

Floats = NDArray[np.float64]


@kernel
def number_anew(growing: Records, count: int, hollows: Records, new: NDArray[np.int32]) -> None:
    """Number the hollows so that all within one are those just before it, and hand them over.

    growing: of the sweep, count of them. hollows: HOLLOW records (count + 1), zeros. new: (count).
    """
    sizes = np.ones(count, dtype=np.int32)
    for number in range(1, count):
        if growing[number].parent > 0:
            sizes[growing[number].parent] += sizes[number]
    begins = np.empty(count, dtype=np.int32)
    free = 1
    new[OCEAN] = OCEAN
    for number in range(count - 1, 0, -1):
        if growing[number].parent <= 0:
            begins[number] = free
            free += sizes[number]
        first, second = growing[number].child, growing[number].second
        if first > 0:
            begins[first] = begins[number]
            begins[second] = begins[number] + sizes[first]
        new[number] = begins[number] + sizes[number] - 1
    hollows[OCEAN].parent = -1
    hollows[OCEAN].sill = -1
    for number in range(1, count):
        this, old_parent = new[number], growing[number].parent
        hollows[this].parent = new[old_parent] if old_parent > 0 else old_parent
        hollows[this].sibling = 0
        if old_parent > 0:
            other = growing[old_parent].child
            hollows[this].sibling = new[growing[old_parent].second if other == number else other]
        hollows[this].first = begins[number]
        hollows[this].sill = growing[number].sill
        hollows[this].ways = growing[number].ways
        hollows[this].columns_m = growing[number].columns_m if old_parent >= 0 else np.inf
        hollows[this + 1].start = growing[number].own
    for number in range(count):
        hollows[number + 1].start += hollows[number].start


@kernel
def gather(
    order: NDArray[np.int32],
    label: NDArray[np.int32],
    new: NDArray[np.int32],
    hollows: Records,
    cells: NDArray[np.int32],
) -> None:
    """Number the labels anew, and list the own cells of each hollow from the lowest up."""
    free = np.empty(new.size, dtype=np.int64)
    for number in range(new.size):
        free[number] = hollows[number].start
    for at in range(order.size):
        cell = order[at]
        number = new[label[cell]]
        label[cell] = number
        if number != OCEAN:
            cells[free[number]] = cell
            free[number] += 1


@kernel
def brim_of(hollows: Records, level: NDArray[np.float32], brim_m: Floats) -> None:
    """Level to which each hollow's ground fills in the end: that of the outermost hollow round it."""
    for number in range(hollows.size - 2, 0, -1):
        parent = hollows[number].parent
        if parent > 0:
            brim_m[number] = brim_m[parent]
        else:
            brim_m[number] = level[hollows[number].sill] if parent == OCEAN else np.inf


@kernel
def fill(level: NDArray[np.float32], label: NDArray[np.int32], brim_m: Floats, stride: int, filled_m: Floats) -> None:
    """Level of each cell when every hollow is brimful; NaN where no water comes. filled_m: (rows, cols), no rim."""
    rows, cols = filled_m.shape
    for row in range(rows):
        for col in range(cols):
            cell = (row + 1) * stride + col + 1
            number = label[cell]
            if number > OCEAN:
                filled_m[row, col] = brim_m[number]
            elif np.isfinite(level[cell]):
                filled_m[row, col] = level[cell]
            else:
                filled_m[row, col] = np.nan
