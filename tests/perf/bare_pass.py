"""A bare 16-neighbour bucket-queue pass: shortest distances over the cells that are open, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

_BUCKETS = 4

# each step with the two cells that it passes, and how many of them must be open: straight, over a corner, a knight's
_STEPS = np.array([
    *((down, right, 0, 0, 0, 0, 0) for down, right in ((-1, 0), (1, 0), (0, -1), (0, 1))),
    *((down, right, down, 0, 0, right, 1) for down in (-1, 1) for right in (-1, 1)),
    *((2 * down, right, down, 0, down, right, 2) for down in (-1, 1) for right in (-1, 1)),
    *((down, 2 * right, 0, right, down, right, 2) for down in (-1, 1) for right in (-1, 1)),
])  # fmt: skip


def _spread(
    free: NDArray[np.bool_], distance: NDArray[np.float32], start: int, steps: NDArray[np.int64],
    lengths: NDArray[np.float32],
) -> None:  # fmt: skip
    """Lengths in cells, flat, written over `distance` (infinite before). Two rows and columns at each edge are shut.

    steps: flat offsets of the cell ahead and of the two passed on the way to it, and how many of these must be open. A
    bucket is as wide as the shortest step, so that four of them, used in turn, hold all that waits.
    """
    buckets = np.empty((_BUCKETS, free.size // 8 + 64), dtype=np.int32)
    sizes = np.zeros(_BUCKETS, dtype=np.int64)
    distance[start] = 0.0
    buckets[0, 0], sizes[0], empty, turn = start, 1, 0, 0
    while empty < _BUCKETS:
        here = turn % _BUCKETS
        empty = empty + 1 if sizes[here] == 0 else 0
        at = 0
        while at < sizes[here]:
            cell = buckets[here, at]
            at += 1
            length = distance[cell]
            if int(length) != turn:
                continue
            for k in range(16):
                ahead = cell + steps[k, 0]
                further = length + lengths[k]
                if not free[ahead] or further >= distance[ahead]:
                    continue
                if free[cell + steps[k, 1]] + free[cell + steps[k, 2]] < steps[k, 3]:
                    continue
                distance[ahead] = further
                then = int(further) % _BUCKETS
                buckets[then, sizes[then]] = ahead
                sizes[then] += 1
        sizes[here] = 0
        turn += 1


_compiled: Callable[..., Any] = numba.njit(_spread)


def bare_ways(free: NDArray[np.bool_], start: tuple[int, int]) -> NDArray[np.float32]:
    """Length of the shortest way to each open cell in steps to sixteen neighbours, in cells; infinite elsewhere."""
    walled = np.pad(free, 2)
    cols = walled.shape[1]
    way = np.full(walled.shape, np.inf, dtype=np.float32)
    steps = np.stack([*(_STEPS[:, k] * cols + _STEPS[:, k + 1] for k in (0, 2, 4)), _STEPS[:, 6]], axis=1)
    lengths = np.hypot(_STEPS[:, 0], _STEPS[:, 1]).astype(np.float32)
    _compiled(walled.ravel(), way.ravel(), (start[0] + 2) * cols + start[1] + 2, steps, lengths)
    return way[2:-2, 2:-2]
