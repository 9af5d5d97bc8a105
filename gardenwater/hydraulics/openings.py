"""What runs over a weir and through an orifice, and what a pipe carries when it is full."""

from __future__ import annotations

import math

from gardenwater.hydraulics.friction import GRAVITY_M_S2, kinematic_viscosity_m2_s

BROAD_CRESTED = (2.0 / 3.0) ** 1.5 * math.sqrt(GRAVITY_M_S2)
"""Of a broad-crested weir, m^0.5/s: critical depth on the crest; 1.705."""
NOTCH_90 = 1.37
"""Of a sharp notch of 90 degrees, m^0.5/s (textbooks on hydraulics; checked by computation)."""
ORIFICE = 0.61
"""Share of the theoretical flow that passes a sharp orifice (textbooks on hydraulics)."""
DRAIN_ROUGHNESS_MM = 0.6
"""Of a drain in use, slime and joints included (common practice, no source)."""


def weir_m3_s(*, width_m: float, head_m: float) -> float:
    """What runs over a broad crest, m³/s: 1.705 b h^1.5. head_m: of the water behind above the crest; none below it."""
    return float(BROAD_CRESTED * width_m * max(head_m, 0.0) ** 1.5)


def weir_head_m(*, width_m: float, flow_m3_s: float) -> float:
    """How high water stands above a broad crest that passes a flow, m; `weir_m3_s` the other way round."""
    return float((max(flow_m3_s, 0.0) / (BROAD_CRESTED * width_m)) ** (2.0 / 3.0))


def notch_m3_s(*, head_m: float) -> float:
    """What runs through a sharp notch of 90 degrees, m³/s: 1.37 h^2.5."""
    return float(NOTCH_90 * max(head_m, 0.0) ** 2.5)


def orifice_m3_s(*, bore_mm: float, head_m: float, share: float = ORIFICE) -> float:
    """What runs out of a round hole, m³/s: Cd a sqrt(2 g h). head_m: above its middle."""
    area_m2 = math.pi * (bore_mm / 1000.0) ** 2 / 4.0
    return share * area_m2 * math.sqrt(2.0 * GRAVITY_M_S2 * max(head_m, 0.0))


def full_pipe_m3_s(
    *, bore_mm: float, fall: float, roughness_mm: float = DRAIN_ROUGHNESS_MM, water_c: float = 10.0
) -> float:
    """What a round pipe carries when it is full and open at both ends, m³/s; 0 where it does not fall.

    fall: m for each metre of its length. Colebrook-White, solved for the velocity:
    v = -2 sqrt(2 g D S) log10(k / (3.7 D) + 2.51 nu / (D sqrt(2 g D S))).
    """
    if fall <= 0.0:
        return 0.0
    bore_m = bore_mm / 1000.0
    root = math.sqrt(2.0 * GRAVITY_M_S2 * bore_m * fall)
    rough = roughness_mm / 1000.0 / (3.7 * bore_m)
    smooth = 2.51 * kinematic_viscosity_m2_s(water_c) / (bore_m * root)
    return -2.0 * root * math.log10(rough + smooth) * math.pi * bore_m**2 / 4.0
