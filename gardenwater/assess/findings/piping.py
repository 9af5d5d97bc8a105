"""Findings of feeders and links along their way over the ground: what they climb over, where water and air stay."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from shapely import LineString, union_all
from shapely.ops import nearest_points

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.assess.findings.levels import LEAST_GAP_M, up_to_cm
from gardenwater.catch import Wiring
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground
from gardenwater.reach import PipeProfile, WayPoint, pipe_profile
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, Link, PipeWay, Tank

SHORTEST_M = 1.0
"""A pipe between two things so near each other carries itself: judgement, no source."""

_L_PER_M3 = 1000.0


def piping_findings(site: Site, ground: Ground, chains: Mapping[str, TankChain], wires: Wiring) -> Iterator[Finding]:
    """What is to be said of each feeder that comes in over its tank, and of each link."""
    for tank in site.of(Tank):
        for feed in chains[tank.id].feeds:
            if feed.fall_m >= -LEAST_GAP_M:  # a feeder that has to climb to its inlet is told of with the levels
                yield from _feeder(site, tank, chains[tank.id], feed, ground)
    for link in site.of(Link):
        if link.id in wires.tanks_of:
            first, second = wires.tanks_of[link.id]
            yield from _link(site, link, chains[first], chains[second], ground)


def _feeder(site: Site, tank: Tank, chain: TankChain, feed: Feed, ground: Ground) -> Iterator[Finding]:
    diverter = site.thing(feed.diverter, Diverter)
    if feed.length_m < SHORTEST_M:
        return
    way = LineString(nearest_points(diverter.shape, tank.footprint))
    found = pipe_profile(
        ground,
        way=way,
        start_level_m=feed.diverter_level_m,
        end_level_m=chain.inlet_level_m,
        on_ground=diverter.feeder_way is PipeWay.GROUND,
    )
    others = (diverter.id,)
    worst = max(found.highs, key=lambda point: point.level_m, default=None)
    if worst is not None and worst.level_m - feed.diverter_level_m > LEAST_GAP_M:
        over_m = worst.level_m - feed.diverter_level_m
        numbers = {"over_m": over_m, "distance_m": worst.distance_m, "mend_m": _lower_by(found, worst)}
        yield made("levels.feeder-climbs", tank.id, others=others, numbers=numbers, at=worst.at, stake=over_m)
    elif worst is not None:
        numbers = {"distance_m": worst.distance_m, "by_m": worst.by_m, "mend_m": _lower_by(found, worst)}
        yield made("levels.feeder-high-point", tank.id, others=others, numbers=numbers, at=worst.at, stake=worst.by_m)
    if found.lows:
        yield _dip(tank, diverter, found)


def _lower_by(found: PipeProfile, high: WayPoint) -> float:
    """How deep it would be dug in at a high point to fall evenly from end to end, to the next centimetre."""
    return up_to_cm(high.level_m - found.even_m(high.distance_m))


def _dip(tank: Tank, diverter: Diverter, found: PipeProfile) -> Finding:
    low = max(found.lows, key=lambda point: point.by_m)
    area_m2 = math.pi / 4 * (diverter.feeder_bore_mm / 1000.0) ** 2
    numbers = {
        "fall_m": float(found.line_m[0]) - low.level_m,
        "by_m": low.by_m,
        "distance_m": low.distance_m,
        "mend_m": up_to_cm(max(found.even_m(low.distance_m) - low.level_m, low.by_m)),
        "stands_l": found.holds_m(low) * area_m2 * _L_PER_M3,
        "count": float(len(found.lows)),
    }
    case = "one" if len(found.lows) == 1 else "several"
    return made(
        "levels.feeder-dips", tank.id, others=(diverter.id,), case=case, numbers=numbers, at=low.at, stake=low.by_m
    )


def _link(site: Site, link: Link, first: TankChain, second: TankChain, ground: Ground) -> Iterator[Finding]:
    """A link laid on the ground: over what it climbs, where air gathers and silt settles. One that lies level is even.

    It leaves both tanks at one level.
    """
    level_m = first.floor_level_m + link.height_m
    way = _between(link, *(site.thing(chain.tank, Tank) for chain in (first, second)))
    if link.way is PipeWay.STRAIGHT or way is None or way.length < SHORTEST_M or math.isnan(level_m):
        return
    found = pipe_profile(ground, way=way, start_level_m=level_m, end_level_m=level_m, on_ground=True)
    lower = min((first, second), key=lambda chain: chain.overflow_level_m)
    worst = max(found.highs, key=lambda point: point.level_m, default=None)
    if worst is not None and worst.level_m - lower.overflow_level_m > -LEAST_GAP_M:
        over_m = max(worst.level_m - lower.overflow_level_m, 0.0)
        numbers = {"over_m": over_m, "distance_m": worst.distance_m, "mend_m": _lower_by(found, worst)}
        yield made("levels.link-climbs", link.id, others=(lower.tank,), numbers=numbers, at=worst.at, stake=over_m)
    elif worst is not None:
        yield _point("line.high-point", link, found.highs, worst)
    if found.lows:
        yield _point("line.low-point", link, found.lows, max(found.lows, key=lambda point: point.by_m))


def _between(link: Link, *tanks: Tank) -> LineString | None:
    """The part of a link that lies outside both tanks; None where it comes in and out of one, or lies within them."""
    outside = link.shape.difference(union_all([tank.footprint for tank in tanks]))
    return outside if isinstance(outside, LineString) and not outside.is_empty else None


def _point(code: str, link: Link, points: tuple[WayPoint, ...], worst: WayPoint) -> Finding:
    numbers = {"distance_m": worst.distance_m, "by_m": worst.by_m, "count": float(len(points))}
    case = "one" if len(points) == 1 else "several"
    return made(code, link.id, case=case, numbers=numbers, at=worst.at, stake=worst.by_m)
