"""The arrays of a bucket queue; the kernels in `kernels_queue` work on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_BUCKETS = 8192

Arrays = tuple[NDArray[np.int32], NDArray[np.int32], NDArray[np.int32], NDArray[np.int64], NDArray[np.float64]]


@dataclass(slots=True)
class Queue:
    """heads, slot_cell, slot_next, marks and scale, in the order that the kernels take them."""

    arrays: Arrays

    @classmethod
    def empty(cls, *, width: float, slots: int, first: float = 0.0) -> Queue:
        """A queue with nothing in it: buckets of `width`, the first of them at `first`, and room for `slots` cells."""
        heads = np.full(_BUCKETS, -1, dtype=np.int32)
        marks = np.array([0, -1, 0, 0], dtype=np.int64)
        slot_cell, slot_next = np.empty(slots, dtype=np.int32), np.empty(slots, dtype=np.int32)
        return cls((heads, slot_cell, slot_next, marks, np.array([first, width])))

    def grow(self) -> None:
        """Twice the room."""
        heads, slot_cell, slot_next, marks, scale = self.arrays
        more = np.empty_like(slot_cell)
        self.arrays = heads, np.concatenate((slot_cell, more)), np.concatenate((slot_next, more)), marks, scale
