"""What a bed's soil holds: for the roots, below them, and in the surface that dries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.tables import Cover, Soil

Floats = NDArray[np.float64]

SURFACE_M = 0.10
"""Depth of the soil that evaporation dries: FAO-56 chapter 7, 0.10 to 0.15 m, its table uses 0.10 (from memory)."""
_MOST_READILY = 0.9
"""Of a thin surface's water, at most this share is lost as fast as the sun drives it: judgement."""


@dataclass(frozen=True, slots=True)
class Surface:
    """The soil that dries from above.

    evaporable_mm, readily_evaporable_mm: TEW and REW under the cover. passes: share of evaporation that it lets by.
    """

    evaporable_mm: float
    readily_evaporable_mm: float
    passes: float


def surface_of(soil: Soil, cover: Cover, cover_share: float, soil_depth_m: float) -> Surface:
    """The drying surface of a bed. FAO-56 equation 73 and Table 19.

    A mulch takes as much of TEW and REW as of what evaporates in a day (FAO-56 chapter 10 has the one, 11 the other),
    so that each drying out costs that much less.
    """
    depth_m = min(SURFACE_M, soil_depth_m)
    passes = 1.0 - cover.evaporation_cut * cover_share
    evaporable = 1000.0 * (soil.field_capacity - 0.5 * soil.wilting_point) * depth_m
    readily = min(soil.readily_evaporable_mm * depth_m / SURFACE_M, _MOST_READILY * evaporable)
    return Surface(evaporable * passes, readily * passes, passes)


def available_mm(soil: Soil, depth_m: Floats | float) -> Floats:
    """Available water of a depth of soil, TAW, mm. FAO-56 equation 82."""
    held: Floats = 1000.0 * (soil.field_capacity - soil.wilting_point) * np.asarray(depth_m)
    return held


def roots_take(root_m: Floats, deepest_m: float) -> Floats:
    """How each day's change of the roots moves the depletion.

    A share of the deep soil's where they grow, a negative share of the root zone's where they are gone, as if each were
    spread evenly over its depth. 0 on the first day.
    """
    before, change = root_m[:-1], np.diff(root_m)
    below = np.maximum(deepest_m - before, 1e-12)
    moved = np.where(change >= 0.0, np.minimum(change / below, 1.0), change / before)
    return np.concatenate(([0.0], moved))
