"""Tables of the flow that a head drives through a line, for the kernels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.hydraulics import Line, charge_m, exit_head_m, friction_slope
from gardenwater.hydraulics.friction import LAMINAR_BELOW, TURBULENT_ABOVE, reynolds_per_l_min

Table = NDArray[np.float32]

# 24 to the decade, and closer through the transition, where the loss bends
_REYNOLDS = np.union1d(np.geomspace(0.1, 1e9, 241), np.linspace(0.95 * LAMINAR_BELOW, 1.05 * TURBULENT_ABOVE, 45))


def flow_tables(line: Line) -> tuple[Table, Table]:
    """Flow, L/min, by length and head: for a point on the way (all but the exit), and for the end (all).

    Within 1.5 % of `hydraulics.flow_l_min` where the flow just turns from laminar, 0.5 % elsewhere.
    """
    from gardenwater.reach import kernels_flow as flows

    flow = _REYNOLDS / reynolds_per_l_min(line)
    slope = friction_slope(flow, line)
    length, head = _nodes(flows.LOW_LENGTH, flows.HIGH_LENGTH), _nodes(flows.LOW_HEAD, flows.HIGH_HEAD)
    tables = np.empty((2, length.size, head.size), dtype=np.float32)
    charge = charge_m(flow, line)
    for table, fixed in zip(tables, (charge, charge + exit_head_m(flow, line)), strict=True):
        flows.fill(table, length, head, flow, slope, fixed)
    return tables[0], tables[1]


def _nodes(low: int, high: int) -> NDArray[np.float64]:
    """Values at the nodes of an axis: eight equal steps in each octave, from 2**low to 2**high."""
    from gardenwater.reach.kernels_flow import STEPS

    node = np.arange((high - low) * STEPS + 1)
    values: NDArray[np.float64] = 2.0 ** (low + node // STEPS) * (1.0 + (node % STEPS) / STEPS)
    return values
