"""The weather that a site is run on: its record, or years made from its monthly figures; changed when it says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.site.climate import ChangedClimate, Monthly, WeatherHandle, change_faults
from gardenwater.site.model import Site
from gardenwater.weather.made import make_days
from gardenwater.weather.model import Weather
from gardenwater.weather.seasons import course

MADE_YEARS: Final = 30
"""Years that are made from monthly figures: as many as a climate normal is taken over (WMO)."""
_SEED: Final = 1


class Origin(StrEnum):
    """Where the days are from."""

    RECORD = "record"
    MADE = "made"


@dataclass(frozen=True, slots=True)
class Sky:
    """The days that a site is run on, no figure of rain or temperature missing.

    weather: changed by the site's change of climate, if any; its `left_out` marks days whose figures only stand in.
    origin: recorded, or made from monthly figures. temperatures_from_monthly: the record has none, the monthly figures
    gave them. changed: whether the climate is changed. gap_days: days in which figures stand in.
    """

    weather: Weather
    origin: Origin
    temperatures_from_monthly: bool
    changed: bool
    gap_days: int


def handle_of(weather: Weather) -> WeatherHandle:
    """A record of days as a site holds it."""
    return WeatherHandle(
        digest=weather.digest,
        source=weather.source,
        start=weather.start,
        days=weather.days,
        made=weather.made,
        notices=weather.notices,
        payload=weather,
    )


def has_sky(site: Site) -> bool:
    """Whether a site has weather to run on: a record with temperatures, or a record and monthly figures, or these."""
    record = None if site.weather is None else site.weather.payload
    return site.monthly is not None or (record is not None and record.knows("t_min_c") and record.knows("t_max_c"))


def sky(site: Site, *, years: int = MADE_YEARS, seed: int = _SEED) -> Sky | None:
    """The weather that a site is run on; None when it has too little of it (`has_sky`).

    A record comes first; where it has no temperatures the site's monthly figures give them. Without a record, `years`
    are made from the monthly figures with `seed`. The site's change of climate is applied to either.
    """
    if not has_sky(site):
        return None
    if site.weather is None:
        assert site.monthly is not None
        weather, origin, lent = make_days(site.monthly, years, seed), Origin.MADE, False
    else:
        record: Weather = site.weather.payload
        lent = not (record.knows("t_min_c") and record.knows("t_max_c"))
        weather = ready(_with_temperatures(record, site.monthly) if lent else record)
        origin = Origin.MADE if record.made else Origin.RECORD
    if site.change is not None:
        weather = changed(weather, site.change.rain_factor, site.change.t_shift_c)
    return Sky(weather, origin, lent, site.change is not None, int(weather.left_out.sum()))


def _with_temperatures(record: Weather, monthly: Monthly | None) -> Weather:
    assert monthly is not None
    assert monthly.t_min_c is not None
    assert monthly.t_max_c is not None
    dates = record.dates()
    return record.replaced(
        columns={"t_min_c": course(dates, monthly.t_min_c), "t_max_c": course(dates, monthly.t_max_c)}
    )


def ready(weather: Weather) -> Weather:
    """The weather with a figure for each day of rain and temperature, so that a run can go on over days left out.

    A day without rain known is dry. A temperature that is not known is drawn straight between its neighbours, or taken
    from the nearest day at an end. Such days are marked in `left_out`, and their years are not in `years`. A column
    that is not known at all stays so.
    """
    missing = weather.left_out | np.isnan(weather.rain_mm)
    figures: dict[str, NDArray[np.float64]] = {"rain_mm": np.nan_to_num(weather.rain_mm)}
    for name in ("t_min_c", "t_max_c"):
        if weather.knows(name):
            values = getattr(weather, name)
            missing = missing | np.isnan(values)
            figures[name] = between(values)
    return weather if not missing.any() else weather.replaced(left_out=missing, columns=figures)


def between(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """The values with the unknown ones drawn straight between their neighbours, float64 (days,); ends are held."""
    known = ~np.isnan(values)
    if known.all() or not known.any():
        return values
    places = np.arange(values.size)
    filled: NDArray[np.float64] = np.where(known, values, np.interp(places, places[known], values[known]))
    return filled


def changed(weather: Weather, rain_factor: Sequence[float], t_shift_c: Sequence[float]) -> Weather:
    """The weather with the rain of each month times a factor and its temperatures warmer by so much.

    rain_factor, t_shift_c (K): twelve each, January first. Wet days stay as many; the dew point moves with the
    temperatures, so that the air stays as humid. Raises InputError for factors that cannot be taken.
    """
    change = ChangedClimate(rain_factor, t_shift_c)
    for fault in change_faults(change):
        raise InputError(fault.what, where=fault.label, mend=fault.mend)
    month = weather.months() - 1
    factor, shift = (np.asarray(each, dtype=np.float64)[month] for each in (change.rain_factor, change.t_shift_c))
    return weather.replaced(
        columns={
            "rain_mm": weather.rain_mm * factor,
            "t_min_c": weather.t_min_c + shift,
            "t_max_c": weather.t_max_c + shift,
            "dew_point_c": weather.dew_point_c + shift,
        },
        notices=(*weather.notices, "The climate is changed by monthly factors."),
    )
