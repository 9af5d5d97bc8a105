"""The read-out in Lasting: what the bed or the tank at a spot says of the day under the hand."""

from __future__ import annotations

from shapely import Point

from gardenwater.report.text import litres
from gardenwater.report.year.bed_words import bed_wants, short_of_full
from gardenwater.report.year.day import DayState, TankDay
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Bed, Tank
from gardenwater.units import UnitSystem

_NEAR_TANK_M = 0.5


def lasting_words(at: tuple[float, float], site: Site, day: DayState) -> tuple[str, tuple[str, ...]]:
    """The answer at a spot, and what is said after it; empty away from beds and tanks."""
    spot, units = Point(at), site.settings.units
    tank = next((each for each in site.of(Tank) if each.footprint.distance(spot) <= _NEAR_TANK_M), None)
    if tank is not None and tank.id in day.tanks:
        held = day.tanks[tank.id]
        return f"{name_of(site, tank.id)}, {litres(held.volume_l, units)}", tank_words(held, units)
    bed = next((each for each in site.of(Bed) if each.shape.covers(spot)), None)
    if bed is None or bed.id not in day.beds:
        return "", ()
    return f"{name_of(site, bed.id)}, {bed_wants(day.beds[bed.id], day.date, day.can_l)}", bed_more(bed.id, site, day)


def bed_more(bed: str, site: Site, day: DayState) -> tuple[str, ...]:
    """How much its root zone lacks, and which tanks reach it at their levels that day."""
    state = day.beds[bed]
    names = [name_of(site, tank) for tank in state.within]
    within = f"water within reach: {', '.join(names)}" if names else "no water within reach, cans only"
    return tuple(filter(None, (short_of_full(state, site.settings.units), within)))


def tank_words(held: TankDay, units: UnitSystem) -> tuple[str, ...]:
    """How many beds a tank reaches at its level, and whether it runs over."""
    spills = f"spills {litres(held.spill_l, units)}" if held.spills else ""
    return tuple(filter(None, (serves_words(held), spills)))


def serves_words(held: TankDay) -> str:
    """What a tank is good for that day: "serves 7 beds", "cans only", "empty"."""
    if held.volume_l < 0.5:
        return "empty"
    count = len(held.serves)
    return f"serves {count} bed{'' if count == 1 else 's'}" if count else "cans only"
