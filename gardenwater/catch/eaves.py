"""Which gutter and downpipe the water of each stretch of the eaves goes to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import Point

from gardenwater.catch.leads import GUTTER_REACH_M
from gardenwater.catch.skeleton import Edge
from gardenwater.site.things import Downpipe, Gutter

_MOST_TURN = math.sin(math.radians(20.0))
_SAME_M = 1e-6


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of one edge, from and to, m along it, and where its water goes; empty: it drips off."""

    start_m: float
    end_m: float
    downpipe: str = ""
    gutter: str = ""

    @property
    def middle_m(self) -> float:
        """Its middle, m along the edge."""
        return (self.start_m + self.end_m) / 2


def by_level_gutter(rings: Sequence[Sequence[Edge]], pipes: Sequence[Downpipe]) -> tuple[tuple[Stretch, ...], ...]:
    """Stretches of each edge when a level gutter runs all round: to the nearest downpipe along it.

    Between two downpipes the gutter parts half way. A ring of eaves (outside, courtyard) without a downpipe drips.
    """
    on_ring: list[list[tuple[float, str]]] = [[] for _ in rings]
    for pipe in pipes:
        ring = min(range(len(rings)), key=lambda index: _distance(rings[index], pipe.shape))
        on_ring[ring].append((_along_ring(rings[ring], pipe.shape), pipe.id))
    stretches: list[tuple[Stretch, ...]] = []
    for ring_edges, stops in zip(rings, on_ring, strict=True):
        stretches.extend(_nearest_along(ring_edges, sorted(stops)))
    return tuple(stretches)


def by_drawn_gutters(
    rings: Sequence[Sequence[Edge]], gutters: Sequence[tuple[Gutter, str]]
) -> tuple[tuple[Stretch, ...], ...]:
    """Stretches of each edge by the gutters drawn along them, each with its downpipe (or "").

    A gutter takes the eaves that it runs along within 0.6 m and 20 degrees; a bit of an edge shorter than 0.6 m that it
    leaves at a corner goes with it; where two run side by side, the nearer takes it. Eaves without a gutter drip.
    """
    sides = [_sides(gutter, pipe) for gutter, pipe in gutters]
    return tuple(_covered(edge, [side for many in sides for side in many]) for ring in rings for edge in ring)


def _distance(ring: Sequence[Edge], place: Point) -> float:
    return min(math.dist(edge.at(_clamped(edge, place)), (place.x, place.y)) for edge in ring)


def _clamped(edge: Edge, place: Point) -> float:
    """The nearest spot of an edge, m along it."""
    return min(max(edge.run(place.x, place.y), 0.0), edge.length_m)


def _along_ring(ring: Sequence[Edge], place: Point) -> float:
    """The nearest spot of a ring, m along it from its start."""
    best, best_m, before_m = math.inf, 0.0, 0.0
    for edge in ring:
        run = _clamped(edge, place)
        away = math.dist(edge.at(run), (place.x, place.y))
        if away < best:
            best, best_m = away, before_m + run
        before_m += edge.length_m
    return best_m


def _nearest_along(ring: Sequence[Edge], stops: list[tuple[float, str]]) -> list[tuple[Stretch, ...]]:
    """For each edge of a ring its stretches, each to the nearest of the stops along the ring."""
    if not stops:
        return [(Stretch(0.0, edge.length_m),) for edge in ring]
    round_m = math.fsum(edge.length_m for edge in ring)
    partings = []
    for (one_m, pipe), (next_m, _) in pairwise([*stops, (stops[0][0] + round_m, stops[0][1])]):
        partings.append(((one_m + next_m) / 2, pipe))
    # Each pipe takes from the parting before it to its own; unrolled over three rounds, so that no stretch wraps.
    bounds = [(m + turn * round_m, pipe) for turn in (-1, 0, 1) for m, pipe in partings]
    found, before_m = [], 0.0
    for edge in ring:
        end_m = before_m + edge.length_m
        cuts = [m for m, _ in bounds if before_m + _SAME_M < m < end_m - _SAME_M]
        runs = pairwise([before_m, *cuts, end_m])
        found.append(
            tuple(
                Stretch(
                    start - before_m,
                    min(end - before_m, edge.length_m),
                    next(pipe for m, pipe in bounds if m >= (start + end) / 2),
                )
                for start, end in runs
            )
        )
        before_m = end_m
    return found


@dataclass(frozen=True, slots=True)
class _Side:
    """One straight piece of a gutter."""

    start: tuple[float, float]
    end: tuple[float, float]
    downpipe: str
    gutter: str

    def run_on(self, edge: Edge) -> tuple[float, float] | None:
        """From where to where it runs along an edge, m; None where it does not."""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        length = math.hypot(dx, dy)
        if length == 0 or abs(dx * edge.along[1] - dy * edge.along[0]) > _MOST_TURN * length:
            return None
        low, high = sorted((edge.run(*self.start), edge.run(*self.end)))
        low, high = max(low, 0.0), min(high, edge.length_m)
        if high - low <= _SAME_M or self.away(edge, (low + high) / 2) > GUTTER_REACH_M:
            return None
        return (0.0 if low <= GUTTER_REACH_M else low), (
            edge.length_m if high >= edge.length_m - GUTTER_REACH_M else high
        )

    def away(self, edge: Edge, run_m: float) -> float:
        """Distance of the piece from a spot of an edge, m."""
        return float(shapely.LineString([self.start, self.end]).distance(Point(edge.at(run_m))))


def _sides(gutter: Gutter, pipe: str) -> list[_Side]:
    corners = [(x, y) for x, y, *_ in gutter.shape.coords]
    return [_Side(start, end, pipe, gutter.id) for start, end in pairwise(corners)]


def _covered(edge: Edge, sides: Sequence[_Side]) -> tuple[Stretch, ...]:
    """The stretches of one edge by the pieces of gutter that run along it."""
    along = [(run, side) for side in sides if (run := side.run_on(edge)) is not None]
    cuts = sorted({0.0, edge.length_m, *(m for run, _ in along for m in run)})
    stretches: list[Stretch] = []
    for start, end in pairwise(cuts):
        if end - start <= _SAME_M:
            continue
        middle = (start + end) / 2
        near = [side for run, side in along if run[0] <= middle <= run[1]]
        side = min(near, key=lambda each: each.away(edge, middle), default=None)
        pipe, gutter = (side.downpipe, side.gutter) if side is not None else ("", "")
        same = stretches and (stretches[-1].downpipe, stretches[-1].gutter) == (pipe, gutter)
        from_m = stretches.pop().start_m if same else start
        stretches.append(Stretch(from_m, end, pipe, gutter))
    return tuple(stretches)
