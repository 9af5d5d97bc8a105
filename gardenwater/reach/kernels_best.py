"""The best of several tanks at each cell, taken in one tank after another."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.reach.kernels_records import Best, Bits, Given
from gardenwater.work import kernel


@kernel
def take_in(best: Best, rank: Bits, given: Given, number: int, ranks: Bits, order: NDArray[np.uint8]) -> None:
    """Let a tank have the cells at which it comes before those that were taken in earlier, in place.

    rank: uint8, by cell, of the reason that stands in `best`; ranks: by reason, lowest first; order: the reason of each
    rank. number: the tank's. Of two that arrive, the one that fills a can sooner comes first; of equals, the earlier.
    """
    for cell in range(rank.size):
        best.sureness[cell] = max(best.sureness[cell], given.sureness[cell])
        own = ranks[given.reason[cell]]
        if own > rank[cell] or (own == rank[cell] and not given.minutes[cell] < best.minutes[cell]):
            continue
        rank[cell] = own
        best.reason[cell] = order[own]
        best.minutes[cell] = given.minutes[cell]
        best.head[cell] = given.head[cell]
        best.distance[cell] = given.distance[cell]
        best.flow[cell] = given.flow[cell]
        if own <= 1:
            best.tank[cell] = number
