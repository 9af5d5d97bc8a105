"""The sky: days of weather, recorded or made from monthly figures; what is wrong with a record; reference evaporation.

Weather(start=..., rain_mm=..., t_min_c=..., ...)         a run of days, immutable
Monthly(rain_mm, wet_days, t_min_c, t_max_c)              twelve monthly figures
make_days(monthly, years, seed) -> Weather                years made from them
handle_of(weather) -> WeatherHandle                       a record as a site holds it
changed(weather, rain_factor, t_shift_c) -> Weather       a changed climate
penman_monteith(...), hargreaves(...), reference_et(...)  reference evapotranspiration, mm a day
sky(site) -> Sky | None                                   what a site is run on
"""

from __future__ import annotations

from gardenwater.site.climate import ChangedClimate, Monthly, WeatherHandle
from gardenwater.weather.course import course
from gardenwater.weather.et import hargreaves, penman_monteith, reference_et
from gardenwater.weather.made import Chain, chain_of, make_days, usual_wet_days
from gardenwater.weather.model import COLUMNS, Weather
from gardenwater.weather.sky import MADE_YEARS, Origin, Sky, changed, handle_of, has_sky, ready, sky

__all__ = [
    "COLUMNS",
    "MADE_YEARS",
    "Chain",
    "ChangedClimate",
    "Monthly",
    "Origin",
    "Sky",
    "Weather",
    "WeatherHandle",
    "chain_of",
    "changed",
    "course",
    "handle_of",
    "hargreaves",
    "has_sky",
    "make_days",
    "penman_monteith",
    "ready",
    "reference_et",
    "sky",
    "usual_wet_days",
]
