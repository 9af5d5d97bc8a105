"""Findings of places for a tank. The subject of a proposal is the spot, by its name."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.findings.safety import (
    BEARING_KPA,
    base_pressure_kpa,
    full_weight_kg,
    least_width_m,
    tank_findings,
)
from gardenwater.assess.stand_answer import ProposedTank, StandSafety
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground, levels_at
from gardenwater.reach import BedChance, StandMap, WhyNot
from gardenwater.site.model import Site
from gardenwater.site.things import Building, Tank, Thing, Wall

CLEARS_M = 0.15
"""A feed that clears the inlet by less is named: about three times the error of usual ground levels; judgement."""
FROM_BUILDING_M = 3.0
"""Overflow from a foundation: US practice, 10 ft, university extension note, seen second-hand."""
CHILD_REACH_M = 2.0
"""A lid under it is within reach of a child that climbs: judgement, no source."""
UNEVEN_M = 0.05
"""Less fall across a base is taken up by its bedding: judgement, no source."""


def safety_of(site: Site, tank: Tank, ground: Ground) -> StandSafety:
    """The figures of a tank as it would stand: weight, load on its base, height to base, what is near."""
    return StandSafety(
        weight_kg=full_weight_kg(tank),
        pressure_kpa=base_pressure_kpa(tank),
        bearing_kpa=BEARING_KPA,
        height_to_base=(tank.stand_height_m + tank.depth_m) / least_width_m(tank),
        base_fall_m=_base_fall_m(tank, ground),
        building_m=_nearest(tank, site.of(Building))[0],
        wall_m=_nearest(tank, site.of(Wall))[0],
        lid_m=tank.stand_height_m + tank.depth_m,
    )


def _nearest(tank: Tank, things: Iterable[Building | Wall]) -> tuple[float, str]:
    found = [(float(_outline(thing).distance(tank.footprint)), thing.id) for thing in things]
    return min(found, default=(math.inf, ""))


def _outline(thing: Thing) -> BaseGeometry:
    return thing.shape.buffer(thing.thickness_m / 2) if isinstance(thing, Wall) else thing.shape


def _base_fall_m(tank: Tank, ground: Ground) -> float:
    """Highest less lowest ground under the outline, m; 0 where none is known."""
    outline = shapely.segmentize(tank.footprint, max(ground.cell_x_m, 0.1)).exterior
    x, y = shapely.get_coordinates(outline).T
    levels = levels_at(ground, x, y)
    known = levels[~np.isnan(levels)]
    return float(known.max() - known.min()) if known.size else 0.0


def proposal_findings(site: Site, proposed: ProposedTank, ground: Ground) -> Iterator[Finding]:
    """What is to be watched on a spot. site: as it would be with the tank there."""
    at, name, safety = proposed.spot.at, proposed.name, proposed.safety
    steep = False
    for finding in tank_findings(site, proposed.tank, ground):
        steep = steep or finding.code == "safety.tank-on-slope"
        if finding.code not in {"safety.lid-open", "safety.tank-translucent"}:
            yield dataclasses.replace(finding, subject=f"The tank on {name.lower()}", at=at)
    if proposed.clears_m < CLEARS_M:
        numbers = {"clears_m": max(proposed.clears_m, 0.0), "feeder_m": proposed.spot.feeder_m}
        yield made("stand.clears-little", name, others=(proposed.pipe,), numbers=numbers, at=at)
    distance_m, building = _nearest(proposed.tank, site.of(Building))
    if distance_m < FROM_BUILDING_M:
        numbers = {"distance_m": distance_m, "limit_m": FROM_BUILDING_M}
        yield made("stand.near-building", name, others=(building,), numbers=numbers, at=at)
    if safety.base_fall_m > UNEVEN_M and not steep:
        yield made("stand.uneven-base", name, numbers={"fall_m": safety.base_fall_m}, at=at)
    if safety.lid_m < CHILD_REACH_M:
        yield made("stand.children", name, numbers={"lid_m": safety.lid_m}, at=at)


def spots_findings(proposals: Iterable[ProposedTank]) -> Iterator[Finding]:
    """What is to be said of all spots together."""
    heaviest = max((each.safety.pressure_kpa for each in proposals), default=None)
    if heaviest is not None:
        yield made("stand.ground-untested", numbers={"bearing_kpa": BEARING_KPA, "pressure_kpa": heaviest})


def bed_findings(answer: StandMap) -> Iterator[Finding]:
    """Beds that no spot serves; and where nothing can stand at all, why."""
    if not answer.feeds:
        yield made("stand.no-spot", case="no-pipe")
        return
    free = (answer.reason == WhyNot.STANDS) | (answer.reason >= WhyNot.NO_WAY)
    if not free.any():
        yield made("stand.no-spot", case="taken", numbers={"most_m": answer.limits.most_feeder_m})
        return
    for chance in answer.chances:
        if not chance.spots:
            yield _not_served(chance, answer)


_CASES = {WhyNot.FEED_LOW: "feed-low", WhyNot.STAND_HIGH: "stand-high", WhyNot.NO_WAY: "no-way"}


def _not_served(chance: BedChance, answer: StandMap) -> Finding:
    case = _CASES[chance.why]
    numbers = {} if case == "no-way" else {"short_m": chance.short_m, "stand_m": chance.stand_m}
    if case == "stand-high":
        numbers["most_m"] = answer.limits.most_stand_m
    stake = 0.0 if math.isnan(chance.short_m) else chance.short_m
    return made("stand.bed-not-served", chance.key, case=case, numbers=numbers, stake=stake)
