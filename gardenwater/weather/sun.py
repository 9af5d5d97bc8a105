"""The sun's radiation on a day, as FAO-56 chapter 3 works it out (Allen and others, 1998)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gardenwater.weather.air import Floats, floats

RADIATION_K_INLAND = 0.16
"""Of equation 50, inland. FAO-56 chapter 3, seen in public code."""
RADIATION_K_COAST = 0.19
"""Of equation 50, on a coast. FAO-56 chapter 3, seen in public code."""
_SOLAR_MJ_M2_MIN = 0.0820
_STEFAN_MJ_K4_M2 = 4.903e-9
GRASS_ALBEDO = 0.23
"""Share of the short-wave radiation that the reference crop throws back. FAO-56 equation 38."""
_CLOUD_RATIO = (0.3, 1.0)
"""Radiation as a share of a clear day's, at least and at most: ASCE-EWRI 2005 equation 18 (FAO-56: at most)."""


def sun_distance(day_of_year: ArrayLike) -> Floats:
    """Inverse relative distance of the Earth from the sun. FAO-56 equation 23."""
    return 1.0 + 0.033 * np.cos(2.0 * np.pi / 365.0 * floats(day_of_year))


def declination_rad(day_of_year: ArrayLike) -> Floats:
    """Declination of the sun, radians. FAO-56 equation 24."""
    return 0.409 * np.sin(2.0 * np.pi / 365.0 * floats(day_of_year) - 1.39)


def sunset_angle_rad(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Hour angle of the sunset, radians: 0 in the polar night, pi under the midnight sun. FAO-56 equation 25."""
    turn = -np.tan(np.radians(floats(latitude_deg))) * np.tan(declination_rad(day_of_year))
    angle: Floats = np.arccos(np.clip(turn, -1.0, 1.0))
    return angle


def daylight_h(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Hours of daylight that there can be. FAO-56 equation 34."""
    return 24.0 / np.pi * sunset_angle_rad(latitude_deg, day_of_year)


def above_air_mj_m2(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Radiation above the air in a day, MJ/m², on level ground. FAO-56 equation 21."""
    north, sun = np.radians(floats(latitude_deg)), declination_rad(day_of_year)
    sunset = sunset_angle_rad(latitude_deg, day_of_year)
    height = sunset * np.sin(north) * np.sin(sun) + np.cos(north) * np.cos(sun) * np.sin(sunset)
    daily: Floats = 24.0 * 60.0 / np.pi * _SOLAR_MJ_M2_MIN * sun_distance(day_of_year) * height
    return np.maximum(daily, 0.0)


def clear_sky_mj_m2(above_air: ArrayLike, altitude_m: ArrayLike) -> Floats:
    """Radiation of a day without a cloud, MJ/m². FAO-56 equation 37."""
    return (0.75 + 2e-5 * floats(altitude_m)) * floats(above_air)


def by_sunshine_mj_m2(sunshine_h: ArrayLike, latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Radiation of a day from its hours of sunshine, MJ/m². FAO-56 equation 35, with 0.25 and 0.50."""
    could = daylight_h(latitude_deg, day_of_year)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(could > 0.0, floats(sunshine_h) / could, 0.0 * floats(sunshine_h))
    return (0.25 + 0.5 * np.minimum(share, 1.0)) * above_air_mj_m2(latitude_deg, day_of_year)


def by_warmth_mj_m2(
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    above_air: ArrayLike,
    altitude_m: ArrayLike,
    radiation_k: float = RADIATION_K_INLAND,
) -> Floats:
    """Radiation of a day from the range of its temperatures, MJ/m², at most a clear day's. FAO-56 equation 50."""
    spread = np.maximum(floats(t_max_c) - floats(t_min_c), 0.0)
    reached: Floats = radiation_k * np.sqrt(spread) * floats(above_air)
    return np.minimum(reached, clear_sky_mj_m2(above_air, altitude_m))


def net_longwave_mj_m2(
    *, t_min_c: ArrayLike, t_max_c: ArrayLike, vapour: ArrayLike, radiation: ArrayLike, clear_sky: ArrayLike
) -> Floats:
    """Heat that the ground gives off in a day, MJ/m². FAO-56 equation 39; `vapour` in kPa, the others in MJ/m²."""
    clear, came = floats(clear_sky), floats(radiation)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.clip(np.where(clear > 0.0, came / clear, came + _CLOUD_RATIO[0]), *_CLOUD_RATIO)
    fourth = ((floats(t_min_c) + 273.16) ** 4 + (floats(t_max_c) + 273.16) ** 4) / 2.0
    return _STEFAN_MJ_K4_M2 * fourth * (0.34 - 0.14 * np.sqrt(floats(vapour))) * (1.35 * ratio - 0.35)


def net_radiation_mj_m2(radiation: ArrayLike, net_longwave: ArrayLike) -> Floats:
    """What of a day's radiation grass keeps, MJ/m². FAO-56 equations 38 and 40."""
    return (1.0 - GRASS_ALBEDO) * floats(radiation) - floats(net_longwave)
