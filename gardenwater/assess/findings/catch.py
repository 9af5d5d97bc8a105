"""Findings of Catch: whose water is lost, what is too small, what leads nowhere."""

from __future__ import annotations

from collections.abc import Iterator

from gardenwater.assess.answers import CatchAnswer
from gardenwater.catch import Capacity
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Roof, Tank, Thing

LEAST_L = 1.0
"""Litres in a wet day (or a year, where that is known) under which nothing is said."""


def catch_findings(site: Site, answer: CatchAnswer) -> Iterator[Finding]:
    """Water that runs past the tanks, and things that cannot do their part."""
    yield from _uncaught(site, answer)
    for roof in site.of(Roof):
        yield from _eaves(roof, answer)
    for pipe, capacity in answer.capacities.pipes.items():
        yield from _too_small("catch.pipe-too-small", pipe, capacity)
    for pipe, capacity in answer.capacities.outlets.items():
        case = "strainer" if site.thing(pipe, Downpipe).strainer else ""
        yield from _too_small("catch.outlet-too-small", pipe, capacity, case)
    for gutter, capacity in answer.capacities.gutters.items():
        yield from _too_small("catch.gutter-too-small", gutter, capacity)
    for lost in answer.wires.unjoined:
        thing = site.thing(lost.thing, Thing)
        yield made("catch.unjoined", thing.id, case=f"{thing.kind}-{lost.field}".replace("_", "-"))
    joined = tuple(dict.fromkeys(each.thing for each in answer.wires.joined))
    if joined:
        yield made("catch.joined-to-nearest", others=joined, numbers={"count": float(len(joined))})
    yield from _unfed(site, answer)
    if answer.year is None and site.of(Roof):
        yield made("catch.no-rain", numbers={"rain_mm": site.settings.wet_day_mm})


def _litres(year_l: float | None, wet_day_l: float) -> tuple[str, dict[str, float], float]:
    """Which case, the numbers, and the stake: a year's litres where they are known."""
    if year_l is None:
        return "wet-day", {"wet_day_l": wet_day_l}, wet_day_l
    return "year", {"year_l": year_l, "wet_day_l": wet_day_l}, year_l


def _uncaught(site: Site, answer: CatchAnswer) -> Iterator[Finding]:
    for pipe_id in answer.uncaught:
        pipe = site.thing(pipe_id, Downpipe)
        year_l = answer.year.pipes[pipe_id].rest_l if answer.year is not None else None
        case, numbers, stake = _litres(year_l, answer.wet_day.pipes[pipe_id].rest_l)
        if stake >= LEAST_L:
            drained = "drained-" if pipe.drained else ""
            yield made("catch.pipe-uncaught", pipe_id, case=drained + case, numbers=numbers, stake=stake)


def _eaves(roof: Roof, answer: CatchAnswer) -> Iterator[Finding]:
    """Water that drips: all of a roof without downpipes, or of eaves without a gutter."""
    year_l = answer.year.eaves.get(roof.id, 0.0) if answer.year is not None else None
    case, numbers, stake = _litres(year_l, answer.wet_day.eaves.get(roof.id, 0.0))
    if stake >= LEAST_L:
        drained = roof.id in answer.wires.roof_of.values()
        code = "catch.eaves-drip" if drained else "catch.roof-without-pipe"
        yield made(code, roof.id, case=case, numbers=numbers, stake=stake)


def _too_small(code: str, thing_id: str, capacity: Capacity, case: str = "") -> Iterator[Finding]:
    if not capacity.enough:
        numbers = {
            "carries_l_s": capacity.carries_l_s,
            "sends_l_s": capacity.sends_l_s,
            "effective_m2": capacity.effective_m2,
        }
        stake = capacity.sends_l_s - capacity.carries_l_s
        yield made(code, thing_id, case=case, numbers=numbers, stake=stake)


def _unfed(site: Site, answer: CatchAnswer) -> Iterator[Finding]:
    fed = {answer.wires.tank_of[diverter] for diverter in answer.wet_day.diverters}
    fed |= {tank for pair in answer.wires.tanks_of.values() for tank in pair}
    for tank in site.of(Tank):
        if tank.id not in fed:
            yield made("catch.tank-unfed", tank.id, stake=tank.capacity_l)
