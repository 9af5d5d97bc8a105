"""What overflow is asked with, and what it answers: sources, takers, routes, pools, and the whole spill."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

Spot = tuple[float, float]
"""x and y on the plan, m."""


@dataclass(frozen=True, slots=True)
class Source:
    """Water that comes onto the ground at one spot.

    at: x and y, m. volume_m3: how much, spread evenly over the event's hours. owner: id of the thing that spills.
    """

    at: Spot
    volume_m3: float
    owner: str = ""


@dataclass(frozen=True, slots=True)
class Taker:
    """A thing that takes overflow: pond, soakaway, swale, ditch, rain garden.

    shape: polygon or line, m; water that comes to it goes in. room_m3: what it can still hold. soak_m3_h: what leaves
    it while water comes (seepage, a drain). spills_at: where it spills when it is full; the lowest ground at its rim
    unless given.
    """

    shape: BaseGeometry
    room_m3: float
    soak_m3_h: float = 0.0
    owner: str = ""
    spills_at: Spot | None = None


class End(Enum):
    """What ends a route."""

    POOL = "pool"
    TAKER = "taker"
    OFF_SITE = "off the site"
    SOAKED = "soaked up"
    JOINS = "joins another route"


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """A way of water over dry ground, from a source, a sill or a full taker to what ends it.

    line: the way on the plan, m, never without length, with a vertex wherever it bends by more than a tenth of a cell.
    source: the first of `sources`, which are the indexes of all sources whose water runs here.
    end, end_index: what ends it, and which: an index into pools, takers, exits or routes; -1 where all has soaked.
    flow_l_s, flow_end_l_s: flow at its start and end at the close of the event, the greatest of the event, L/s.
    volume_m3, volume_end_m3: what entered it and what came to its end. soaked_m3: what soaked on the way.
    over: index of the pool that runs over into it, -1 when it begins elsewhere. out_of: same for a full taker.
    """

    line: LineString
    source: int
    end: End
    end_index: int
    flow_l_s: float
    volume_m3: float
    flow_end_l_s: float
    volume_end_m3: float
    soaked_m3: float
    sources: tuple[int, ...]
    over: int = -1
    out_of: int = -1


@dataclass(frozen=True, slots=True, eq=False)
class Pool:
    """Water that stands in a hollow when the event ends.

    outline: its shore, m; holds the centre of each wet cell and of no other. level_m: of its surface. depth_m: at its
    deepest. hours_to_soak: from the event's end until the last of it is gone at the soil's rate; inf without soaking.
    sources: indexes of the sources whose water it holds. spill_level_m: where it runs over (inf: never). runs_over: it
    does. soaked_m3: what soaked from it, and from ways that it covers now, during the event. deepest: its lowest spot.
    """

    outline: Polygon | MultiPolygon
    level_m: float
    depth_m: float
    volume_m3: float
    hours_to_soak: float
    sources: tuple[int, ...]
    spill_level_m: float
    runs_over: bool
    soaked_m3: float
    deepest: Spot


@dataclass(frozen=True, slots=True)
class Exit:
    """A place where water leaves the ground. at: x and y, m."""

    at: Spot
    volume_m3: float
    sources: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Taken:
    """What a taker got. volume_m3: held and soaked together. full: it spills on (or has no room left)."""

    volume_m3: float
    full: bool
    sources: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Fate:
    """Where a source's water goes first.

    route: index of its route, -1 when it starts in what takes it. end, end_index: what ends that way, joined routes
    followed on (never JOINS). at: where that is, x and y, m.
    """

    route: int
    end: End
    end_index: int
    at: Spot


@dataclass(frozen=True, slots=True, eq=False)
class Spill:
    """Where spilled water is when the event ends. Every litre is in one of soaked, taken, off the site, or standing.

    pool_depth_m: float64 (rows, cols) on the ground's grid, 0 where no water stands, puddles included; read-only.
    pooled_m3: all that stands, puddles included. A puddle is a brimful hollow of under `PUDDLE_M3` that water runs on
    from: it is part of the route that crosses it, and not among `pools`. soaked_m3: on routes, in puddles and pools.
    taken: one for each taker, in order. fates: one for each source, in order, None for a source without water.
    ground_rain_m3: what fell on the ground itself; rain_off_m3: what of it ran off over the edge by no drawn way.
    residual_m3: what came less what these report; under 1e-9 of what came.
    """

    routes: tuple[Route, ...]
    pools: tuple[Pool, ...]
    pool_depth_m: NDArray[np.float64]
    soaked_m3: float
    taken: tuple[Taken, ...]
    exits: tuple[Exit, ...]
    fates: tuple[Fate | None, ...]
    pooled_m3: float
    poured_m3: float
    residual_m3: float
    ground_rain_m3: float = 0.0
    rain_off_m3: float = 0.0

    @property
    def taken_m3(self) -> tuple[float, ...]:
        """What each taker got, m3, in the takers' order."""
        return tuple(each.volume_m3 for each in self.taken)

    @property
    def off_site_m3(self) -> float:
        """What left the ground, m3."""
        return float(sum(each.volume_m3 for each in self.exits)) + self.rain_off_m3

    def routes_into(self, pool: int) -> tuple[Route, ...]:
        """The routes that end in a pool."""
        return tuple(route for route in self.routes if route.end is End.POOL and route.end_index == pool)

    def onward(self, route: int) -> int:
        """The route that the water of a route takes next: joined, over a pool's sill, out of a full taker; or -1."""
        this = self.routes[route]
        if this.end is End.JOINS:
            return this.end_index
        for index, other in enumerate(self.routes):
            comes_from = {End.POOL: other.over, End.TAKER: other.out_of}.get(this.end, -1)
            if comes_from == this.end_index >= 0:
                return index
        return -1
