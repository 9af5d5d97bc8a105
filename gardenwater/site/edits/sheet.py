"""Edits of what holds for the whole site: settings, ground, underlay, survey, name, log."""

from __future__ import annotations

import dataclasses
from typing import Any

from gardenwater.errors import EditError
from gardenwater.site.climate import ChangedClimate, Monthly, WeatherHandle
from gardenwater.site.edits.companions import of_line
from gardenwater.site.fields import specs
from gardenwater.site.model import GroundHandle, LogEntry, Settings, Site, Survey, Underlay, UsualLine
from gardenwater.site.settle import settled
from gardenwater.site.validate import LONGEST_NOTE, check_settings, climate_errors, survey_errors, words_fault


def _known(kind: type[Any], fields: dict[str, Any], owner: str) -> None:
    for name in fields:
        if name not in specs(kind):
            mend = f"Its fields are: {', '.join(specs(kind))}."
            raise EditError(f"There is no field {name!r}.", where=owner, mend=mend)


def _with_settings(site: Site, changed: Settings) -> Site:
    if changed == site.settings:
        return site
    check_settings(changed)
    return site.replace(settings=changed)


def settings(site: Site, **fields: Any) -> Site:
    """Change settings of the site: `settings(site, can_l=9.0, latitude_deg=51.5)`.

    The line carried from tank to tank has an edit of its own, `usual_line`. Raises EditError for a field that is none
    and for a value that cannot be taken.
    """
    _known(Settings, fields, "Settings")
    return _with_settings(site, settled(dataclasses.replace(site.settings, **fields)))


def usual_line(site: Site, **fields: Any) -> Site:
    """Change the line that is carried from tank to tank: `usual_line(site, bore="hose-13")`.

    Another end brings its own fittings, lift and least head (`edits.companions`). Raises EditError as `settings`.
    """
    _known(UsualLine, fields, "Usual line")
    old = site.settings.line
    line = settled(dataclasses.replace(old, **fields, **of_line(old, fields)))
    return _with_settings(site, dataclasses.replace(site.settings, line=line))


def set_ground(site: Site, ground: GroundHandle | None, *, crs: str | None = None) -> Site:
    """Lay a raster of levels under the site, or take it away (None).

    crs: the map reference of the site from now on; unless given it is the site's, or the ground's where the site has
    none. Raises EditError when site and ground have different ones and none is given: give the site's where the two
    are two names of one.
    """
    theirs = ground.crs if ground is not None else ""
    if crs is None and site.crs and theirs and site.crs != theirs:
        raise EditError(
            "The ground has another map reference than the site.",
            where=site.name,
            mend="Convert the ground to the site's, or start a new site from it.",
        )
    kept = crs if crs is not None else (site.crs or theirs)
    return site if ground == site.ground and kept == site.crs else site.replace(ground=ground, crs=kept)


def set_underlay(site: Site, underlay: Underlay | None) -> Site:
    """Lay a picture under the plan, or take it away (None). Raises EditError for an opacity that is no share."""
    if underlay is not None and not 0.0 <= underlay.opacity <= 1.0:
        raise EditError("Opacity is no share.", where="Underlay", mend="Give 0 to 1.")
    return site if underlay == site.underlay else site.replace(underlay=underlay)


def set_survey(site: Site, survey: Survey) -> Site:
    """Take another survey: traced contours and level book.

    Raises EditError naming the contour or the row of the book that cannot be taken.
    """
    for error in survey_errors(site, survey):
        raise error
    return site if survey == site.survey else site.replace(survey=survey)


def set_weather(site: Site, weather: WeatherHandle | None) -> Site:
    """Take a record of days, or take it away (None)."""
    return site if weather == site.weather else site.replace(weather=weather)


def set_monthly(site: Site, monthly: Monthly | None) -> Site:
    """Take twelve monthly figures, or take them away (None). Raises EditError naming the month that cannot be taken."""
    return _with_climate(site, site.replace(monthly=monthly))


def set_change(site: Site, change: ChangedClimate | None) -> Site:
    """Change the climate by monthly factors, or leave it as it is (None, and factors that change nothing).

    Raises EditError naming the month that cannot be taken.
    """
    kept = None if change is not None and change.is_none else change
    return _with_climate(site, site.replace(change=kept))


def _with_climate(site: Site, changed: Site) -> Site:
    if (changed.monthly, changed.change) == (site.monthly, site.change):
        return site
    for error in climate_errors(changed):
        raise error
    return changed


def clear_weather(site: Site) -> Site:
    """Take away the record of days, the monthly figures and the change of climate."""
    return set_change(set_monthly(set_weather(site, None), None), None)


def rename_site(site: Site, name: str, *, about: str | None = None) -> Site:
    """Give the site a name, and words about it. Raises EditError for an empty name or words that cannot be kept."""
    told = site.about if about is None else about.strip()
    kept = name.strip()
    if not kept:
        raise EditError("The site has no name.", where="Site, Name", mend="Type one.")
    fault = words_fault(kept, "Name") or words_fault(told, "About", LONGEST_NOTE, lines=True)
    if fault is not None:
        raise fault.error("Site")
    return site if (kept, told) == (site.name, site.about) else site.replace(name=kept, about=told)


def add_log(site: Site, *, when: str, what: str) -> Site:
    """Write a line in the site's log. when: ISO 8601, local time with offset. Raises EditError for empty words."""
    kept = what.strip()
    if not kept:
        raise EditError("Nothing was written.", where="Log", mend="Say what was done.")
    fault = words_fault(when, "When") or words_fault(kept, "What", LONGEST_NOTE, lines=True)
    if fault is not None:
        raise fault.error("Log")
    return site.replace(log=(*site.log, LogEntry(when, kept)))
