"""Findings of Overflow: where spilled water does harm, or has no place to go."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from shapely import Point

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.event import SpillEvent, event_of
from gardenwater.assess.findings.doors import door_findings
from gardenwater.assess.findings.drains import drain_findings
from gardenwater.assess.findings.pools import pool_findings
from gardenwater.assess.findings.ways import way_findings
from gardenwater.assess.takers import pond_seepage_mm_day
from gardenwater.assess.water import LEAST_L, Water, waters_of
from gardenwater.catch import Wiring
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.site.calendar import day_words
from gardenwater.site.model import EventKind, Site
from gardenwater.site.things import Ditch, Overflow, Pond, Swale, Tank
from gardenwater.tables import table

INTO_TAKER_M = 0.3
"""How far short of its taker a pipe may be drawn and still end in it."""


def overflow_findings(site: Site, answer: OverflowAnswer, wires: Wiring) -> Iterator[Finding]:
    """What the spilled water does on its way and where it stands, and pipes that do not do their part."""
    when = when_words(event_of(site))
    for finding in _found(site, answer, wires):
        yield replace(finding, words=(*finding.words, *when))


def when_words(event: SpillEvent) -> tuple[tuple[str, str], ...]:
    """When it is, in the middle of a sentence and at its start."""
    words = {
        EventKind.WET_DAY: "in a wet day",
        EventKind.STORM: "in the storm",
        EventKind.LITRES: "of what is typed in",
    }
    when = f"on {day_words(event.day)} {event.day.year}" if event.day is not None else words[event.kind]
    return ("when", when), ("When", when[:1].upper() + when[1:])


def _found(site: Site, answer: OverflowAnswer, wires: Wiring) -> Iterator[Finding]:
    waters = [water for water in waters_of(answer) if water.volume_l >= LEAST_L]
    pools = list(pool_findings(site, answer))
    yield from pools
    yield from way_findings(site, answer, waters, pools)
    yield from _takers(site, answer)
    yield from _no_pipe(site, waters, wires)
    yield from _misses(site)
    yield from drain_findings(site, answer, wires)
    yield from door_findings(site, answer)
    yield from _event(site, answer)


def _event(site: Site, answer: OverflowAnswer) -> Iterator[Finding]:
    """What was asked for, and on which soil."""
    event, settings = event_of(site), site.settings
    if event.missing:
        asked, case = (settings.weather_day, "day") if event.missing == "day" else (settings.spills_from, "owner")
        yield made("overflow.asked-missing", case=case, words={"asked": asked or "nothing"})
    if answer.sources:
        soil = table("soils").row(site.settings.soil)
        words, case = {"soil": soil.name.lower()}, "tanks-full" if settings.tanks_full else ""
        numbers = {"soak_mm_h": event.soak_mm_h, "rain_mm": event.rain_mm, "rain_h": event.hours}
        if event.litres is not None:
            numbers, case = {"soak_mm_h": event.soak_mm_h, "rain_l": event.litres, "rain_h": event.hours}, "litres"
        elif event.kind is not EventKind.WET_DAY:
            words["Asked"] = "The design storm" if event.day is None else "The rain of the day"
            case = "rain"
        yield made("overflow.soil", case=case, numbers=numbers, words=words)


def _takers(site: Site, answer: OverflowAnswer) -> Iterator[Finding]:
    """Takers that are full; a ditch holds nothing and is never called full."""
    for taker, taken in zip(answer.takers, answer.spill.taken, strict=True):
        taken_l = taken.volume_m3 * 1000.0
        if taken.full and taken_l >= LEAST_L and not isinstance(site.get(taker), Ditch):
            numbers, case = {"taken_l": taken_l}, ""
            pond = site.get(taker)
            if isinstance(pond, Pond):
                loss_mm_day = pond_seepage_mm_day(pond, site) + pond.evaporates_mm_day
                if loss_mm_day > 0.0:
                    numbers["room_days"], case = math.ceil(1000.0 * pond.freeboard_m / loss_mm_day), "pond"
            yield made("overflow.taker-full", taker, case=case, numbers=numbers, stake=taken_l)


def _no_pipe(site: Site, waters: list[Water], wires: Wiring) -> Iterator[Finding]:
    for water in waters:
        tank = site.get(water.owner)
        if isinstance(tank, Tank) and wires.overflow_of(site, tank.id) is None:
            numbers = {"volume_l": water.volume_l}
            yield made("overflow.no-pipe", tank.id, numbers=numbers, at=water.at, stake=water.volume_l)


def _misses(site: Site) -> Iterator[Finding]:
    """Pipes that are said to end in a taker and do not."""
    for pipe in site.of(Overflow):
        taker = site.get(pipe.taker)
        if taker is None:
            continue
        half_m = taker.width_m / 2 if isinstance(taker, Swale | Ditch) else 0.0
        mouth = Point(pipe.shape.coords[-1])
        short_m = mouth.distance(taker.shape) - half_m
        if short_m > INTO_TAKER_M:
            numbers = {"distance_m": short_m}
            at = (mouth.x, mouth.y)
            yield made("overflow.misses-taker", pipe.id, others=(taker.id,), numbers=numbers, at=at, stake=short_m)
