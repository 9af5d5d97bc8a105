"""Findings of doors and low windows that spilled water runs past; pools over a sill are with the pools."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.water import LEAST_L, meetings_of, owners_of, word_for
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.site.model import Site
from gardenwater.site.things import Door

LOW_SILL_M = 0.05
"""Water that runs past a sill no higher than this may come in: judgement, no source."""
_NEAR_M = 0.5


def door_findings(site: Site, answer: OverflowAnswer) -> Iterator[Finding]:
    """Ways that pass a low sill that is to be kept dry, one finding for each door."""
    for door in site.of(Door):
        if door.keep_dry and door.sill_height_m <= LOW_SILL_M:
            yield from _past(site, door, answer)


def _past(site: Site, door: Door, answer: OverflowAnswer) -> Iterator[Finding]:
    near = door.shape.buffer(max(door.width_m / 2, _NEAR_M))
    meetings = [each for each in meetings_of(answer.spill, answer.sources, near) if each.volume_l >= LEAST_L]
    if not meetings:
        return
    routes = [answer.spill.routes[each.route] for each in meetings]
    owners = owners_of(answer.sources, sorted({number for route in routes for number in route.sources}))
    litres = sum(each.volume_l for each in meetings)
    at = min((each.at for each in meetings), key=lambda spot: Point(spot).distance(door.shape))
    distance_m = min(route.line.distance(door.shape) for route in routes)
    yield made(
        "overflow.past-door",
        door.id,
        others=owners,
        case="below" if door.sill_height_m < 0.0 else "",
        numbers={"volume_l": litres, "sill_m": abs(door.sill_height_m), "distance_m": distance_m},
        words={"what": word_for(site, owners)},
        at=at,
        stake=litres,
    )
