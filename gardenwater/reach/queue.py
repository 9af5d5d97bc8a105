"""Making and growing the arrays of a bucket queue; the kernels in `kernels_queue` work on them."""

from __future__ import annotations

import numpy as np

from gardenwater.reach.kernels_records import Buckets

_BUCKETS = 8192


def empty_queue(*, width: float, slots: int, first: float = 0.0) -> Buckets:
    """A queue with nothing in it: buckets of `width`, the first of them at `first`, and room for `slots` cells."""
    return Buckets(
        heads=np.full(_BUCKETS, -1, dtype=np.int32),
        slot_cell=np.empty(slots, dtype=np.int32),
        slot_next=np.empty(slots, dtype=np.int32),
        marks=np.array([0, -1, 0, 0], dtype=np.int64),
        scale=np.array([first, width]),
    )


def grown(queue: Buckets) -> Buckets:
    """The queue with twice the room."""
    more = np.empty_like(queue.slot_cell)
    return queue._replace(
        slot_cell=np.concatenate((queue.slot_cell, more)), slot_next=np.concatenate((queue.slot_next, more))
    )
