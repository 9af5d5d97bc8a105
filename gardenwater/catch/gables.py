"""The ends of a roof's wings stood upright: from a hipped roof to a gabled one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import Polygon

from gardenwater.catch.skeleton import Edge, Place, corners_of

_MOST_TURN = -math.cos(math.radians(30.0))


def with_gables(faces: Sequence[Polygon], rings: Sequence[Sequence[Edge]]) -> dict[int, Polygon]:
    """The faces of a hipped roof that are left when the ends of its wings are gables, by number.

    An end is a triangle between two sides that face each other (within 30 degrees). It is parted along the line half
    way between those sides - the ridge, gone on to the wall - and each half goes with the plane beside it, which is as
    exact as the hip was. Shorter ends come first; of two ends that touch, as on a square, only the first is stood up
    (one facing east or west before one facing north or south).
    """
    coords = {index: corners_of(face.exterior)[:-1] for index, face in enumerate(faces)}
    taken: set[int] = set()
    edges = [edge for ring in rings for edge in ring]
    beside = _neighbours(rings)
    for index in sorted(coords, key=lambda i: (round(edges[i].length_m, 6), abs(edges[i].along[0]))):
        before, after = beside[index]
        if index in taken or len(coords[index]) != 3 or not _is_end(edges, before, index, after):
            continue
        edge = edges[index]
        apex = next(place for place in coords[index] if place not in (edge.start, edge.end))
        foot = _ridge_foot(edges[before], edge, edges[after], apex)
        if foot is None:
            continue
        coords[before] = _with_corner(coords[before], edge.start, apex, foot)
        coords[after] = _with_corner(coords[after], edge.end, apex, foot)
        taken.update((index, before, after))
        del coords[index]
    return {index: Polygon(ring) for index, ring in sorted(coords.items())}


def _neighbours(rings: Sequence[Sequence[Edge]]) -> list[tuple[int, int]]:
    """The numbers of the edges before and after each edge."""
    found: list[tuple[int, int]] = []
    for ring in rings:
        first, count = len(found), len(ring)
        found.extend((first + (i - 1) % count, first + (i + 1) % count) for i in range(count))
    return found


def _is_end(edges: Sequence[Edge], before: int, index: int, after: int) -> bool:
    """Whether an edge stands out, and the edges beside it face each other."""
    one, edge, other = edges[before], edges[index], edges[after]
    facing = one.inward[0] * other.inward[0] + one.inward[1] * other.inward[1]
    return facing < _MOST_TURN and _turn(one, edge) > 0 and _turn(edge, other) > 0


def _turn(one: Edge, other: Edge) -> float:
    return one.along[0] * other.along[1] - one.along[1] * other.along[0]


def _ridge_foot(before: Edge, edge: Edge, after: Edge, apex: Place) -> Place | None:
    """Where the line half way between the sides meets the end wall; None where it misses it."""
    across = before.inward[0] - after.inward[0], before.inward[1] - after.inward[1]
    size = math.hypot(*across)
    ridge = -across[1] / size, across[0] / size
    towards_wall = ridge[0] * edge.inward[0] + ridge[1] * edge.inward[1]
    step = -edge.height(*apex) / towards_wall
    run = edge.run(apex[0] + step * ridge[0], apex[1] + step * ridge[1])
    return edge.at(run) if 0.0 < run < edge.length_m else None


def _with_corner(ring: list[Place], one: Place, other: Place, corner: Place) -> list[Place]:
    """The ring with a corner put in between two that follow each other."""
    for index, place in enumerate(ring):
        if {place, ring[(index + 1) % len(ring)]} == {one, other}:
            return [*ring[: index + 1], corner, *ring[index + 1 :]]
    return ring
