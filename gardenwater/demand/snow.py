"""Snow: precipitation that is held until it thaws."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

SNOW_BELOW_C = 1.0
"""Mean temperature of a day below which what falls is snow: common practice, 0 to 2 °C."""
THAW_MM_C = 2.74
"""Thaw for each degree and day above 0 °C, mm: the usual figure where no other is known, of a range from 1.6 to 6.0
(USDA National Engineering Handbook 630, chapter 11, from memory)."""


def rain_and_thaw(
    rain_mm: ArrayLike, t_min_c: ArrayLike, t_max_c: ArrayLike, *, snow_at_start_mm: float = 0.0
) -> tuple[Floats, Floats]:
    """What reaches the ground as water, and what lies as snow at the end of each day, mm of water, float64 (days,).

    What falls on a day whose mean temperature is below `SNOW_BELOW_C` is held; of what is held, `THAW_MM_C` thaws for
    each degree of the mean above 0 °C. rain_mm: all that falls, as water. NaN temperatures count as warm. Rain + snow
    at the start = water + snow at the end.
    """
    rain = np.asarray(rain_mm, dtype=np.float64)
    mean = (np.asarray(t_min_c, dtype=np.float64) + np.asarray(t_max_c, dtype=np.float64)) / 2.0
    falls = np.where(mean < SNOW_BELOW_C, rain, 0.0)
    if snow_at_start_mm == 0.0 and not falls.any():
        return rain, np.zeros_like(rain)
    thaws = np.nan_to_num(np.maximum(mean, 0.0) * THAW_MM_C, nan=np.inf)
    lies, pack = [], snow_at_start_mm
    for fallen, most in zip(falls.tolist(), thaws.tolist(), strict=True):
        pack = max(pack + fallen - most, 0.0)
        lies.append(pack)
    snow = np.array(lies)
    return np.maximum(rain - np.diff(snow, prepend=snow_at_start_mm), 0.0), snow
