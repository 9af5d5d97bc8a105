"""How wide spilled water runs, and so how much of it soaks on the way.

The width law: Manning's strip. Where there is no channel, water finds the faint hollows of a lawn or a bed; its section
is taken as a V with sides of 1 in `SIDES`. With A = m y^2 and R = y / 2 (m the sides, y the depth) Manning's formula
Q = A R^(2/3) S^(1/2) / n gives the width of the surface

    w = 2 m y = 2 m (n 2^(2/3) / m)^(3/8) Q^(3/8) S^(-3/16).

0.1 L/s on a fall of 1 in 20 runs 0.42 m wide, 1 L/s 1.0 m. Water soaks at the soil's rate k over that width:
dQ/ds = -k w, so that Q^(5/8) falls by 5/8 k (w / Q^(3/8)) for each metre, and what is left at the end of a way is had
in one step from its `thirst`, the sum of 5/8 w / Q^(3/8) over its length, which does not depend on the flow.

Sources: Manning's formula; n: TR-55 (1986), table 3-1, short grass; sides: judgement, no source.
"""

from __future__ import annotations

import math

from gardenwater.work import kernel, kernel_part

MANNING_N = 0.15
SIDES = 20.0
LEAST_FALL = 1e-3
"""Fall that water itself makes where the ground has less (judgement, no source)."""

_WIDTH = 2.0 * SIDES * (MANNING_N * 2.0 ** (2.0 / 3.0) / SIDES) ** 0.375


@kernel
def width_m(flow_m3_s: float, fall: float) -> float:
    """Width of the water's surface, m. fall: m/m."""
    return float(_WIDTH * flow_m3_s**0.375 * max(fall, LEAST_FALL) ** -0.1875)


@kernel_part
def thirst(drop_m: float, run_m: float) -> float:
    """What a straight stretch adds to the thirst of a way, m x (s/m3)^(3/8)."""
    if run_m <= 0.0:
        return 0.0
    return float(0.625 * _WIDTH * max(drop_m / run_m, LEAST_FALL) ** -0.1875 * run_m)


@kernel_part
def left_after(flow_m3_s: float, soak_m_s: float, way_thirst: float) -> float:
    """Flow that is left of a flow after a way of some thirst, m3/s; 0 when it does not get there."""
    left = flow_m3_s**0.625 - soak_m_s * way_thirst
    return left**1.6 if left > 0.0 else 0.0


@kernel
def thirst_met(flow_m3_s: float, soak_m_s: float) -> float:
    """The thirst after which all of a flow has soaked; inf when nothing soaks."""
    return flow_m3_s**0.625 / soak_m_s if soak_m_s > 0.0 else math.inf
