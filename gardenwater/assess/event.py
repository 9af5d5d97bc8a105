"""What Overflow is asked for: a wet day, a design storm, a day of the weather, or litres that are typed in."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from gardenwater.errors import InputError
from gardenwater.site.climate import ChangedClimate, Monthly, WeatherHandle
from gardenwater.site.model import EventKind, Site
from gardenwater.site.things import Downpipe, Roof, Tank
from gardenwater.tables import table

_L = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpillEvent:
    """One event. kind: as asked for, or a wet day where the asked day of the weather is not there.

    rain_mm, hours: rain on the roofs and how long it (or what is typed) runs. ground_rain_mm: on the ground itself.
    soak_mm_h: the soil's rate, as wet as it is. litres: typed in, for each tank; None when rain is asked for.
    only: id of the tank, downpipe or roof whose water alone is followed; empty for the whole site. day: of the weather.
    missing: what was asked for and is not there, "day" or "owner", or empty.
    """

    kind: EventKind
    rain_mm: float
    hours: float
    ground_rain_mm: float
    soak_mm_h: float
    litres: float | None = None
    only: str = ""
    day: dt.date | None = None
    missing: str = ""


def event_of(site: Site) -> SpillEvent:
    """What a site's settings ask of Overflow."""
    settings = site.settings
    kind, rain_mm, hours, day, missing = settings.event, settings.wet_day_mm, settings.wet_day_h, None, ""
    if kind is EventKind.STORM:
        rain_mm, hours = settings.storm_mm, settings.storm_h
    elif kind is EventKind.WEATHER_DAY:
        day = _day(site)
        if day is None:
            kind, missing = EventKind.WET_DAY, "day"
        else:
            rain_mm = _rain(site)[day]
    typed = kind is EventKind.LITRES
    only = _owner(site, settings.spills_from)
    if settings.spills_from and not only:
        missing = missing or "owner"
    return SpillEvent(
        kind=kind,
        rain_mm=0.0 if typed else rain_mm,
        hours=hours,
        ground_rain_mm=0.0 if typed or not settings.rain_on_ground else rain_mm,
        soak_mm_h=table("soils").row(settings.soil).soak_mm_h * settings.wet_soak_share,
        litres=settings.typed_l if typed else None,
        only=only,
        day=day,
        missing=missing,
    )


def has_water(site: Site) -> bool:
    """Whether there is anything that Overflow can follow: roofs, tanks to type litres for, or rain on the ground."""
    settings = site.settings
    if settings.event is EventKind.LITRES:
        return bool(site.of(Tank))
    return bool(site.of(Roof)) or settings.rain_on_ground


def _owner(site: Site, named: str) -> str:
    """The id of the tank, downpipe or roof of this name (or id); empty when there is none."""
    owners = [thing for thing in site if isinstance(thing, Tank | Downpipe | Roof)]
    found = [thing.id for thing in owners if thing.name == named] or [thing.id for thing in owners if thing.id == named]
    return found[0] if named and found else ""


def day_named(site: Site, words: str) -> dt.date:
    """The day of the weather that is written as 2014-11-19. Raises InputError where it is no date, or not known."""
    try:
        day = dt.date.fromisoformat(words)
    except ValueError:
        raise InputError(
            f'"{words}" is no date.', where="weather_day", mend="Write it as 2014-11-19, or nothing for the wettest."
        ) from None
    rain = _rain(site)
    if day not in rain:
        known = f"It rains on {len(rain)} days from {min(rain)} to {max(rain)}." if rain else "Give the site weather."
        raise InputError(f"No rain is known for {day}.", where="weather_day", mend=known)
    return day


def _day(site: Site) -> dt.date | None:
    """The day that is asked for, its wettest when none is; None when the weather does not have it."""
    if not site.settings.weather_day:
        rain = _rain(site)
        return max(rain, key=rain.__getitem__, default=None)
    try:
        return day_named(site, site.settings.weather_day)
    except InputError:
        return None


def _rain(site: Site) -> dict[dt.date, float]:
    return _rain_of(site.weather, site.monthly, site.change)


@lru_cache(maxsize=4)
def _rain_of(
    weather: WeatherHandle | None, monthly: Monthly | None, change: ChangedClimate | None
) -> dict[dt.date, float]:
    """Rain of each day that it is known for, mm."""
    from gardenwater.weather import sky

    record = weather.payload if weather is not None else None
    under = sky(Site(weather=weather, monthly=monthly, change=change))
    days = under.weather if under is not None else record
    if days is None:
        return {}
    known = np.flatnonzero(np.nan_to_num(days.rain_mm) > 0.0).tolist()
    return {days.start + dt.timedelta(days=number): float(days.rain_mm[number]) for number in known}
