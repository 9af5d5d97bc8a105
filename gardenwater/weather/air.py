"""The air near the ground: pressure, vapour and wind, as FAO-56 chapter 3 works them out (Allen and others, 1998)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
WIND_UNKNOWN_M_S = 2.0
"""Wind at 2 m where none is known: the average of over 2000 stations, FAO-56 chapter 3, page 63 (from memory)."""


def floats(given: ArrayLike) -> Floats:
    """As an array of float64."""
    return np.asarray(given, dtype=np.float64)


def pressure_kpa(altitude_m: ArrayLike) -> Floats:
    """Mean pressure of the air at an altitude, kPa. FAO-56 equation 7."""
    share: Floats = (293.0 - 0.0065 * floats(altitude_m)) / 293.0
    return 101.3 * share**5.26


def psychrometric_kpa_c(altitude_m: ArrayLike) -> Floats:
    """Psychrometric constant at an altitude, kPa/°C. FAO-56 equation 8."""
    return 0.665e-3 * pressure_kpa(altitude_m)


def saturation_kpa(air_c: ArrayLike) -> Floats:
    """Vapour pressure of saturated air, kPa. FAO-56 equation 11."""
    warm = floats(air_c)
    return 0.6108 * np.exp(17.27 * warm / (warm + 237.3))


def saturation_mean_kpa(t_min_c: ArrayLike, t_max_c: ArrayLike) -> Floats:
    """Mean vapour pressure of saturated air over a day, kPa: of the two extremes, not of their mean. Equation 12."""
    return (saturation_kpa(t_min_c) + saturation_kpa(t_max_c)) / 2.0


def saturation_slope_kpa_c(air_c: ArrayLike) -> Floats:
    """How fast `saturation_kpa` rises with the temperature, kPa/°C. FAO-56 equation 13."""
    warm = floats(air_c)
    return 4098.0 * saturation_kpa(warm) / (warm + 237.3) ** 2


def vapour_kpa(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    dew_point_c: ArrayLike = np.nan,
    humidity_min_pct: ArrayLike = np.nan,
    humidity_max_pct: ArrayLike = np.nan,
    humidity_mean_pct: ArrayLike = np.nan,
    dew_drop_c: float = 0.0,
) -> Floats:
    """Actual vapour pressure of the day's air, kPa, from the best that is known of it.

    In this order, NaN meaning not known: the dew point (FAO-56 equation 14), highest and lowest relative humidity
    (17), the highest alone (18), the mean (19), and at last the night's coldest hour taken for the dew point (48), less
    `dew_drop_c`: 0 where the reference crop is watered, 2 to 3 in dry country (FAO-56 chapter 3, from memory). Equation
    19 is on the mean of the two saturation pressures, as the paper has it.
    """
    coldest, warmest = floats(t_min_c), floats(t_max_c)
    low, high, mean = floats(humidity_min_pct), floats(humidity_max_pct), floats(humidity_mean_pct)
    by_high = saturation_kpa(coldest) * high / 100.0
    ways = (
        saturation_kpa(dew_point_c),
        (by_high + saturation_kpa(warmest) * low / 100.0) / 2.0,
        by_high,
        saturation_mean_kpa(coldest, warmest) * mean / 100.0,
        saturation_kpa(coldest - dew_drop_c),
    )
    best = ways[-1]
    for way in ways[-2::-1]:
        best = np.where(np.isnan(way), best, way)
    return floats(best)


def humidity_at_noon_pct(vapour: ArrayLike, t_max_c: ArrayLike) -> Floats:
    """Lowest relative humidity of a day, %, from its vapour pressure in kPa. FAO-56 equations 63 and 64."""
    return np.minimum(100.0 * floats(vapour) / saturation_kpa(t_max_c), 100.0)


def wind_2m_m_s(wind_m_s: ArrayLike, height_m: ArrayLike) -> Floats:
    """Wind at 2 m above grass from wind at another height, m/s. FAO-56 equation 47; at 2 m its factor is 1."""
    height = floats(height_m)
    return floats(wind_m_s) * np.where(height == 2.0, 1.0, 4.87 / np.log(67.8 * height - 5.42))
