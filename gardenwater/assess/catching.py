"""The catch of a site: what leads to what, whose roof it is, litres."""

from __future__ import annotations

from dataclasses import replace

from gardenwater.assess.answers import CatchAnswer
from gardenwater.assess.event import event_of
from gardenwater.catch import RoofPart, Spills, Wiring, capacities, spills, typed_spills, year_yields, yields
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import Tank


def catch_answer(site: Site, ground: Ground, wires: Wiring, parts: tuple[RoofPart, ...]) -> CatchAnswer:
    """Litres of a year and of the wet day, from parts of roofs and wiring that are at hand."""
    settings = site.settings
    wet_day = yields(site, settings.wet_day_mm, hours=settings.wet_day_h, wires=wires, roof_parts=parts)
    return CatchAnswer(
        wires=wires,
        parts=parts,
        year=year_yields(site, wires=wires, roof_parts=parts),
        wet_day=wet_day,
        spills=_spills(site, ground, wires, parts),
        capacities=capacities(site, wires=wires, roof_parts=parts),
        uncaught=tuple(
            pipe for pipe, found in wet_day.pipes.items() if found.runs_l > 0 and not wires.diverters_on(site, pipe)
        ),
    )


def _spills(site: Site, ground: Ground, wires: Wiring, parts: tuple[RoofPart, ...]) -> Spills:
    """What is spilled in the event that Overflow is asked for."""
    event = event_of(site)
    if event.litres is not None:
        only = site.get(event.only)
        tanks = (only,) if isinstance(only, Tank) else site.of(Tank)
        return typed_spills(site, {tank.id: event.litres for tank in tanks}, wires=wires)
    return spills(_before_rain(site), event.rain_mm, event.hours, ground=ground, wires=wires, roof_parts=parts)


def _before_rain(site: Site) -> Site:
    """The site as the wet day finds it: with full tanks where the settings say so."""
    if not site.settings.tanks_full:
        return site
    things = tuple(replace(each, water_l=each.capacity_l) if isinstance(each, Tank) else each for each in site)
    return site.replace(things=things)
