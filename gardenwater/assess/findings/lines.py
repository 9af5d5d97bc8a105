"""Findings of watering lines as they are drawn: rises, air, silt, light."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from gardenwater.assess.answers import TankChain
from gardenwater.assess.lines import line_of
from gardenwater.catch import Wiring
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground
from gardenwater.reach import WayPoint, WayProfile, way_profile
from gardenwater.site.model import Site
from gardenwater.site.things import WateringLine

LEAST_OVER_M = 0.005
"""Shown heights go to the centimetre: less is none."""


def line_findings(site: Site, ground: Ground, chains: Mapping[str, TankChain], wires: Wiring) -> Iterator[Finding]:
    """What is to be said of each line that is drawn."""
    for drawn in site.of(WateringLine):
        if not drawn.opaque:
            yield made("line.clear", drawn.id, stake=drawn.shape.length)
        chain = chains.get(wires.tank_of.get(drawn.id, ""))
        if chain is None or math.isnan(chain.ground_level_m) or drawn.shape.length == 0.0:
            continue
        found = drawn_profile(site, drawn, ground, chain, full=True)
        yield from _over(drawn, chain, found, drawn_profile(site, drawn, ground, chain, full=False))
        yield from _points("line.high-point", drawn, found.highs)
        yield from _points("line.low-point", drawn, found.lows)


def drawn_profile(site: Site, drawn: WateringLine, ground: Ground, chain: TankChain, *, full: bool) -> WayProfile:
    """A drawn line from the side, with the water as it stands, or with the tank full."""
    return way_profile(
        ground,
        way=drawn.shape,
        water_level_m=chain.overflow_level_m if full else chain.water_level_m,
        outlet_level_m=chain.outlet_level_m,
        line=line_of(site, drawn),
    )


def _over(drawn: WateringLine, chain: TankChain, full: WayProfile, now: WayProfile) -> Iterator[Finding]:
    """Where the line climbs over what the water drives: of a full tank, or of what it holds now."""
    always = full.over_m > LEAST_OVER_M
    found = full if always else now
    if found.over_m > LEAST_OVER_M and (always or chain.water_level_m > chain.outlet_level_m):
        numbers = {"over_m": found.over_m, "distance_m": found.over_at_m}
        if not always:
            numbers["needed_m"] = now.water_level_m + now.over_m
        spot = drawn.shape.interpolate(found.over_at_m)
        yield made(
            "line.over-grade" if always else "line.over-grade-now",
            drawn.id,
            others=(chain.tank,),
            numbers=numbers,
            at=(spot.x, spot.y),
            stake=found.over_m,
        )


def _points(code: str, drawn: WateringLine, points: tuple[WayPoint, ...]) -> Iterator[Finding]:
    if points:
        worst = max(points, key=lambda point: point.by_m)
        numbers = {"distance_m": worst.distance_m, "by_m": worst.by_m, "count": float(len(points))}
        case = "one" if len(points) == 1 else "several"
        yield made(code, drawn.id, case=case, numbers=numbers, at=worst.at, stake=worst.by_m)
