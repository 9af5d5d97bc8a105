"""The sky: days of weather, recorded or made from monthly figures; what is wrong with a record; reference evaporation.

Weather(start=..., rain_mm=..., t_min_c=..., ...)         a run of days, immutable
Monthly(rain_mm, wet_days, t_min_c, t_max_c)              twelve monthly figures
make_days(monthly, years, seed) -> Weather                years made from them
handle_of(weather) -> WeatherHandle                       a record as a site holds it
changed(weather, rain_factor, t_shift_c) -> Weather       a changed climate
penman_monteith(...), hargreaves(...), reference_et(...)  reference evapotranspiration, mm a day
look_over(rows, choices) -> LookedOver                    what is wrong with a record, and the weather put right
look(weather) -> WeatherLook                              years, months, wet and dry spells
sky(site) -> Sky | None                                   what a site is run on
"""

from __future__ import annotations

from gardenwater.site.climate import ChangedClimate, Monthly, WeatherHandle
from gardenwater.weather.anomalies import CHOICES, Anomaly, Choices, Kind, Mend
from gardenwater.weather.et import hargreaves, penman_monteith, reference_et
from gardenwater.weather.looking import MonthRun, Spell, WeatherLook, driest_run, look, monthly_of, spells
from gardenwater.weather.made import Chain, chain_of, make_days, usual_wet_days
from gardenwater.weather.mending import LookedOver, look_over
from gardenwater.weather.model import COLUMNS, Weather
from gardenwater.weather.rows import DayRows, Unread
from gardenwater.weather.running import MADE_YEARS, Origin, Sky, changed, handle_of, has_sky, ready, sky
from gardenwater.weather.seasons import course

__all__ = [
    "CHOICES",
    "COLUMNS",
    "MADE_YEARS",
    "Anomaly",
    "Chain",
    "ChangedClimate",
    "Choices",
    "DayRows",
    "Kind",
    "LookedOver",
    "Mend",
    "MonthRun",
    "Monthly",
    "Origin",
    "Sky",
    "Spell",
    "Unread",
    "Weather",
    "WeatherHandle",
    "WeatherLook",
    "chain_of",
    "changed",
    "course",
    "driest_run",
    "handle_of",
    "hargreaves",
    "has_sky",
    "look",
    "look_over",
    "make_days",
    "monthly_of",
    "penman_monteith",
    "ready",
    "reference_et",
    "sky",
    "spells",
    "usual_wet_days",
]
