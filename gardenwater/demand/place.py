"""A bed's place: shade, shelter and cover, as they change the day's air and rain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.snow import rain_and_thaw
from gardenwater.site.things import Bed
from gardenwater.tables import table
from gardenwater.weather.air import WIND_UNKNOWN_M_S, humidity_at_noon_pct
from gardenwater.weather.et import et_in_place, vapour_of
from gardenwater.weather.model import Weather

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CommonSky:
    """What does not differ from bed to bed; worked out once for all of them. float64 (days,).

    et0_mm: reference evapotranspiration. water_mm: rain and thaw. wind_m_s: at 2 m, 2 m/s where it is not known.
    humidity_pct: the lowest of the day.
    """

    weather: Weather
    et0_mm: Floats
    water_mm: Floats
    wind_m_s: Floats
    humidity_pct: Floats
    latitude_deg: float
    altitude_m: float


def common_sky(weather: Weather, et0_mm: Floats, *, latitude_deg: float, altitude_m: float) -> CommonSky:
    """What all beds share of the weather. See `CommonSky`."""
    return CommonSky(
        weather=weather,
        et0_mm=et0_mm,
        water_mm=rain_and_thaw(weather.rain_mm, weather.t_min_c, weather.t_max_c)[0],
        wind_m_s=np.where(np.isnan(weather.wind_m_s), WIND_UNKNOWN_M_S, weather.wind_m_s),
        humidity_pct=humidity_at_noon_pct(vapour_of(weather), weather.t_max_c),
        latitude_deg=latitude_deg,
        altitude_m=altitude_m,
    )


@dataclass(frozen=True, slots=True)
class Place:
    """The sky as it comes down to one bed; float64 (days,), units as in `CommonSky`."""

    et0_mm: Floats
    water_mm: Floats
    wind_m_s: Floats
    humidity_pct: Floats


def place_of(bed: Bed, sky: CommonSky) -> Place:
    """The sky of one bed: shelter takes wind, shade takes sun, a cover takes rain and snow."""
    wind_share = 1.0 - table("shelters").row(bed.shelter).wind_cut
    et0_mm = et_in_place(
        sky.weather,
        sky.et0_mm,
        latitude_deg=sky.latitude_deg,
        altitude_m=sky.altitude_m,
        wind_share=wind_share,
        sun_share=1.0 - bed.shade,
    )
    return Place(
        et0_mm=et0_mm,
        water_mm=np.zeros_like(sky.water_mm) if bed.under_cover else sky.water_mm,
        wind_m_s=sky.wind_m_s * wind_share,
        humidity_pct=sky.humidity_pct,
    )
