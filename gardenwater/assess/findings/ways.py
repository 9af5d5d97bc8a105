"""Findings of ways: towards buildings, over paths, onto keep-dry ground, off the site."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import shapely
from shapely import Point
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.findings.pools import FOUNDATION_M, WET_M
from gardenwater.assess.findings.safety import compass_word
from gardenwater.assess.water import LEAST_L, Water, meetings_of, outside_of, owners_of, word_for
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.site.model import Site
from gardenwater.site.things import Boundary, Building, KeepDry, Path

NEARER_M = 0.3
"""Water that comes nearer to a building than its mouth by so much runs towards it: judgement, no source."""

_L = 1000.0


def way_findings(
    site: Site, answer: OverflowAnswer, waters: Sequence[Water], pools: Sequence[Finding]
) -> Iterator[Finding]:
    """What water does on its way. pools: what was said of pools already, and is not said again of the way there."""
    for building in site.of(Building):
        standing = _owners_told(pools, "overflow.towards-building", building.id)
        yield from _building(building, [water for water in waters if water.owner not in standing])
    for path in site.of(Path):
        yield from _path(site, path, answer, _owners_told(pools, "overflow.pool-on-path", path.id))
    for ground in site.of(KeepDry):
        yield from _keep_dry(site, ground, answer)
    yield from _leaving(site, answer)


def _owners_told(findings: Iterable[Finding], code: str, subject: str) -> set[str]:
    return {owner for each in findings if each.code == code and each.subject == subject for owner in each.others}


def _building(building: Building, waters: Iterable[Water]) -> Iterator[Finding]:
    """Each water that runs towards it; and one finding for all that only begins near it."""
    near: list[tuple[float, Water]] = []
    for water in waters:
        mouth_m = building.shape.distance(Point(water.at))
        way_m, spot = _nearest(building, water)
        if way_m < min(FOUNDATION_M, mouth_m - NEARER_M):
            numbers = {"distance_m": way_m, "volume_l": water.volume_l, "limit_m": FOUNDATION_M}
            yield made(
                "overflow.towards-building",
                water.owner,
                others=(building.id,),
                case="runs",
                numbers=numbers,
                at=spot,
                stake=water.volume_l,
            )
        elif mouth_m < FOUNDATION_M:
            near.append((min(mouth_m, way_m), water))
    if near:
        distance_m, nearest = min(near, key=lambda pair: (pair[0], pair[1].owner))
        total_l = math.fsum(water.volume_l for _, water in near)
        numbers = {"volume_l": total_l, "distance_m": distance_m, "limit_m": FOUNDATION_M}
        owners = tuple(dict.fromkeys(water.owner for _, water in near))
        at = nearest.at
        yield made("overflow.near-building", building.id, others=owners, numbers=numbers, at=at, stake=total_l)


def _nearest(building: Building, water: Water) -> tuple[float, tuple[float, float]]:
    """How near the ways of a water come to a building, and where."""
    found = (math.inf, water.at)
    for line in water.lines:
        shortest = shapely.shortest_line(line, building.shape)
        x, y = shortest.coords[0][:2]
        found = min(found, (float(shortest.length), (x, y)))
    return found


def _path(site: Site, path: Path, answer: OverflowAnswer, pooled: set[str]) -> Iterator[Finding]:
    """The ways over one path, in one finding; those whose water pools on it are named there."""
    found = meetings_of(answer.spill, answer.sources, path.band)
    meetings = [each for each in found if each.volume_l >= LEAST_L and not set(each.owners) <= pooled]
    if meetings:
        owners = tuple(dict.fromkeys(owner for meeting in meetings for owner in meeting.owners))
        volume_l = math.fsum(meeting.volume_l for meeting in meetings)
        largest = max(meetings, key=lambda meeting: meeting.volume_l)
        yield made(
            "overflow.crosses-path",
            path.id,
            others=owners,
            numbers={"volume_l": volume_l},
            words={"what": word_for(site, owners)},
            at=largest.at,
            stake=volume_l,
        )


def _keep_dry(site: Site, ground: KeepDry, answer: OverflowAnswer) -> Iterator[Finding]:
    """Water that runs onto keep-dry ground or stands on it, in one finding."""
    meetings = [m for m in meetings_of(answer.spill, answer.sources, ground.shape) if m.volume_l >= LEAST_L]
    standing = [
        pool
        for pool in answer.spill.pools
        if pool.depth_m >= WET_M and pool.volume_m3 * _L >= LEAST_L and pool.outline.intersects(ground.shape)
    ]
    owners = dict.fromkeys(owner for meeting in meetings for owner in meeting.owners)
    owners |= dict.fromkeys(owner for pool in standing for owner in owners_of(answer.sources, pool.sources))
    if not owners:
        return
    ran_l = math.fsum(meeting.volume_l for meeting in meetings)
    stood_l = math.fsum(pool.volume_m3 for pool in standing) * _L
    spots = [meeting.at for meeting in meetings] or [pool.deepest for pool in standing]
    yield made(
        "overflow.on-keep-dry",
        ground.id,
        others=tuple(owners),
        case="reason" if ground.reason else "",
        numbers={"volume_l": max(ran_l, stood_l)},
        words={"what": word_for(site, owners)} | ({"reason": ground.reason} if ground.reason else {}),
        at=spots[0],
        stake=max(ran_l, stood_l),
    )


def _leaving(site: Site, answer: OverflowAnswer) -> Iterator[Finding]:
    """Water over the boundary, and water off the ground that is known where no boundary is crossed before."""
    boundaries = [boundary.shape for boundary in site.of(Boundary)]
    crossing: set[int] = set()
    if boundaries:
        found = meetings_of(answer.spill, answer.sources, outside_of(boundaries))
        meetings = [meeting for meeting in found if meeting.volume_l >= LEAST_L]
        crossing = {source for meeting in meetings for source in answer.spill.routes[meeting.route].sources}
        yield from _left("boundary", shapely.union_all(boundaries), [(m.volume_l, m.owners, m.at) for m in meetings])
    exits = [
        (exit_.volume_m3 * _L, owners_of(answer.sources, exit_.sources), exit_.at)
        for exit_ in answer.spill.exits
        if not set(exit_.sources) <= crossing
    ]
    exits += [(source.volume_m3 * _L, (source.owner,), source.at) for source in answer.lost]
    yield from _left("ground", shapely.box(*answer.ground.bounds), [each for each in exits if each[0] >= LEAST_L])


def _left(
    case: str, area: BaseGeometry, parts: Sequence[tuple[float, tuple[str, ...], tuple[float, float]]]
) -> Iterator[Finding]:
    """One finding for all that leaves an area; it names the side where most does."""
    if not parts:
        return
    volume_l = math.fsum(part[0] for part in parts)
    owners = tuple(dict.fromkeys(owner for part in parts for owner in part[1]))
    x, y = max(parts, key=lambda part: part[0])[2]
    middle = shapely.box(*area.bounds).centroid
    words = {"where": compass_word(x - middle.x, y - middle.y)}
    yield made(
        "overflow.leaves-site",
        others=owners,
        case=case,
        numbers={"volume_l": volume_l},
        words=words,
        at=(x, y),
        stake=volume_l,
    )
