"""The best of several tanks at each spot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.reach.map import Floats, ReachMap
from gardenwater.reach.reason import Reason

_FIRST = (
    Reason.IN_REACH,
    Reason.SLOW,
    Reason.TOO_FAR,
    Reason.RIDGE,
    Reason.TOO_HIGH,
    Reason.BARRIER,
    Reason.NO_DATA,
)
"""Reasons by how near they come to reach: the best tank's is the one that stands first here."""


@dataclass(frozen=True, slots=True, eq=False)
class BestReach:
    """The best of several tanks at each cell: one that has it in reach before one that is slow, then the quicker.

    All (rows, cols), read-only. index: int16, into the maps; -1 where no water arrives. minutes_per_can: float32, NaN
    there. margin_m: float32, the greatest margin of any tank, NaN where the wanted flow of none gets to. reason: uint8,
    `Reason`, the best tank's; where no water arrives, of the tank that comes nearest to it.
    """

    index: NDArray[np.int16] = field(repr=False)
    minutes_per_can: Floats = field(repr=False)
    margin_m: Floats = field(repr=False)
    reason: NDArray[np.uint8] = field(repr=False)


def best_of(maps: Sequence[ReachMap]) -> BestReach:
    """The best of these maps at each cell; the first of them where two are equal.

    Raises InputError for no maps, or maps on different grids.
    """
    if not maps:
        raise InputError("There is no map to choose from.", where="maps", mend="Give at least one.")
    grids = {(each.ground.shape, tuple(each.ground.transform)[:6]) for each in maps}
    if len(grids) > 1:
        raise InputError("The maps lie on different grids.", where="maps", mend="Work them out on one ground.")
    place = np.empty(len(_FIRST), dtype=np.uint8)
    place[list(_FIRST)] = np.arange(len(_FIRST))
    rank, minutes = place[maps[0].reason], maps[0].minutes_per_can.copy()
    index, margin = np.zeros(rank.shape, dtype=np.int16), maps[0].margin_m.copy()
    for number, each in enumerate(maps[1:], start=1):
        its_rank = place[each.reason]
        better = (its_rank < rank) | ((its_rank == rank) & (each.minutes_per_can < minutes))
        np.copyto(rank, its_rank, where=better)
        np.copyto(minutes, each.minutes_per_can, where=better)
        np.copyto(index, np.int16(number), where=better)
        np.fmax(margin, each.margin_m, out=margin)
    index[np.isnan(minutes)] = -1
    best = BestReach(index, minutes, margin, np.array(_FIRST, dtype=np.uint8)[rank])
    for values in (best.index, best.minutes_per_can, best.margin_m, best.reason):
        values.flags.writeable = False
    return best
