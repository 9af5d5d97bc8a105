"""A queue of cells by key, in buckets of equal width; for ways (m) and for needed levels (m).

What a cell's key is stands elsewhere; a slot whose cell no longer waits is passed over. Within a bucket the order is
any: a cell that is bettered after it was taken out is put in again.
"""

from __future__ import annotations

import numpy as np

from gardenwater.reach.kernels_records import Bits, Buckets, Doubles, Flag, Floats, Index, Number
from gardenwater.work import kernel

CURRENT, FREE, USED, LIVE = 0, 1, 2, 3
"""Marks: the bucket that is being emptied, first of the freed slots (-1 none), slots ever used, slots in use."""


@kernel
def room(queue: Buckets) -> int:
    """How many more cells it can take in."""
    return int(queue.slot_cell.size - queue.marks[LIVE])


@kernel
def put(queue: Buckets, cell: Index, key: Number) -> None:
    """Put a cell in. There must be room."""
    heads, slot_next, marks = queue.heads, queue.slot_next, queue.marks
    last = heads.size - 1
    far = (key - queue.scale[0]) / queue.scale[1]
    bucket = last if far >= last else max(np.int64(far), marks[CURRENT])
    slot = marks[FREE]
    if slot >= 0:
        marks[FREE] = slot_next[slot]
    else:
        slot = marks[USED]
        marks[USED] += 1
    marks[LIVE] += 1
    queue.slot_cell[slot] = cell
    slot_next[slot] = heads[bucket]
    heads[bucket] = slot


@kernel
def take(queue: Buckets) -> int:
    """Take out a cell of the lowest bucket that has one; -1 when all but the last are empty."""
    heads, slot_next, marks = queue.heads, queue.slot_next, queue.marks
    last = heads.size - 1
    bucket = marks[CURRENT]
    while bucket < last and heads[bucket] < 0:
        bucket += 1
    marks[CURRENT] = bucket
    if bucket == last:
        return -1
    slot = heads[bucket]
    heads[bucket] = slot_next[slot]
    slot_next[slot] = marks[FREE]
    marks[FREE] = slot
    marks[LIVE] -= 1
    return int(queue.slot_cell[slot])


@kernel
def turn_over(queue: Buckets, key: Floats | Doubles, state: Bits, waits: Flag) -> bool:
    """Begin the buckets anew at the least key of the last one; False when nothing waits any more.

    key: of each cell. waits: the bit of `state` that a cell has while it waits.
    """
    heads, slot_cell, slot_next, marks = queue.heads, queue.slot_cell, queue.slot_next, queue.marks
    last = heads.size - 1
    least = np.inf
    slot = heads[last]
    while slot >= 0:
        if state[slot_cell[slot]] & waits:
            least = min(least, key[slot_cell[slot]])
        slot = slot_next[slot]
    slot = heads[last]
    heads[last] = -1
    marks[CURRENT] = 0
    queue.scale[0] = least
    while slot >= 0:
        after = slot_next[slot]
        cell = slot_cell[slot]
        slot_next[slot] = marks[FREE]
        marks[FREE] = slot
        marks[LIVE] -= 1
        if state[cell] & waits:
            put(queue, cell, key[cell])
        slot = after
    return bool(least < np.inf)
