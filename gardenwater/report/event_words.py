"""What Overflow is asked for, in words: for the card and the printed sheet."""

from __future__ import annotations

from gardenwater.assess.event import SpillEvent, event_of
from gardenwater.site.calendar import day_words
from gardenwater.site.model import EventKind, Site
from gardenwater.site.names import name_of
from gardenwater.units import Quantity, text

_FIRST_REAL_YEAR = 1000


def event_words(site: Site) -> str:
    """The event in a few words, without a full stop, as "A wet day of 24 mm in 6 hours, tanks as they are now"."""
    event, settings = event_of(site), site.settings
    said = [_asked(site, event)]
    if event.litres is None:
        said.append("tanks full before it" if settings.tanks_full else "tanks as they are now")
    if event.only:
        said.append(f"the water of {name_of(site, event.only)} alone")
    if event.ground_rain_mm > 0.0:
        said.append("on the ground too")
    if settings.wet_soak_share < 1.0:
        said.append("the soil wet")
    return ", ".join(said)


def _asked(site: Site, event: SpillEvent) -> str:
    units = site.settings.units
    rain, hours = text(event.rain_mm, Quantity.RAIN_MM, units), text(event.hours, Quantity.HOURS, units)
    if event.litres is not None:
        whose = name_of(site, event.only) if event.only else "each tank"
        return f"{text(event.litres, Quantity.VOLUME_L, units)} from {whose} in {hours}"
    if event.day is not None:
        # years that are made are counted from 1
        year = f"of made year {event.day.year}" if event.day.year < _FIRST_REAL_YEAR else str(event.day.year)
        return f"{day_words(event.day)} {year}: {rain}, taken in {hours}"
    kind = "A design storm" if event.kind is EventKind.STORM else "A wet day"
    return f"{kind} of {rain} in {hours}"
