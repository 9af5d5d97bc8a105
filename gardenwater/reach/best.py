"""The best of several tanks at each cell."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.ground import Ground
from gardenwater.reach.kernels_records import Best, Given
from gardenwater.reach.map import ReachMap
from gardenwater.reach.reason import Reason

_ORDER = (
    Reason.IN_REACH,
    Reason.SLOW,
    Reason.RIDGE,
    Reason.TOO_FAR,
    Reason.TOO_HIGH,
    Reason.BARRIER,
    Reason.NO_DATA,
)
"""Of several tanks that do not reach a cell, the reason of the one that comes nearest is told."""


def best_of(ground: Ground, maps: Sequence[ReachMap], sureness: Sequence[NDArray[np.uint8]]) -> Best:
    """At each cell the map that fills a can soonest of those that reach it; slow water where none does.

    maps: of one or more tanks, all on this ground. sureness: of each map, uint8 (rows, cols), the higher the surer; the
    highest is kept. The arrays of the answer are (rows, cols) and read-only; `tank` is the number of the map, -1 where
    none arrives; NaN is out. Equal minutes go to the earlier map.
    """
    from gardenwater.reach.kernels_best import take_in

    size = ground.level_m.size
    best = Best(
        minutes=np.full(size, np.nan, dtype=np.float32),
        head=np.full(size, np.nan, dtype=np.float32),
        distance=np.full(size, np.nan, dtype=np.float32),
        flow=np.full(size, np.nan, dtype=np.float32),
        reason=np.full(size, Reason.NO_DATA, dtype=np.uint8),
        tank=np.full(size, -1, dtype=np.int16),
        sureness=np.zeros(size, dtype=np.uint8),
    )
    ranks = np.array([_ORDER.index(reason) for reason in Reason], dtype=np.uint8)
    order, rank = np.array(_ORDER, dtype=np.uint8), np.full(size, len(_ORDER), dtype=np.uint8)
    for number, (reach, sure) in enumerate(zip(maps, sureness, strict=True)):
        take_in(best, rank, _given(reach, sure), number, ranks, order)
    return Best._make(_grid(array, ground.shape) for array in best)


def _given(reach: ReachMap, sureness: NDArray[np.uint8]) -> Given:
    return Given(
        minutes=reach.minutes_per_can.ravel(),
        head=reach.residual_head_m.ravel(),
        distance=reach.distance_m.ravel(),
        flow=reach.flow_l_min.ravel(),
        reason=reach.reason.ravel(),
        sureness=sureness.ravel(),
    )


def _grid(values: NDArray[Any], shape: tuple[int, int]) -> NDArray[Any]:
    grid = values.reshape(shape)
    grid.flags.writeable = False
    return grid
