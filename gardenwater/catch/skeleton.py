"""The straight skeleton of an outline: which edge's plane each spot of an evenly pitched roof belongs to.

The outline shrinks inwards, every edge at the same pace (Aichholzer, Aurenhammer, Alberts and Gärtner 1995). A corner
runs along the bisector of its two edges; what it passes is a hip (outward corner) or valley (inward corner). Two
things happen on the way: an edge shrinks to nothing and its corners become one, or an inward corner runs into another
edge and parts the outline in two (or, with a courtyard, joins two rings to one). Both are looked for afresh after each
event: for the outlines of houses that takes milliseconds.

What an edge sweeps is its plane of the roof. Rings run with the roof at their left.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import LinearRing, LineString, Polygon

Place = tuple[float, float]

_PARALLEL = 1e-13
_STILL = 1e-12
_HARDLY = 1e-6
_ROUNDING = 1e-9


class TangledError(Exception):
    """The outline's skeleton could not be followed to its end."""


@dataclass(frozen=True, slots=True)
class Edge:
    """One side of an outline: its ends, its direction and the normal towards the roof (both of length 1)."""

    start: Place
    end: Place
    along: Place
    inward: Place

    @property
    def length_m(self) -> float:
        """Length, m."""
        return math.dist(self.start, self.end)

    def height(self, x: float, y: float) -> float:
        """How far (x, y) lies inside the edge's line, m; on a roof of 45 degrees, how high."""
        return (x - self.start[0]) * self.inward[0] + (y - self.start[1]) * self.inward[1]

    def run(self, x: float, y: float) -> float:
        """How far along the edge (x, y) lies, m from its start."""
        return (x - self.start[0]) * self.along[0] + (y - self.start[1]) * self.along[1]

    def at(self, run_m: float) -> Place:
        """The place `run_m` along the edge."""
        return self.start[0] + run_m * self.along[0], self.start[1] + run_m * self.along[1]


def edges_of(outline: Polygon) -> tuple[tuple[Edge, ...], ...]:
    """The sides of each ring of an outline (outer ring first), running with the inside at the left."""
    turned = shapely.orient_polygons(outline)
    return tuple(_ring_edges(corners_of(ring)) for ring in (turned.exterior, *turned.interiors))


def corners_of(ring: LinearRing) -> list[Place]:
    """The corners of a ring, the first again at the end."""
    return [(x, y) for x, y, *_ in ring.coords]


def _ring_edges(corners: list[Place]) -> tuple[Edge, ...]:
    edges = []
    for start, end in pairwise(corners):
        length = math.dist(start, end)
        along = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        edges.append(Edge(start, end, along, (-along[1], along[0])))
    return tuple(edges)


def skeleton_faces(rings: Sequence[Sequence[Edge]]) -> tuple[Polygon, ...]:
    """The face of each edge, rings one after the other; together they are the outline.

    Raises TangledError where the shrinking cannot be followed, or what it leaves is no partition of the outline.
    """
    nodes, arcs = _Wavefront(rings).shrunk()
    edges = [edge for ring in rings for edge in ring]
    lines = [LineString([edge.start, edge.end]) for edge in edges]
    lines.extend(LineString([nodes[a], nodes[b]]) for a, b in sorted(arcs))
    outline = Polygon([edge.start for edge in rings[0]], [[edge.start for edge in ring] for ring in rings[1:]])
    faces = [face for face in polygons_of(shapely.polygonize(lines)) if outline.covers(face.representative_point())]
    by_edge = _by_edge(faces, edges)
    total = math.fsum(face.area for face in faces)
    if abs(total - outline.area) > _ROUNDING * max(outline.area, 1.0) or len(by_edge) != len(faces):
        raise TangledError
    return tuple(by_edge[index] for index in range(len(edges)))


def polygons_of(geometry: shapely.Geometry) -> list[Polygon]:
    """The polygons in a geometry; lines and points, which an overlay may leave, are none."""
    return [part for part in shapely.get_parts(geometry) if isinstance(part, Polygon) and part.area > 0]


def _by_edge(faces: Sequence[Polygon], edges: Sequence[Edge]) -> dict[int, Polygon]:
    """The face that touches each edge; TangledError unless each edge has one of its own."""
    owners = {frozenset((edge.start, edge.end)): index for index, edge in enumerate(edges)}
    found: dict[int, Polygon] = {}
    for face in faces:
        sides = (owners.get(frozenset(side)) for side in pairwise(corners_of(face.exterior)))
        touched = [side for side in sides if side is not None]
        if len(touched) != 1 or touched[0] in found:
            raise TangledError
        found[touched[0]] = face
    if len(found) != len(edges):
        raise TangledError
    return found


class _Corner:
    """A corner of the shrinking outline: where and when it came up, how fast it runs, and the edge that follows it."""

    __slots__ = ("edge", "following", "inward_turn", "leading", "node", "place", "since", "speed")

    def __init__(self, place: Place, since: float, node: int, edge: int) -> None:
        self.place, self.since, self.node, self.edge = place, since, node, edge
        self.speed: Place = (0.0, 0.0)
        self.inward_turn = False
        self.leading: _Corner = self
        self.following: _Corner = self

    def at(self, time: float) -> Place:
        return (
            self.place[0] + (time - self.since) * self.speed[0],
            self.place[1] + (time - self.since) * self.speed[1],
        )


@dataclass(frozen=True, slots=True)
class _Event:
    """What happens next: the edge after `corner` is gone, or `corner` runs into the edge after `struck`."""

    time: float
    corner: _Corner
    struck: _Corner | None = None


class _Wavefront:
    """The shrinking outline.

    Inside, places are taken from the outline's first corner, so that they keep their digits.
    """

    def __init__(self, rings: Sequence[Sequence[Edge]]) -> None:
        self._origin = rings[0][0].start
        edges = [edge for ring in rings for edge in ring]
        self._edges = [Edge(self._near(e.start), self._near(e.end), e.along, e.inward) for e in edges]
        self._near_m = 1e-8 * sum(edge.length_m for edge in edges)
        self._nodes: list[Place] = [edge.start for edge in self._edges]
        self._arcs: set[tuple[int, int]] = set()
        self._time = 0.0
        self._active: dict[_Corner, None] = {}
        self._outline_nodes = [edge.start for edge in edges]
        first = 0
        for ring in rings:
            corners = [_Corner(self._nodes[i], 0.0, i, i) for i in range(first, first + len(ring))]
            for corner, following in zip(corners, corners[1:] + corners[:1], strict=True):
                corner.following, following.leading = following, corner
            for corner in corners:
                self._set_off(corner)
            first += len(ring)

    def shrunk(self) -> tuple[list[Place], set[tuple[int, int]]]:
        """Shrink to nothing. The nodes (the outline's corners first) and the arcs between them."""
        for _ in range(20 * len(self._edges) + 20):
            if not self._active:
                inside = self._nodes[len(self._outline_nodes) :]
                far = [(x + self._origin[0], y + self._origin[1]) for x, y in inside]
                return [*self._outline_nodes, *far], self._arcs
            event = self._next_event()
            self._time = max(self._time, event.time)
            if event.struck is None:
                self._join(event.corner)
            else:
                self._part(event.corner, event.struck)
        raise TangledError

    def _near(self, place: Place) -> Place:
        return place[0] - self._origin[0], place[1] - self._origin[1]

    def _next_event(self) -> _Event:
        first: _Event | None = None
        corners = list(self._active)
        for corner in corners:
            time = self._gone_at(corner)
            if time is not None and (first is None or time < first.time):
                first = _Event(time, corner)
        for corner in corners:
            if corner.inward_turn:
                first = self._first_strike(corner, corners, first)
        if first is None:
            raise TangledError
        return first

    def _gone_at(self, corner: _Corner) -> float | None:
        """When the edge after a corner is gone; None if never."""
        following, along = corner.following, self._edges[corner.edge].along
        (x0, y0), (x1, y1) = corner.at(self._time), following.at(self._time)
        left_m = (x1 - x0) * along[0] + (y1 - y0) * along[1]
        pace = (following.speed[0] - corner.speed[0]) * along[0] + (following.speed[1] - corner.speed[1]) * along[1]
        if left_m <= self._near_m and pace <= _HARDLY:
            return self._time
        return self._time + left_m / -pace if pace < -_STILL else None

    def _first_strike(self, corner: _Corner, corners: list[_Corner], first: _Event | None) -> _Event | None:
        """The earlier of `first` and when an inward corner runs into an edge that is not its own."""
        x, y = corner.at(self._time)
        for struck in corners:
            if struck is corner or struck is corner.leading:
                continue
            edge = self._edges[struck.edge]
            away_m = edge.height(x, y) - self._time
            pace = corner.speed[0] * edge.inward[0] + corner.speed[1] * edge.inward[1] - 1.0
            if pace >= -_STILL or away_m < -self._near_m:
                continue
            time = self._time + max(away_m, 0.0) / -pace
            if first is not None and time >= first.time - _STILL:
                continue
            run = edge.run(*corner.at(time))
            start, end = edge.run(*struck.at(time)), edge.run(*struck.following.at(time))
            if start - self._near_m <= run <= end + self._near_m:
                first = _Event(time, corner, struck)
        return first

    def _join(self, corner: _Corner) -> None:
        """The edge after a corner is gone: it and the next become one."""
        other = corner.following
        (x0, y0), (x1, y1) = corner.at(self._time), other.at(self._time)
        node = self._node(((x0 + x1) / 2, (y0 + y1) / 2))
        self._end(corner, node)
        self._end(other, node)
        if corner.leading is other:
            return
        self._start(node, corner.leading, other.following, other.edge)

    def _part(self, corner: _Corner, struck: _Corner) -> None:
        """A corner runs into the edge after `struck`: two corners go on, one at each side of it."""
        node = self._node(corner.at(self._time))
        leading, following, beyond = corner.leading, corner.following, struck.following
        self._end(corner, node)
        one = self._linked(node, leading, beyond, struck.edge)
        two = self._linked(node, struck, following, corner.edge)
        for new in (one, two):
            if new in self._active:
                self._set_off(new)

    def _start(self, node: int, leading: _Corner, following: _Corner, edge: int) -> None:
        self._set_off(self._linked(node, leading, following, edge))

    def _linked(self, node: int, leading: _Corner, following: _Corner, edge: int) -> _Corner:
        corner = _Corner(self._nodes[node], self._time, node, edge)
        corner.leading, corner.following = leading, following
        leading.following, following.leading = corner, corner
        self._active[corner] = None
        return corner

    def _set_off(self, corner: _Corner) -> None:
        """Give a corner its pace; where nothing is left between its edges, close them like a zip."""
        self._active[corner] = None
        if corner.following.following is corner:
            self._close_pair(corner)
            return
        before, after = self._edges[corner.leading.edge], self._edges[corner.edge]
        dot = before.inward[0] * after.inward[0] + before.inward[1] * after.inward[1]
        if 1.0 + dot < _PARALLEL:
            self._zip(corner)
            return
        corner.speed = (
            (before.inward[0] + after.inward[0]) / (1.0 + dot),
            (before.inward[1] + after.inward[1]) / (1.0 + dot),
        )
        turn = before.along[0] * after.along[1] - before.along[1] * after.along[0]
        corner.inward_turn = turn < -_STILL

    def _close_pair(self, corner: _Corner) -> None:
        """Two corners are left of a ring: nothing lies between their edges."""
        other = corner.following
        node = self._node(other.at(self._time))
        self._end(corner, node)
        self._end(other, node)

    def _zip(self, corner: _Corner) -> None:
        """The edges of a corner lie on each other: it runs at once to the nearer of its neighbours."""
        leading, following = corner.leading, corner.following
        here = corner.at(self._time)
        back, on = leading.at(self._time), following.at(self._time)
        if math.dist(here, back) < math.dist(here, on):
            node = self._node(back)
            self._end(corner, node)
            self._end(leading, node)
            self._start(node, leading.leading, following, corner.edge)
        else:
            node = self._node(on)
            self._end(corner, node)
            self._end(following, node)
            self._start(node, leading, following.following, following.edge)

    def _node(self, place: Place) -> int:
        """The number of the node at a place: a known one within rounding, or a new one."""
        for number, node in enumerate(self._nodes):
            if abs(node[0] - place[0]) <= self._near_m and abs(node[1] - place[1]) <= self._near_m:
                return number
        self._nodes.append(place)
        return len(self._nodes) - 1

    def _end(self, corner: _Corner, node: int) -> None:
        """A corner ends at a node: what it passed is an arc of the skeleton."""
        self._active.pop(corner, None)
        if corner.node != node:
            self._arcs.add((min(corner.node, node), max(corner.node, node)))
