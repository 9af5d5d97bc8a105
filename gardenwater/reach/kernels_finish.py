"""From ways to answers: head, flow, minutes and the reason of each cell."""

from __future__ import annotations

import numpy as np

from gardenwater.reach.kernels_flow import flow_at
from gardenwater.reach.kernels_sight import CREPT, FLOWS, STILL
from gardenwater.work import kernel

IN_REACH, SLOW, RIDGE, TOO_HIGH, TOO_FAR, BARRIER, NO_DATA = 0, 1, 2, 3, 4, 5, 6
NAN = np.float32(np.nan)


@kernel
def finish(
    level, state, way, margin, flow, head, minutes, region, shut_off, table, law, wanted, slowest_min, can_l,
    first, end,
):  # fmt: skip
    """Turn cells `first` to `end` into answers, in place: way to distance, state to reason, flow to what arrives.

    region: int32, which stretch of ground that hangs together a cell lies on (size 0: all the same); shut_off: by
    region, -1 the tank's own, else the reason why no way leads there. NaN is out.
    """
    slope, head_way, a_end, head_end = law[1], law[2], law[3], law[4]
    for cell in range(first, end):
        z = np.float64(level[cell])
        got = state[cell]
        out = True
        head[cell] = NAN
        if got & FLOWS:
            length = np.float64(way[cell])
            spare = a_end - slope * length - z
            head[cell] = spare
            margin[cell] = min(margin[cell], np.float32(spare))
            if spare >= 0.0:
                # what the table gives away at the very edge of reach would make it less than is wanted
                arrives = max(np.float64(min(flow[cell], flow_at(table, head_end - z, length))), wanted)
                flow[cell] = arrives
                minutes[cell] = can_l / arrives
                state[cell] = IN_REACH
                out = False
        else:
            margin[cell] = NAN
        if out and got & (FLOWS | STILL | CREPT) and head_end > z:
            arrives = np.float64(min(flow[cell], flow_at(table, head_end - z, np.float64(way[cell]))))
            if arrives * slowest_min >= can_l:
                flow[cell] = arrives
                minutes[cell] = can_l / arrives
                state[cell] = SLOW
                out = False
        if not got & FLOWS:
            way[cell] = NAN
        if not out:
            continue
        flow[cell] = NAN
        minutes[cell] = NAN
        if np.isnan(z):
            state[cell] = NO_DATA
        elif z == np.inf:
            state[cell] = BARRIER
        elif not (z <= head_way and z < head_end):
            state[cell] = TOO_HIGH
        elif got & (FLOWS | STILL | CREPT):
            state[cell] = TOO_FAR
        elif region.size > 0 and shut_off[region[cell]] >= 0:
            state[cell] = shut_off[region[cell]]
        else:
            state[cell] = RIDGE
