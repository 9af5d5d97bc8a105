"""Mends that lead the water in a pipe or a ditch: to a taker that stands there, to a new soakaway, past the trouble."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import LineString, Point, Polygon
from shapely.affinity import rotate, translate

from gardenwater.assess.answers import CatchAnswer
from gardenwater.assess.event import event_of
from gardenwater.assess.mends.judging import Judge
from gardenwater.assess.mends.model import Mend, MendKind
from gardenwater.assess.mends.terrain import OPEN_FROM_BUILDING_M, Terrain, ground_of
from gardenwater.assess.takers import takers_of
from gardenwater.grids import Way, Ways
from gardenwater.ground import slope
from gardenwater.hydraulics.openings import full_pipe_m3_s
from gardenwater.hydraulics.soakaways import HALF_EMPTY_H, LEAST_SOAK_M_S, half_empty_h, soakaway_outflow_m3_s
from gardenwater.site.model import Site
from gardenwater.site.names import default_name
from gardenwater.site.things import Ditch, Diverter, Overflow, Soakaway, Tank, Thing

BORES_MM = (50.0, 69.0, 75.0, 104.0, 152.0)
"""Inside diameters of common waste and drain pipes (common practice, no source)."""
SOAKAWAY_DEPTH_M, VOID_SHARE, SPARE = 1.0, 0.3, 1.1
"""Stone in a pit of a metre, a tenth larger than the wet day asks for (common practice, no source)."""

STEEPEST = 1 / 7
"""The steepest ground that a pit is dug in (judgement, no source)."""
_TRENCH_WIDE_M = 0.6
_LONGEST_M = 12.0
_MOST_PLACES, _MOST_PAST = 1500, 8
_TILES = 7
_DITCH_WIDE_M, _DITCH_DEEP_M = 0.6, 0.3
_L = 1000.0

Spot = tuple[float, float]


def water_of(judge: Judge, owner: str) -> tuple[float, Spot]:
    """Litres that an owner spills in the wet day, and where they come out now."""
    sources = [source for source in judge.answer.sources if source.owner == owner]
    return math.fsum(source.volume_m3 for source in sources) * _L, sources[0].at


def pipe_of(site: Site, judge: Judge, owner: str) -> Overflow:
    """The owner's overflow pipe as it is, or a new one without a way yet."""
    wires, thing = judge.stages.catch.wires, site.get(owner)
    is_tank = isinstance(thing, Tank)
    there = wires.overflow_of(site, owner) if is_tank else wires.foot_of(site, owner)
    if there is not None:
        return there
    return Overflow(
        id=site.free_id("overflow"),
        name=default_name(site, "overflow"),
        shape=LineString(),
        tank=owner if is_tank else "",
        downpipe="" if is_tank else owner,
    )


def wanted_l_s(catch: CatchAnswer, site: Site, owner: str, litres: float, hours: float) -> float:
    """The flow that a pipe must carry: what feeds it in the design rain, at least the wet day's mean.

    A diverter that stops by itself feeds no overflow; one that keeps feeding passes on what it leads aside at most.
    """
    mean = litres / (hours * 3600.0)
    if not isinstance(site.get(owner), Tank):
        found = catch.capacities.pipes.get(owner)
        return max(mean, found.sends_l_s if found is not None else 0.0)
    fed = 0.0
    for diverter in site.of(Diverter):
        found = catch.capacities.pipes.get(catch.wires.pipe_of.get(diverter.id, ""))
        if catch.wires.tank_of.get(diverter.id) == owner and diverter.form != "stops by itself" and found is not None:
            fed += min(found.sends_l_s, diverter.most_l_min / 60.0)
    return max(mean, fed)


def bore_for(flow_l_s: float, fall: float, least_mm: float = 0.0) -> float:
    """The smallest common bore, mm, that carries a flow running full down a fall; the largest where none does.

    fall: m for each metre of length. See `hydraulics.openings.full_pipe_m3_s`.
    """
    for bore in BORES_MM:
        if bore >= least_mm and full_pipe_m3_s(bore_mm=bore, fall=fall) * _L >= flow_l_s:
            return bore
    return BORES_MM[-1]


class Leading:
    """Looks for ways from one owner's tank or pipe. Mends come untried."""

    def __init__(self, judge: Judge, terrain: Terrain, owner: str) -> None:
        self.judge, self.terrain, self.owner = judge, terrain, owner
        self.site = judge.site
        self.litres, self.mouth = water_of(judge, owner)
        self.pipe = pipe_of(self.site, judge, owner)
        thing = self.site.get(owner)
        self.start = Point(self.mouth) if thing is None else ground_of(thing)
        self.event = event_of(self.site)
        self.soak_mm_h = self.event.soak_mm_h

    def to_takers(self) -> Iterator[Mend]:
        """A pipe into each taker that could still take most of it, the cheapest way first."""
        answer = self.judge.answer
        found = []
        for taker, taken in zip(takers_of(self.site, self.judge.stages.built), answer.spill.taken, strict=True):
            thing = self.site.get(taker.owner)
            able_l = (taker.room_m3 + taker.soak_m3_h * self.event.hours - taken.volume_m3) * _L
            if thing is None or thing.id == self.pipe.taker or able_l < 0.5 * self.litres:
                continue
            spot = shapely.point_on_surface(ground_of(thing))
            cell = self.terrain.ground.cell_at(spot.x, spot.y)
            way = None if cell is None else self.terrain.pipes_from(self.start, ground_of(thing)).to(*cell)
            if way is not None:
                found.append((way.cost, taker.owner, self._piped(MendKind.PIPE, way, into=taker.owner)))
        yield from (mend for *_, mend in sorted(found, key=lambda each: each[:2]))

    def to_soakaway(self, ways: Ways) -> Iterator[Mend]:
        """A pipe to a new soakaway at the nearest place where one may stand."""
        if self.soak_mm_h / 1000.0 / 3600.0 < LEAST_SOAK_M_S:
            return
        length, width = soakaway_size_m(self.litres * SPARE, self.event.hours, self.soak_mm_h)
        for row, col, shape in self._places(ways, length, width):
            way = ways.to(row, col)
            if way is None:
                continue
            pit = pit_of(self.site, shape)
            yield self._piped(MendKind.SOAKAWAY, way, pit, into=pit.id)
            return

    def past(self, ways: Ways) -> Iterator[Mend]:
        """A pipe that lets the water out elsewhere, in cheapest order over the whole site."""
        for row, col in self._spread(ways):
            x, y = self.terrain.ground.centre_of(row, col)
            if self.terrain.buildings.distance(Point(x, y)) < OPEN_FROM_BUILDING_M:
                continue
            way = ways.to(row, col)
            if way is not None:
                yield self._piped(MendKind.PIPE, way)

    def ditched(self, start: Spot | None = None, owners: tuple[str, ...] = ()) -> Iterator[Mend]:
        """A ditch from where the water comes out now (or from where that of several has met), to where it is safe."""
        start = start or self.mouth
        if self.terrain.buildings.distance(Point(start)) < OPEN_FROM_BUILDING_M:
            return
        ways = self.terrain.ditches_from(start)
        for row, col in self._spread(ways):
            way = ways.to(row, col)
            if way is None or way.line.length < 2.0:
                continue
            ditch = Ditch(
                id=self.site.free_id("ditch"),
                name=default_name(self.site, "ditch"),
                shape=way.line,
                width_m=_DITCH_WIDE_M,
                depth_m=_DITCH_DEEP_M,
            )
            yield Mend(
                kind=MendKind.DITCH,
                owner=owners[0] if owners else self.owner,
                others=owners[1:],
                things=(ditch,),
                length_m=way.line.length,
                fall_m=way.fall_m,
                deepest_m=self._deepest(way),
                cost=way.cost,
            )

    def _spread(self, ways: Ways) -> list[tuple[int, int]]:
        """The cheapest cell of each tile of the ground, cheapest first: mouths that differ."""
        rows, cols = ways.cost.shape
        high, wide = max(rows // _TILES, 1), max(cols // _TILES, 1)
        cells = []
        for top in range(0, rows, high):
            for left in range(0, cols, wide):
                tile = ways.cost[top : top + high, left : left + wide]
                row, col = np.unravel_index(int(np.argmin(tile)), tile.shape)
                if 2.0 < tile[row, col] < np.inf:
                    cells.append((float(tile[row, col]), top + int(row), left + int(col)))
        return [(row, col) for _, row, col in sorted(cells)[:_MOST_PAST]]

    def _places(self, ways: Ways, length_m: float, width_m: float) -> Iterator[tuple[int, int, Polygon]]:
        """Cells where a pit of this size may stand along the level line, the cheapest way first."""
        ground = self.terrain.ground
        fall, bearing = slope(ground)
        cost = np.where(fall <= STEEPEST, ways.cost, np.inf)
        order = np.argsort(cost, axis=None)[:_MOST_PLACES]
        outline = shapely.box(-length_m / 2, -width_m / 2, length_m / 2, width_m / 2)
        for row, col in zip(*np.unravel_index(order, cost.shape), strict=True):
            if not np.isfinite(cost[row, col]):
                return
            turn = -float(bearing[row, col]) if np.isfinite(bearing[row, col]) else 0.0
            x, y = ground.centre_of(int(row), int(col))
            shape = translate(rotate(outline, turn, origin=(0, 0)), x, y)
            if self.terrain.soakaway_may_stand(shape):
                yield int(row), int(col), shape

    def _piped(self, kind: MendKind, way: Way, *more: Thing, into: str = "") -> Mend:
        wanted = wanted_l_s(self.judge.stages.catch, self.site, self.owner, self.litres, event_of(self.site).hours)
        bore = bore_for(wanted, way.fall_m / way.line.length, self.pipe.bore_mm)
        new = {thing.id for thing in more}
        pipe = dataclasses.replace(self.pipe, shape=way.line, bore_mm=bore, taker=into)
        return Mend(
            kind=kind,
            owner=self.owner,
            things=(*more, pipe),
            into="" if into in new else into,
            length_m=way.line.length,
            fall_m=way.fall_m,
            bore_mm=bore,
            deepest_m=self._deepest(way),
            cost=way.cost + (8.0 if more else 0.0),
        )

    def _deepest(self, way: Way) -> float:
        """How deep the bed lies at most at the corners of its way, m."""
        from gardenwater.ground import levels_at

        corners = shapely.get_coordinates(way.line)
        levels = levels_at(self.terrain.ground, corners[:, 0], corners[:, 1])
        return float(np.nanmax(levels - np.array(way.beds_m)))


def pit_of(site: Site, shape: Polygon) -> Soakaway:
    """A new soakaway of the usual depth, filled with stone."""
    return Soakaway(
        id=site.free_id("soakaway"),
        name=default_name(site, "soakaway"),
        shape=shape,
        depth_m=SOAKAWAY_DEPTH_M,
        void_share=VOID_SHARE,
    )


def soakaway_size_m(volume_l: float, hours: float, soak_mm_h: float) -> tuple[float, float]:
    """Length and width of a pit that holds what comes in the hours less what soaks away meanwhile, m.

    BRE Digest 365: outflow through the sides to half the depth, base left out (seen second-hand). Square where it is
    half empty within a day, else a trench, whose sides are more for what it holds.
    """
    hold, need = SOAKAWAY_DEPTH_M * VOID_SHARE, volume_l / _L
    soak_m_s = soak_mm_h / 1000.0 / 3600.0
    gone = soakaway_outflow_m3_s(perimeter_m=1.0, depth_m=SOAKAWAY_DEPTH_M, soak_m_s=soak_m_s) * 3600.0 * hours
    # side s: s^2 hold + 4 s gone = need
    side = (-4.0 * gone + math.sqrt(16.0 * gone * gone + 4.0 * hold * need)) / (2.0 * hold)
    side = math.ceil(max(side, _TRENCH_WIDE_M) * 10.0) / 10.0
    outflow = soakaway_outflow_m3_s(perimeter_m=4.0 * side, depth_m=SOAKAWAY_DEPTH_M, soak_m_s=soak_m_s)
    if half_empty_h(stored_m3=side * side * hold, outflow_m3_s=outflow) <= HALF_EMPTY_H and side <= _LONGEST_M / 2:
        return side, side
    length = need / (_TRENCH_WIDE_M * hold + 2.0 * gone)
    return min(math.ceil(length * 10.0) / 10.0, _LONGEST_M), _TRENCH_WIDE_M
