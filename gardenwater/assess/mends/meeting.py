"""Where the water of a trouble can be taken on its way: spots above it, and the litres that come by there.

Several owners often share a trouble. What is built where their ways have met, or at the pool that they share, takes
the water of all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely import Point
from shapely.affinity import rotate, translate

from gardenwater.assess.mends.judging import Judge
from gardenwater.assess.mends.leading import SPARE, STEEPEST, pit_of, soakaway_size_m
from gardenwater.assess.mends.model import Mend, MendKind
from gardenwater.assess.mends.terrain import Terrain
from gardenwater.ground import slope
from gardenwater.hydraulics.soakaways import LEAST_SOAK_M_S
from gardenwater.overflow import Route

_STOPS = (0.85, 0.7, 0.55, 0.4, 0.25)
_L = 1000.0


@dataclass(frozen=True, slots=True)
class Passing:
    """A spot on a way above the trouble. litres: that come by in the event. owners: whose, most spilled first."""

    at: Point
    litres: float
    owners: tuple[str, ...]


def passing(judge: Judge, owner: str) -> Iterator[tuple[Passing, ...]]:
    """For each way that an owner's water takes, its spots from near the trouble upwards."""
    for route in judge.answer.spill.routes:
        if owner in _owners(judge, route.sources):
            yield _along(judge, route)


def meeting(judge: Judge) -> Iterator[tuple[Passing, ...]]:
    """The same for ways and pools that hold the water of several of those whose trouble it is: of most, most first."""
    found = []
    for route in judge.answer.spill.routes:
        owners = _owners(judge, route.sources)
        if len(owners) > 1:
            found.append((-len(owners), -route.volume_m3, _along(judge, route)))
    for number, pool in enumerate(judge.answer.spill.pools):
        owners = _owners(judge, pool.sources)
        if len(owners) > 1:
            comes_m3 = math.fsum(route.volume_end_m3 for route in judge.answer.spill.routes_into(number))
            found.append((-len(owners), -comes_m3, (Passing(Point(pool.deepest), comes_m3 * _L, owners),)))
    yield from (spots for *_, spots in sorted(found, key=lambda each: each[:2]))


def _owners(judge: Judge, sources: tuple[int, ...]) -> tuple[str, ...]:
    named = {judge.answer.sources[number].owner for number in sources}
    return tuple(owner for owner in judge.owners if owner in named)


def _along(judge: Judge, route: Route) -> tuple[Passing, ...]:
    """Spots of a way above the trouble. What soaks on the way is taken off by length."""
    trouble = judge.trouble.at
    end_m = route.line.length if trouble is None else route.line.project(Point(trouble))
    spots = []
    for stop in _STOPS:
        share = stop * max(end_m, 1e-6) / route.line.length
        volume_m3 = route.volume_m3 + share * (route.volume_end_m3 - route.volume_m3)
        at = route.line.interpolate(share, normalized=True)
        spots.append(Passing(at, volume_m3 * _L, _owners(judge, route.sources)))
    return tuple(spots)


def soakaways_where_they_meet(judge: Judge, terrain: Terrain, hours: float, soak_mm_h: float) -> Iterator[Mend]:
    """A soakaway in the way that several take, or in the pool that they share: water runs into it without a pipe."""
    if soak_mm_h / 1000.0 / 3600.0 < LEAST_SOAK_M_S:
        return
    fall, bearing = slope(terrain.ground)
    for spots in meeting(judge):
        for spot in spots:
            cell = terrain.ground.cell_at(spot.at.x, spot.at.y)
            if cell is None or not fall[cell] <= STEEPEST:
                continue
            length, width = soakaway_size_m(spot.litres * SPARE, hours, soak_mm_h)
            outline = shapely.box(-length / 2, -width / 2, length / 2, width / 2)
            turn = -float(bearing[cell]) if math.isfinite(bearing[cell]) else 0.0
            shape = translate(rotate(outline, turn, origin=(0, 0)), spot.at.x, spot.at.y)
            if terrain.soakaway_may_stand(shape):
                yield Mend(
                    kind=MendKind.SOAKAWAY,
                    owner=spot.owners[0],
                    others=spot.owners[1:],
                    things=(pit_of(judge.site, shape),),
                    cost=length * width + 8.0,
                )
                break
