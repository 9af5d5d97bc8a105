"""Drawn routes: stretches strung together, cut where their water ends, as lines on the map."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from gardenwater.overflow.model import End, Fate, Pool, Route, Source, Taker
from gardenwater.overflow.stretches import Ledger

SIMPLE_CELLS = 0.1
"""Share of a cell by which a drawn line may leave the way."""

_LEVEL, _THIRST = 2, 3

Floats = NDArray[np.float64]


class Chain(NamedTuple):
    """Stretches that make one route, and what ends it. which: as end_index in Route, but a stretch when it JOINS."""

    stretches: list[int]
    end: End
    which: int


@dataclass(slots=True, eq=False)
class Drawing:
    """Routes, and the route that each stretch is part of."""

    routes: list[Route] = field(default_factory=list)
    route_of: dict[int, int] = field(default_factory=dict)


def draw_routes(ledger: Ledger, pools: Sequence[Pool], takers: Sequence[Taker]) -> Drawing:
    """All routes over dry ground, in the order in which their ways were found."""
    shores = [pool.outline for pool in pools]
    shapes = [taker.shape for taker in takers]
    kept = []
    for chain in _chains(ledger):
        line = _line(ledger, chain, shores, shapes)
        if line is not None:
            kept.append((chain, line))
    drawing = Drawing()
    for place, (chain, _) in enumerate(kept):
        drawing.route_of.update(dict.fromkeys(chain.stretches, place))
    land = ledger.event.prepared.land
    away_m = SIMPLE_CELLS * min(land.surface.cell_x_m, land.surface.cell_y_m)
    lines = shapely.simplify(np.array([line for _, line in kept], dtype=object), away_m)
    for (chain, _), line in zip(kept, lines, strict=True):
        drawing.routes.append(_route(ledger, drawing, chain, line))
    return drawing


def fate_of(ledger: Ledger, drawing: Drawing, number: int, source: Source) -> Fate | None:
    """Where a source's water goes first; None when it has none."""
    found = np.flatnonzero(ledger.event.reaches["source"] == number)
    if found.size == 0:
        return None
    reach = int(found[0])
    nexts, over = ledger.event.reaches["next"], ledger.event.stores["over"]
    while reach not in drawing.route_of and nexts[reach] >= 0:
        reach = int(nexts[reach])
    if reach not in drawing.route_of and ledger.home[reach] in ledger.puddles:
        reach = int(over[ledger.home[reach]])
    first = drawing.route_of.get(reach, -1)
    if first < 0:
        return Fate(-1, *_end_in_store(ledger, ledger.home[reach]), source.at)
    last = drawing.routes[first]
    while last.end is End.JOINS:
        last = drawing.routes[last.end_index]
    x, y = last.line.coords[-1]
    return Fate(first, last.end, last.end_index, (x, y))


def _chains(ledger: Ledger) -> Iterator[Chain]:
    """String stretches together where one takes the water of one other only."""
    reaches = ledger.event.reaches
    nexts, ran = reaches["next"].tolist(), (reaches["in_m3"] > 0.0).tolist()
    brings = [0] * len(nexts)
    strung = [False] * len(nexts)
    for reach, then in enumerate(ledger.then):
        if ledger.drawn[reach] and then >= 0:
            brings[then] += 1
            strung[then] = True
        elif ran[reach] and not ledger.drawn[reach] and nexts[reach] >= 0:
            brings[nexts[reach]] += 1
    starts = reaches["source"] >= 0
    for reach in range(len(nexts)):
        strung[reach] = strung[reach] and brings[reach] == 1 and not starts[reach]
    for head in range(len(nexts)):
        if not ledger.drawn[head] or strung[head]:
            continue
        chain = [head]
        while ledger.then[chain[-1]] >= 0 and strung[ledger.then[chain[-1]]]:
            chain.append(ledger.then[chain[-1]])
        yield Chain(chain, *_end_of(ledger, chain[-1]))


def _end_of(ledger: Ledger, reach: int) -> tuple[End, int]:
    """What ends a drawn stretch."""
    if ledger.dried[reach]:
        return End.SOAKED, -1
    if ledger.then[reach] >= 0:
        return End.JOINS, ledger.then[reach]
    return _end_in_store(ledger, ledger.home[reach])


def _end_in_store(ledger: Ledger, store: int) -> tuple[End, int]:
    from gardenwater.overflow import kernels_store as kinds

    stores = ledger.event.stores
    while store in ledger.puddles:
        store = ledger.home[int(stores["over"][store])]
    if store in ledger.pool_of:
        return End.POOL, ledger.pool_of[store]
    if stores["kind"][store] == kinds.TAKER:
        return End.TAKER, int(stores["taker"][store])
    if stores["kind"][store] == kinds.EXIT:
        return End.OFF_SITE, ledger.exit_of[store]
    return End.SOAKED, -1


def _line(
    ledger: Ledger, chain: Chain, shores: Sequence[BaseGeometry], takers: Sequence[BaseGeometry]
) -> LineString | None:
    """The line of a chain, m; None when it starts in what ends it."""
    pieces = [_points(ledger, reach) for reach in chain.stretches]
    if chain.end is End.JOINS:
        joined = int(ledger.event.reaches["first"][chain.which])
        pieces.append(_columns(ledger, joined, joined))
    xy = ledger.event.prepared.to_map(np.concatenate(pieces)[:, :2])
    xy = xy[np.append(True, (np.diff(xy, axis=0) != 0.0).any(axis=1))]
    begins_at = _begins_at(ledger, chain.stretches[0], shores, takers)
    if begins_at is not None:
        xy = np.vstack((_nearest(begins_at, xy[0]), xy))
    if chain.end is End.TAKER and not shapely.intersects_xy(takers[chain.which], *xy[-1]):
        xy = np.vstack((xy, _nearest(takers[chain.which], xy[-1])))
    if len(xy) < 2:
        return None
    line = LineString(xy)
    return _to_shore(line, shores[chain.which]) if chain.end is End.POOL else line


def _begins_at(
    ledger: Ledger, reach: int, shores: Sequence[BaseGeometry], takers: Sequence[BaseGeometry]
) -> BaseGeometry | None:
    """The pool or taker that a stretch runs out of."""
    this = ledger.event.reaches[reach]
    if this["taker"] >= 0:
        return takers[int(this["taker"])]
    pool = _pool_over(ledger, reach)
    return shores[pool] if pool >= 0 else None


def _pool_over(ledger: Ledger, reach: int) -> int:
    """The pool that runs over into a stretch; -1 when none does."""
    hollow = int(ledger.event.reaches["hollow"][reach])
    if hollow == 0:
        return -1
    return ledger.pool_of.get(int(ledger.event.flow.store_of[hollow]) - 1, -1)


def _nearest(shape: BaseGeometry, spot: Floats) -> Floats:
    """The spot of a shape that is nearest to a spot; float64 (1, 2)."""
    return shapely.get_coordinates(shapely.shortest_line(shape, Point(spot)))[:1]


def _points(ledger: Ledger, reach: int) -> Floats:
    """Points of a stretch down to where it has soaked, or to the puddle that it crosses."""
    this = ledger.event.reaches[reach]
    points = _columns(ledger, int(this["first"]), int(this["last"]))
    if ledger.dried[reach]:
        from gardenwater.overflow.kernels_width import thirst_met

        until = points[0, _THIRST] + thirst_met(float(this["flow_m3_s"]), ledger.event.soak_m_s)
        return _cut(points, points[:, _THIRST], until)
    if ledger.home[reach] in ledger.puddles:
        return _cut(points, -points[:, _LEVEL], -float(ledger.level_m[ledger.home[reach]]))
    return points


def _columns(ledger: Ledger, first: int, last: int) -> Floats:
    """Points of the event as columns x and y in cells, level and thirst; float64 (n, 4)."""
    points = ledger.event.flow.net.points[first : last + 1]
    return np.column_stack([points[name] for name in ("x", "y", "level_m", "thirst")])


def _cut(points: Floats, rising: Floats, until: float) -> Floats:
    """Points up to where a rising figure comes to a value, the last one put in between."""
    after = int(np.searchsorted(rising, until))
    if after == 0 or after == len(points):
        return points[: max(after, 1)]
    part = (until - rising[after - 1]) / (rising[after] - rising[after - 1])
    last = points[after - 1] + part * (points[after] - points[after - 1])
    return np.vstack((points[:after], last))


def _to_shore(line: LineString, shore: BaseGeometry) -> LineString | None:
    """The line as far as the shore; None when it starts in the water."""
    if shapely.intersects_xy(shore, *line.coords[0]):
        return None
    crossings = shapely.get_coordinates(shapely.intersection(line, shore.boundary))
    if len(crossings) == 0:
        xy = shapely.get_coordinates(line)
        return LineString(np.vstack((xy, _nearest(shore, xy[-1]))))
    along_m = float(shapely.line_locate_point(line, shapely.points(crossings)).min())
    if along_m == 0.0:
        return None
    return LineString(substring(line, 0.0, along_m).coords)


def _route(ledger: Ledger, drawing: Drawing, chain: Chain, line: LineString) -> Route:
    reaches = ledger.event.reaches
    first, last = reaches[chain.stretches[0]], reaches[chain.stretches[-1]]
    carried = reaches[chain.stretches]
    soaked_m3 = float((carried["in_m3"] - carried["out_m3"]).sum())
    flow_end_m3_s, volume_end_m3 = float(last["flow_end_m3_s"]), float(last["out_m3"])
    if chain.end is End.SOAKED:
        soaked_m3 += volume_end_m3
        flow_end_m3_s, volume_end_m3 = 0.0, 0.0
    sources = tuple(sorted(ledger.reach_sources[chain.stretches[0]]))
    return Route(
        line=line,
        source=sources[0],
        end=chain.end,
        end_index=drawing.route_of[chain.which] if chain.end is End.JOINS else chain.which,
        flow_l_s=1000.0 * float(first["flow_m3_s"]),
        volume_m3=float(first["in_m3"]),
        flow_end_l_s=1000.0 * flow_end_m3_s,
        volume_end_m3=volume_end_m3,
        soaked_m3=soaked_m3,
        sources=sources,
        over=_pool_over(ledger, chain.stretches[0]),
        out_of=int(first["taker"]),
    )
