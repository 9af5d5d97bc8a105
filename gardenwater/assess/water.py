"""Spilled water by its owner, and where it first meets an area."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.catch import SpillSource
from gardenwater.overflow import Spill
from gardenwater.site.model import Site
from gardenwater.site.things import Tank

LEAST_L = 1.0
"""Litres in a wet day under which nothing is said."""

_L = 1000.0
_FAR_M = 10_000.0


@dataclass(frozen=True, slots=True)
class Water:
    """The water of one owner: where it comes out, its litres, and all the ways that some of it takes."""

    owner: str
    at: tuple[float, float]
    volume_l: float
    lines: tuple[LineString, ...]


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where a way first comes into an area: its litres there, whose water it is, and the spot."""

    route: int
    volume_l: float
    owners: tuple[str, ...]
    at: tuple[float, float]


def waters_of(answer: OverflowAnswer) -> tuple[Water, ...]:
    """The spilled water, one for each source that has an owner: rain on the ground has none."""
    return tuple(
        Water(
            source.owner,
            source.at,
            source.volume_m3 * _L,
            tuple(route.line for route in answer.spill.routes if number in route.sources),
        )
        for number, source in enumerate(answer.sources)
        if source.owner
    )


def owners_of(sources: Sequence[SpillSource], numbers: Iterable[int]) -> tuple[str, ...]:
    """The owners of the sources with these numbers, each once."""
    return tuple(dict.fromkeys(sources[number].owner for number in numbers))


def word_for(site: Site, owners: Iterable[str]) -> str:
    """What their water is called: overflow when it is of tanks alone."""
    return "overflow" if all(isinstance(site.get(owner), Tank) for owner in owners) else "water"


def meetings_of(spill: Spill, sources: Sequence[SpillSource], area: BaseGeometry) -> tuple[Meeting, ...]:
    """Where ways come into an area; a way whose water has been there already is left out, so no litre counts twice."""
    lines = [route.line for route in spill.routes]
    shapely.prepare(area)
    meeting = {number for number, line in enumerate(lines) if area.intersects(line)}
    later = set[int]()
    for number in meeting:
        later |= _onward(spill, number)
    return tuple(_meeting(spill, sources, number, area) for number in sorted(meeting - later))


def outside_of(boundaries: Sequence[BaseGeometry]) -> BaseGeometry:
    """The ground round all boundaries, as far as any way goes."""
    own = shapely.union_all(boundaries)
    return own.buffer(_FAR_M).difference(own)


def _onward(spill: Spill, route: int) -> set[int]:
    """All routes that the water of a route takes after it."""
    found: set[int] = set()
    after = spill.onward(route)
    while after >= 0 and after not in found:
        found.add(after)
        after = spill.onward(after)
    return found


def _meeting(spill: Spill, sources: Sequence[SpillSource], number: int, area: BaseGeometry) -> Meeting:
    """Litres between those at the start and at the end of the way, by the length to the spot."""
    route = spill.routes[number]
    within = shapely.get_coordinates(route.line.intersection(area))
    along_m = min(route.line.project(Point(spot)) for spot in within)
    share = along_m / route.line.length
    volume_m3 = route.volume_m3 + share * (route.volume_end_m3 - route.volume_m3)
    spot = route.line.interpolate(along_m)
    return Meeting(number, volume_m3 * _L, owners_of(sources, route.sources), (spot.x, spot.y))
