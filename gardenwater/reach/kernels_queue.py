"""A queue of cells by key, in buckets of equal width; for ways (m) and for needed levels (m).

The queue is five arrays. heads: int32, first slot of each bucket, -1 none; the last bucket takes all that is farther
off. slot_cell, slot_next: int32, the slots. marks: int64, see the names below. scale: float64, key at which the first
bucket begins, and the width. What a cell's key is stands elsewhere; a slot whose cell no longer waits is passed over.
Within a bucket the order is any: a cell that is bettered after it was taken out is put in again.
"""

from __future__ import annotations

import numpy as np

from gardenwater.work import kernel

CURRENT, FREE, USED, LIVE = 0, 1, 2, 3


@kernel
def put(heads, slot_cell, slot_next, marks, scale, cell, key):
    """Put a cell in. There must be a free slot."""
    last = heads.size - 1
    far = (key - scale[0]) / scale[1]
    bucket = last if far >= last else max(np.int64(far), marks[CURRENT])
    slot = marks[FREE]
    if slot >= 0:
        marks[FREE] = slot_next[slot]
    else:
        slot = marks[USED]
        marks[USED] += 1
    marks[LIVE] += 1
    slot_cell[slot] = cell
    slot_next[slot] = heads[bucket]
    heads[bucket] = slot


@kernel
def take(heads, slot_cell, slot_next, marks):
    """Take out a cell of the lowest bucket that has one; -1 when all but the last are empty."""
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
    return slot_cell[slot]


@kernel
def turn_over(heads, slot_cell, slot_next, marks, scale, key_of, state, waits):
    """Begin the buckets anew at the least key of the last one; False when nothing waits any more."""
    last = heads.size - 1
    least = np.inf
    slot = heads[last]
    while slot >= 0:
        if state[slot_cell[slot]] & waits:
            least = min(least, key_of[slot_cell[slot]])
        slot = slot_next[slot]
    slot = heads[last]
    heads[last] = -1
    marks[CURRENT] = 0
    scale[0] = least
    while slot >= 0:
        after = slot_next[slot]
        cell = slot_cell[slot]
        slot_next[slot] = marks[FREE]
        marks[FREE] = slot
        marks[LIVE] -= 1
        if state[cell] & waits:
            put(heads, slot_cell, slot_next, marks, scale, cell, key_of[cell])
        slot = after
    return least < np.inf
