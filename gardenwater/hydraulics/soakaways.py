"""Soakaways and the trial pit by the method of BRE Digest 365 (1991, 2007, 2016; read second-hand).

The pit is filled, and the time is taken in which its water falls from three quarters to a quarter of its depth, three
times over; the longest counts. A soakaway soaks through its sides to half its depth, its base left out (it silts up);
the pit's area does include its base.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

HALF_EMPTY_H = 24.0
"""A soakaway is to be half empty within a day, ready for the next rain (BRE Digest 365)."""
LEAST_SOAK_M_S = 1e-6
"""Soil that takes less does not suit a soakaway (county guide to sustainable drainage, seen)."""


def trial_pit_m_s(*, length_m: float, width_m: float, depth_m: float, fall_min: float) -> float:
    """Soak rate by a trial pit, m/s: V(75-25) / (a_p50 t).

    depth_m: of the water when the pit is full. fall_min: minutes from three quarters to a quarter of it, the longest
    of three fills.
    """
    volume_m3 = length_m * width_m * depth_m / 2.0
    area_m2 = length_m * width_m + 2.0 * (length_m + width_m) * depth_m / 2.0
    return volume_m3 / (area_m2 * fall_min * 60.0)


def soakaway_outflow_m3_s(*, perimeter_m: float, depth_m: float, soak_m_s: float) -> float:
    """What soaks out of a soakaway, m³/s: the sides to half its effective depth, times the soak rate."""
    return perimeter_m * depth_m / 2.0 * soak_m_s


def half_empty_h(*, stored_m3: float, outflow_m3_s: float) -> float:
    """Hours until half of what a soakaway holds is gone; inf where nothing soaks."""
    return stored_m3 / 2.0 / outflow_m3_s / 3600.0 if outflow_m3_s > 0.0 else float("inf")


@dataclass(frozen=True, slots=True)
class SoakawaySheet:
    """The sheet of a soakaway.

    inflow_m3: for each duration. storage_m3: the most that it must hold; minutes: after what duration that is (both 0
    where it soaks all as it comes). half_empty_h: from there.
    """

    inflow_m3: tuple[float, ...]
    storage_m3: float
    minutes: float
    half_empty_h: float


def soakaway_sheet(
    *, area_m2: float, depths_mm: Sequence[float], minutes: Sequence[float], outflow_m3_s: float
) -> SoakawaySheet:
    """What a soakaway must hold: S = I - O over storms of each duration, the greatest counts.

    area_m2: that drains to it. depths_mm: rain of each duration (once in ten years, usually).
    """
    inflow_m3 = tuple(area_m2 * depth / 1000.0 for depth in depths_mm)
    held = [(came - outflow_m3_s * 60.0 * lasts, lasts) for came, lasts in zip(inflow_m3, minutes, strict=True)]
    storage_m3, lasts = max(held, default=(0.0, 0.0))
    if storage_m3 <= 0.0:
        storage_m3, lasts = 0.0, 0.0
    return SoakawaySheet(inflow_m3, storage_m3, lasts, half_empty_h(stored_m3=storage_m3, outflow_m3_s=outflow_m3_s))
