"""Water gathered over a surface without hollows: each cell hands what it gathers to all lower neighbours.

The share of a neighbour is as its slope to the power `SPREAD` (Freeman 1991, Computers & Geosciences 17: 413-422, from
memory). On level ground water goes to the neighbour that is nearest to the way out, found by a flood from the flat's
lower rim (as Garbrecht and Martz 1997 and Barnes, Lehman and Mulla 2014 do towards lower ground).

Levels stand in flat arrays with a rim of one cell: +inf where no water comes, -inf where it leaves.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.work import kernel

SPREAD = 1.1
"""Freeman's power: what comes nearest to even gathering on a cone."""

SINK = -1
"""Rank of a cell that nothing leads out of."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]
Steps = NDArray[np.int64]


@kernel
def rank_flats(level: Floats, steps: Steps, rank: Ints, towards: NDArray[np.int8], queue: Ints) -> int:
    """How many steps each cell is from one that has a lower neighbour, and the step that leads there.

    rank: 0 where a neighbour is lower, SINK where no way leads out; set here. towards: number of the step, or -1.
    queue: room for every cell. The number of cells that were ranked.
    """
    tail = 0
    for cell in range(level.size):
        rank[cell], towards[cell] = SINK, -1
        if not np.isfinite(level[cell]):
            continue
        for step in range(8):
            if level[cell + steps[step]] < level[cell]:
                rank[cell] = 0
        if rank[cell] == 0:
            queue[tail] = cell
            tail += 1
    head = 0
    while head < tail:
        cell = queue[head]
        head += 1
        for step in range(8):
            other = cell + steps[step]
            if level[other] == level[cell] and rank[other] == SINK:
                rank[other] = rank[cell] + 1
                towards[other] = 7 - step
                queue[tail] = other
                tail += 1
    return tail


@kernel
def hand_down(
    level: Floats,
    order: Ints,
    steps: Steps,
    east_m: Floats,
    north_m: Floats,
    towards: NDArray[np.int8],
    gathered: Floats,
    stride_m: Floats,
    begin: int,
    end: int,
) -> None:
    """Hand down what the cells `order[begin:end]`, the highest first, have gathered.

    gathered: begins with each cell's own; complete for a cell when its turn is over. stride_m: how far, and so how
    nearly straight, the shares of a cell go together: the length of their mean step, m.
    """
    share = np.zeros(8)
    for place in range(begin, end):
        cell = order[place]
        total = 0.0
        for step in range(8):
            other = cell + steps[step]
            drop_m = level[cell] - level[other]
            share[step] = 0.0
            if drop_m > 0.0 and np.isfinite(level[other]):
                share[step] = (drop_m / np.hypot(east_m[step], north_m[step])) ** SPREAD
                total += share[step]
        if total == 0.0 and towards[cell] >= 0:
            share[towards[cell]] = total = 1.0
        mean_east_m, mean_north_m = 0.0, 0.0
        for step in range(8):
            if share[step] > 0.0:
                part = share[step] / total
                gathered[cell + steps[step]] += part * gathered[cell]
                mean_east_m += part * east_m[step]
                mean_north_m += part * north_m[step]
        stride_m[cell] = np.hypot(mean_east_m, mean_north_m)
