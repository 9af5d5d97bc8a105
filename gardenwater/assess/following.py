"""The water of one owner followed step by step: where it comes out, runs, stands, runs over, and ends."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import shapely
from shapely import LineString, Point
from shapely.ops import substring

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.ground import levels_at
from gardenwater.overflow import End, Route
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, KeepDry, Path

Spot = tuple[float, float]
_L = 1000.0


class StepKind(StrEnum):
    """What water does in a step."""

    COMES_OUT = "comes out"
    RUNS = "runs"
    POOLS = "pools"
    OVER_SILL = "runs over a sill"
    TAKEN = "is taken"
    SOAKS = "soaks away"
    LEAVES = "leaves the site"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step.

    at: where it ends, x and y, m. line: the way, of a run. volume_l: what comes there, of all whose water it is.
    subject: id of the owner, or of the taker. length_m, fall_m, soaked_l: of a run; over: ids of paths, beds and
    keep-dry ground that it crosses, in order. pool: index into the spill's pools; depth_m, hours: of the pool (inf: it
    stays). level_m: of the sill. full: the taker spills on.
    """

    kind: StepKind
    at: Spot
    volume_l: float
    line: LineString | None = None
    subject: str = ""
    length_m: float = 0.0
    fall_m: float = math.nan
    soaked_l: float = 0.0
    over: tuple[str, ...] = ()
    pool: int = -1
    depth_m: float = 0.0
    hours: float = math.inf
    level_m: float = math.nan
    full: bool = False


def follow(site: Site, answer: OverflowAnswer, source: int) -> tuple[Step, ...]:
    """The steps of a source's water, from where it comes out to where the last of it ends.

    source: index into `answer.sources`. A litre that soaks on the way or stays in a pool has ended there; the steps
    follow the rest. Litres are of all water that runs there.
    """
    first = answer.sources[source]
    owner = first.owner
    steps = [Step(kind=StepKind.COMES_OUT, at=first.at, volume_l=first.volume_m3 * _L, subject=owner)]
    end = next((each for each in answer.ends if each.source == source), None)
    if end is None:
        return tuple(steps)
    if end.route < 0:
        return (*steps, *_ended(answer, end.end, end.pool if end.pool >= 0 else _taker(answer, end.taker), end.at))
    seen: set[int] = set()
    begins, route = first.at, end.route
    while route >= 0 and route not in seen:
        seen.add(route)
        way = answer.spill.routes[route]
        steps.append(_run(site, answer, way, begins))
        after = answer.spill.onward(route)
        if way.end is not End.JOINS:
            steps += _ended(answer, way.end, way.end_index, steps[-1].at, way)
        begins, route = steps[-1].at, after
    return tuple(steps)


def source_of_route(answer: OverflowAnswer, route: int) -> int:
    """The source that brings most of what runs on a route."""
    return max(answer.spill.routes[route].sources, key=lambda number: answer.sources[number].volume_m3)


def _taker(answer: OverflowAnswer, taker: str) -> int:
    return answer.takers.index(taker) if taker in answer.takers else -1


def _run(site: Site, answer: OverflowAnswer, way: Route, begins: Spot) -> Step:
    """The part of a way from where this water comes to it."""
    along_m = way.line.project(Point(begins))
    line = way.line if along_m < 1e-6 else substring(way.line, along_m, way.line.length)
    line = line if isinstance(line, LineString) and line.length > 0.0 else way.line
    ends = shapely.get_coordinates(line)[[0, -1]]
    high_m, low_m = levels_at(answer.ground, ends[:, 0], ends[:, 1])
    x, y = (float(value) for value in ends[-1])
    share = line.length / way.line.length
    return Step(
        kind=StepKind.RUNS,
        at=(x, y),
        volume_l=(way.volume_end_m3 + share * (way.volume_m3 - way.volume_end_m3)) * _L,
        line=line,
        length_m=line.length,
        fall_m=float(high_m - low_m),
        soaked_l=share * way.soaked_m3 * _L,
        over=_crossed(site, line),
    )


def _crossed(site: Site, line: LineString) -> tuple[str, ...]:
    """The paths, beds and keep-dry ground that a line comes into, in its order."""
    found = []
    for thing in site:
        if isinstance(thing, Path | Bed | KeepDry):
            met = line.intersection(thing.band if isinstance(thing, Path) else thing.shape)
            if not met.is_empty:
                found.append((line.project(Point(shapely.get_coordinates(met)[0])), thing.id))
    return tuple(thing_id for _, thing_id in sorted(found))


def _ended(answer: OverflowAnswer, end: End, number: int, at: Spot, way: Route | None = None) -> Iterator[Step]:
    """What ends a way; a pool that runs over says over which sill."""
    volume_l = way.volume_end_m3 * _L if way is not None else 0.0
    if end is End.POOL and number >= 0:
        pool = answer.spill.pools[number]
        yield Step(
            kind=StepKind.POOLS,
            at=pool.deepest,
            volume_l=pool.volume_m3 * _L,
            pool=number,
            depth_m=pool.depth_m,
            hours=pool.hours_to_soak,
        )
        if pool.runs_over:
            out = next((route for route in answer.spill.routes if route.over == number), None)
            x, y = out.line.coords[0][:2] if out is not None else pool.deepest
            over_l = out.volume_m3 * _L if out is not None else 0.0
            yield Step(kind=StepKind.OVER_SILL, at=(x, y), volume_l=over_l, level_m=pool.spill_level_m)
    elif end is End.TAKER and number >= 0:
        taken = answer.spill.taken[number]
        yield Step(
            kind=StepKind.TAKEN,
            at=at,
            volume_l=taken.volume_m3 * _L,
            subject=answer.takers[number],
            full=taken.full,
        )
    elif end is End.OFF_SITE:
        yield Step(kind=StepKind.LEAVES, at=at, volume_l=volume_l)
    elif end is End.SOAKED:
        yield Step(kind=StepKind.SOAKS, at=at, volume_l=0.0)
