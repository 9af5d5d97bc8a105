"""From ways to answers: head, flow, minutes and the reason of each cell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_records import Cells, Errors, Floats, Ints, Law
from gardenwater.reach.kernels_sight import CREPT, FLOWS, STILL, error_at
from gardenwater.work import kernel

IN_REACH, SLOW, RIDGE, TOO_HIGH, TOO_FAR, BARRIER, NO_DATA = 0, 1, 2, 3, 4, 5, 6

_NAN = np.float32(np.nan)


@kernel
def finish(
    cells: Cells, head: Floats, minutes: Floats, region: Ints, shut_off: NDArray[np.int8], table: Floats, law: Law,
    errors: Errors, wanted: float, slowest_min: float, can_l: float, first: int, end: int,
) -> None:  # fmt: skip
    """Turn cells `first` to `end` into answers, in place: way to distance, state to reason, flow to what arrives.

    head, minutes: written. region: which stretch of ground that hangs together a cell lies on (size 0: all the same);
    shut_off: by region, -1 the tank's own, else the reason why no way leads there. slowest_min: minutes a can from
    which on it counts as no water. NaN is out.
    """
    level, state, way, flow = cells.level, cells.state, cells.way, cells.flow
    margin, sure = cells.margin, cells.sure
    head_end = law.head_end
    for cell in range(first, end):
        z = np.float64(level[cell])
        length = np.float64(way[cell])
        got = state[cell]
        spare = law.a_end - law.slope * length - z
        in_reach = got & FLOWS and spare >= 0.0
        if in_reach:
            head[cell] = spare
            margin[cell] = min(margin[cell], np.float32(spare))
            sure[cell] = min(sure[cell], np.float32(spare - error_at(errors, cell, length)))
        else:
            head[cell] = margin[cell] = sure[cell] = way[cell] = _NAN
        if got & (FLOWS | STILL | CREPT) and head_end > z:
            arrives = float(min(flow[cell], flow_at(table, head_end - z, length)))
            # at the very edge of reach the table's error would make it less than is wanted, or more
            arrives = max(arrives, wanted) if in_reach else min(arrives, wanted)
            if in_reach or arrives * slowest_min >= can_l:
                flow[cell] = arrives
                minutes[cell] = can_l / arrives
                state[cell] = IN_REACH if in_reach else SLOW
                continue
        flow[cell] = minutes[cell] = _NAN
        if np.isnan(z):
            state[cell] = NO_DATA
        elif z == np.inf:
            state[cell] = BARRIER
        elif not (z <= law.head_way and z < head_end):
            state[cell] = TOO_HIGH
        elif got & (FLOWS | STILL | CREPT):
            state[cell] = TOO_FAR
        elif region.size > 0 and shut_off[region[cell]] >= 0:
            state[cell] = shut_off[region[cell]]
        else:
            state[cell] = RIDGE
