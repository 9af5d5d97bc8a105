"""Findings of Overflow: where the spilled water of the wet day does harm, or has no place to go."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.findings.pools import pool_findings
from gardenwater.assess.findings.ways import way_findings
from gardenwater.assess.water import LEAST_L, Water, waters_of
from gardenwater.catch import Wiring
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.site.model import Site
from gardenwater.site.things import Ditch, Overflow, Swale, Tank
from gardenwater.tables import table

INTO_TAKER_M = 0.3
"""How far short of its taker a pipe may be drawn and still end in it."""


def overflow_findings(site: Site, answer: OverflowAnswer, wires: Wiring) -> Iterator[Finding]:
    """What the spilled water does on its way and where it stands, and pipes that do not do their part."""
    waters = [water for water in waters_of(answer) if water.volume_l >= LEAST_L]
    pools = list(pool_findings(site, answer))
    yield from pools
    yield from way_findings(site, answer, waters, pools)
    yield from _takers(site, answer)
    yield from _no_pipe(site, waters, wires)
    yield from _misses(site)
    if answer.sources:
        soil = table("soils").row(site.settings.soil)
        numbers = {
            "soak_mm_h": soil.soak_mm_h,
            "rain_mm": site.settings.wet_day_mm,
            "rain_h": site.settings.wet_day_h,
        }
        case = "tanks-full" if site.settings.tanks_full else ""
        yield made("overflow.soil", case=case, numbers=numbers, words={"soil": soil.name.lower()})


def _takers(site: Site, answer: OverflowAnswer) -> Iterator[Finding]:
    """Takers that are full; a ditch holds nothing and is never called full."""
    for taker, taken in zip(answer.takers, answer.spill.taken, strict=True):
        taken_l = taken.volume_m3 * 1000.0
        if taken.full and taken_l >= LEAST_L and not isinstance(site.get(taker), Ditch):
            yield made("overflow.taker-full", taker, numbers={"taken_l": taken_l}, stake=taken_l)


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
