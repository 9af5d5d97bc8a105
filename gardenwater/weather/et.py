"""Reference evapotranspiration: what a watered lawn gives to the air, by FAO-56 (Allen and others, 1998)."""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.weather import air, sun
from gardenwater.weather.air import Floats, floats
from gardenwater.weather.model import Weather

Answer = float | Floats
"""A number when all that was given are numbers, else a float64 array of their common shape."""
_MM_PER_MJ_M2 = 0.408
_PARTLY = "FAO Penman-Monteith, what was not measured estimated by the rules of FAO-56 chapter 3"
_HARGREAVES = "Hargreaves, from temperatures alone"
_PENMAN_MONTEITH = "FAO Penman-Monteith, all measured"


class EtMethod(IntEnum):
    """How the reference evapotranspiration of a day was found."""

    NONE = 0
    PENMAN_MONTEITH = 1
    PARTLY_ESTIMATED = 2
    HARGREAVES = 3


_WORDS = {
    EtMethod.NONE: "not known, for want of temperatures",
    EtMethod.PENMAN_MONTEITH: _PENMAN_MONTEITH,
    EtMethod.PARTLY_ESTIMATED: _PARTLY,
    EtMethod.HARGREAVES: _HARGREAVES,
}


def _shaped(values: Floats) -> Answer:
    return float(values) if values.ndim == 0 else values


def _or(known: ArrayLike, rule: Floats) -> Floats:
    given = floats(known)
    return np.where(np.isnan(given), rule, given)


def hargreaves(*, t_min_c: ArrayLike, t_max_c: ArrayLike, latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Answer:
    """Reference evapotranspiration from temperatures alone, mm/day. FAO-56 equation 52 (Hargreaves and Samani, 1985).

    t_min_c, t_max_c: of the day, °C. latitude_deg: north positive. day_of_year: 1 to 366. Numbers, or arrays that
    broadcast to one shape. NaN where a temperature is not known. Never negative; a Tmin above Tmax counts as no range.
    """
    low, high = floats(t_min_c), floats(t_max_c)
    reached = sun.above_air_mj_m2(latitude_deg, day_of_year) * _MM_PER_MJ_M2
    depth = 0.0023 * ((low + high) / 2.0 + 17.8) * np.sqrt(np.maximum(high - low, 0.0)) * reached
    return _shaped(np.maximum(depth, 0.0))


def penman_monteith(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    latitude_deg: ArrayLike,
    altitude_m: ArrayLike,
    day_of_year: ArrayLike,
    radiation_mj_m2: ArrayLike = np.nan,
    sunshine_h: ArrayLike = np.nan,
    wind_m_s: ArrayLike = np.nan,
    wind_height_m: float = 2.0,
    dew_point_c: ArrayLike = np.nan,
    humidity_min_pct: ArrayLike = np.nan,
    humidity_max_pct: ArrayLike = np.nan,
    humidity_mean_pct: ArrayLike = np.nan,
    soil_heat_mj_m2: ArrayLike = 0.0,
    dew_drop_c: float = 0.0,
    radiation_k: float = sun.RADIATION_K_INLAND,
) -> Answer:
    """Reference evapotranspiration of a day by FAO Penman-Monteith, mm/day. FAO-56 equation 6.

    t_min_c, t_max_c: °C. radiation_mj_m2: short-wave, MJ/m² a day. sunshine_h: hours of sunshine, used where there is
    no radiation. wind_m_s: mean of the day at `wind_height_m`. latitude_deg: north positive. day_of_year: 1 to 366.
    soil_heat_mj_m2: heat taken up by the soil, 0 for a day (equation 42). Numbers, or arrays that broadcast to one
    shape; NaN means not known, and then FAO-56 chapter 3 says what stands in: 2 m/s for the wind, `air.vapour_kpa` for
    the humidity (`dew_drop_c` is its), the range of the temperatures for the radiation (equation 50 with
    `radiation_k`: 0.16 inland, 0.19 on a coast). NaN where a temperature is not known. Never negative.
    """
    low, high = floats(t_min_c), floats(t_max_c)
    vapour = air.vapour_kpa(
        t_min_c=low,
        t_max_c=high,
        dew_point_c=dew_point_c,
        humidity_min_pct=humidity_min_pct,
        humidity_max_pct=humidity_max_pct,
        humidity_mean_pct=humidity_mean_pct,
        dew_drop_c=dew_drop_c,
    )
    above = sun.above_air_mj_m2(latitude_deg, day_of_year)
    by_rule = sun.by_warmth_mj_m2(low, high, above, altitude_m, radiation_k)
    by_hours = sun.by_sunshine_mj_m2(sunshine_h, latitude_deg, day_of_year)
    return _shaped(
        combined(
            t_min_c=low,
            t_max_c=high,
            vapour=vapour,
            radiation=_or(radiation_mj_m2, _or(by_hours, by_rule)),
            above_air=above,
            wind_m_s=_or(air.wind_2m_m_s(wind_m_s, wind_height_m), floats(air.WIND_UNKNOWN_M_S)),
            altitude_m=altitude_m,
            soil_heat=soil_heat_mj_m2,
        )
    )


def combined(
    *,
    t_min_c: ArrayLike,
    t_max_c: ArrayLike,
    vapour: ArrayLike,
    radiation: ArrayLike,
    above_air: ArrayLike,
    wind_m_s: ArrayLike,
    altitude_m: ArrayLike,
    soil_heat: ArrayLike = 0.0,
) -> Floats:
    """The equation of `penman_monteith` where all is known, mm/day: vapour in kPa, radiation MJ/m², wind at 2 m."""
    low, high = floats(t_min_c), floats(t_max_c)
    mean = (low + high) / 2.0
    slope, psychrometric = air.saturation_slope_kpa_c(mean), air.psychrometric_kpa_c(altitude_m)
    wind, lack = floats(wind_m_s), air.saturation_mean_kpa(low, high) - floats(vapour)
    longwave = sun.net_longwave_mj_m2(
        t_min_c=low,
        t_max_c=high,
        vapour=vapour,
        radiation=radiation,
        clear_sky=sun.clear_sky_mj_m2(above_air, altitude_m),
    )
    heat = sun.net_radiation_mj_m2(radiation, longwave) - floats(soil_heat)
    by_sun = _MM_PER_MJ_M2 * slope * heat
    by_wind = psychrometric * 900.0 / (mean + 273.0) * wind * lack
    depth = (by_sun + by_wind) / (slope + psychrometric * (1.0 + 0.34 * wind))
    return np.maximum(depth, 0.0)


def et_methods(weather: Weather) -> NDArray[np.uint8]:
    """How `reference_et` finds each day's figure: an `EtMethod`, uint8 (days,).

    Hargreaves where neither radiation, wind nor humidity is known, Penman-Monteith else, with rules for what lacks.
    """
    humid = ~(np.isnan(weather.dew_point_c) & np.isnan(weather.humidity_mean_pct))
    known = np.array([~np.isnan(weather.radiation_mj_m2), ~np.isnan(weather.wind_m_s), humid])
    methods = np.full(weather.days, EtMethod.PARTLY_ESTIMATED, dtype=np.uint8)
    methods[known.all(axis=0)] = EtMethod.PENMAN_MONTEITH
    methods[~known.any(axis=0)] = EtMethod.HARGREAVES
    methods[np.isnan(weather.t_min_c) | np.isnan(weather.t_max_c)] = EtMethod.NONE
    return methods


def et_words(weather: Weather) -> str:
    """How the reference evapotranspiration of a run of days was found, in words, with the days of each way."""
    counts = np.bincount(et_methods(weather), minlength=len(EtMethod))
    used = [(method, int(counts[method])) for method in EtMethod if counts[method]]
    if len(used) == 1:
        return f"{_WORDS[used[0][0]]}."
    return "; ".join(f"{_WORDS[method]} ({days} days)" for method, days in used) + "."


def reference_et(
    weather: Weather,
    *,
    latitude_deg: float,
    altitude_m: float,
    dew_drop_c: float = 0.0,
    radiation_k: float = sun.RADIATION_K_INLAND,
) -> Floats:
    """Reference evapotranspiration of each day, mm/day, float64 (days,), by the best way that its figures allow.

    Penman-Monteith with its rules for what is missing, Hargreaves where only temperatures are known; `et_methods` says
    which, `et_words` in words. NaN where a temperature is not known. latitude_deg: north positive.
    """
    day = weather.day_of_year()
    full = penman_monteith(
        t_min_c=weather.t_min_c,
        t_max_c=weather.t_max_c,
        latitude_deg=latitude_deg,
        altitude_m=altitude_m,
        day_of_year=day,
        radiation_mj_m2=weather.radiation_mj_m2,
        wind_m_s=weather.wind_m_s,
        dew_point_c=weather.dew_point_c,
        humidity_mean_pct=weather.humidity_mean_pct,
        dew_drop_c=dew_drop_c,
        radiation_k=radiation_k,
    )
    warm = hargreaves(t_min_c=weather.t_min_c, t_max_c=weather.t_max_c, latitude_deg=latitude_deg, day_of_year=day)
    return np.where(et_methods(weather) == EtMethod.HARGREAVES, warm, full)


def vapour_of(weather: Weather) -> Floats:
    """Vapour pressure of each day's air, kPa, float64 (days,), by the rules of `air.vapour_kpa`."""
    return air.vapour_kpa(
        t_min_c=weather.t_min_c,
        t_max_c=weather.t_max_c,
        dew_point_c=weather.dew_point_c,
        humidity_mean_pct=weather.humidity_mean_pct,
    )


def et_in_place(
    weather: Weather,
    reference_mm: Floats,
    *,
    latitude_deg: float,
    altitude_m: float,
    wind_share: float = 1.0,
    sun_share: float = 1.0,
) -> Floats:
    """Reference evapotranspiration where shelter lets through a share of the wind and shade a share of the sun, mm/day.

    The reference, by whichever method, times the ratio of Penman-Monteith with and without them; so that both act
    through what they change. Shade cuts the short-wave radiation that comes down; the heat given off stays as it was.
    """
    if wind_share == 1.0 and sun_share == 1.0:
        return reference_mm
    low, high = weather.t_min_c, weather.t_max_c
    above = sun.above_air_mj_m2(latitude_deg, weather.day_of_year())
    radiation = _or(weather.radiation_mj_m2, sun.by_warmth_mj_m2(low, high, above, altitude_m))
    wind = _or(weather.wind_m_s, floats(air.WIND_UNKNOWN_M_S))

    def depth(blows: float, shines: float) -> Floats:
        return combined(
            t_min_c=low,
            t_max_c=high,
            vapour=vapour_of(weather),
            radiation=radiation,
            above_air=above,
            wind_m_s=wind * blows,
            altitude_m=altitude_m,
            soil_heat=(1.0 - shines) * (1.0 - sun.GRASS_ALBEDO) * radiation,
        )

    out, here = depth(1.0, 1.0), depth(wind_share, sun_share)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.where(out > 0.0, here / out, 1.0)
    return reference_mm * ratio
