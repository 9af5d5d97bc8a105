"""Water in open channels by Manning's formula: swales and ditches."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gardenwater.units import FOOT_M

GRASS_N = 0.035
"""Manning's n of mown grass, 5 cm (Colorado state archive, UDFCD 1990, table 2-4)."""
DITCH_N = 0.040
"""Manning's n of a ditch with short growth, 10 to 15 cm (as `GRASS_N`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A trapezoidal channel: width of its bed, m, and how far its sides go out for each metre up."""

    bed_m: float
    sides: float

    def area_m2(self, depth_m: float) -> float:
        """Area of the water."""
        return (self.bed_m + self.sides * depth_m) * depth_m

    def wetted_m(self, depth_m: float) -> float:
        """Length of the bed and sides that the water touches."""
        return self.bed_m + 2.0 * depth_m * math.hypot(1.0, self.sides)


def manning_m_s(section: Section, *, depth_m: float, fall: float, n: float) -> float:
    """Mean velocity in a channel that runs so deep, m/s: R^(2/3) S^(1/2) / n (Manning). 0 where it does not fall."""
    if depth_m <= 0.0 or fall <= 0.0:
        return 0.0
    radius_m = section.area_m2(depth_m) / section.wetted_m(depth_m)
    return float(radius_m ** (2.0 / 3.0) * math.sqrt(fall) / n)


def channel_m3_s(section: Section, *, depth_m: float, fall: float, n: float) -> float:
    """What a channel carries that runs so deep, m³/s."""
    return section.area_m2(depth_m) * manning_m_s(section, depth_m=depth_m, fall=fall, n=n)


def normal_depth_m(section: Section, *, flow_m3_s: float, fall: float, n: float) -> float:
    """How deep a channel runs that carries a flow, m; inf where it does not fall. By halving, to 0.1 mm."""
    if flow_m3_s <= 0.0:
        return 0.0
    if fall <= 0.0:
        return math.inf
    low, high = 0.0, 1.0
    while channel_m3_s(section, depth_m=high, fall=fall, n=n) < flow_m3_s:
        high *= 2.0
    while high - low > 1e-4:
        middle = (low + high) / 2.0
        if channel_m3_s(section, depth_m=middle, fall=fall, n=n) < flow_m3_s:
            low = middle
        else:
            high = middle
    return high


def grass_bears_m_s(fall: float) -> float:
    """Velocity that a lawn of mixed grasses bears on soil that is easily washed out, m/s.

    4 ft/s on falls up to 1 in 20, 3 ft/s up to 1 in 10 (SCS-TP-61 through municipal codes, second-hand); steeper, the
    2.5 ft/s of annuals and red fescue, for lack of a figure.
    """
    if fall <= 0.05:
        return 4.0 * FOOT_M
    return 3.0 * FOOT_M if fall <= 0.10 else 2.5 * FOOT_M
