"""The lines in which a roof's planes meet, and the way down each plane, for the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import pairwise

import shapely
from shapely import LineString

from gardenwater.catch.planes import Plane, tidy_shape
from gardenwater.catch.skeleton import Edge, Place, corners_of, polygons_of
from gardenwater.site.things import Roof

_LEVEL_M = 1e-4
_APART = -0.866  # 150 degrees
_ONE_PLANE = 0.99999  # a quarter of a degree


@dataclass(frozen=True, slots=True)
class RoofLines:
    """The lines of a roof on the plan. Ridges are level, hips and valleys slope.

    falls: one for each plane, two points, from its top to its eaves.
    """

    ridges: tuple[LineString, ...]
    hips: tuple[LineString, ...]
    valleys: tuple[LineString, ...]
    falls: tuple[LineString, ...]


class _Kind(Enum):
    RIDGE = auto()
    HIP = auto()
    VALLEY = auto()


def roof_lines(roof: Roof) -> RoofLines:
    """Where the planes of a roof meet, and which way each falls; all empty for a flat roof."""
    shape = tidy_shape(roof)
    lines: dict[_Kind, list[LineString]] = {kind: [] for kind in _Kind}
    for one, other, start, end in _meetings(shape.planes):
        lines[_kind(one, other, start, end, shape.edges)].append(LineString([start, end]))
    return RoofLines(
        _joined(lines[_Kind.RIDGE]),
        _joined(lines[_Kind.HIP]),
        _joined(lines[_Kind.VALLEY]),
        tuple(line for plane in shape.planes if (line := _fall_line(plane)) is not None),
    )


def _meetings(planes: Sequence[Plane]) -> Iterator[tuple[Plane, Plane, Place, Place]]:
    """Each side that two planes share (not two parts of one plane), with the first of them at its left."""
    seen: dict[frozenset[Place], Plane] = {}
    for plane in planes:
        for polygon in polygons_of(plane.shape):
            for start, end in pairwise(corners_of(shapely.orient_polygons(polygon).exterior)):
                other = seen.get(frozenset((start, end)))
                if other is None:
                    seen[frozenset((start, end))] = plane
                elif _between(plane, other) < _ONE_PLANE:
                    yield plane, other, start, end


def _kind(one: Plane, other: Plane, start: Place, end: Place, edges: Sequence[Edge]) -> _Kind:
    """A ridge is level or lies between planes that fall apart; from a hip water runs away, to a valley it runs."""
    low = edges[one.eaves[0]]
    if _between(one, other) < _APART or abs(low.height(*start) - low.height(*end)) <= _LEVEL_M:
        return _Kind.RIDGE
    into_one = start[1] - end[1], end[0] - start[0]
    return _Kind.HIP if one.fall[0] * into_one[0] + one.fall[1] * into_one[1] > 0 else _Kind.VALLEY


def _between(one: Plane, other: Plane) -> float:
    """Cosine of the angle between two falls."""
    return one.fall[0] * other.fall[0] + one.fall[1] * other.fall[1]


def _joined(lines: list[LineString]) -> tuple[LineString, ...]:
    """Straight lines that go on in each other made one."""
    if not lines:
        return ()
    merged = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(lines)).simplify(_LEVEL_M))
    return tuple(LineString(side) for line in merged for side in pairwise(line.coords))


def _fall_line(plane: Plane) -> LineString | None:
    """A line down the middle of a plane, from its top to its eaves; None on a flat one."""
    if not plane.eaves:
        return None
    polygon = max(polygons_of(plane.shape), key=lambda part: part.area)
    centre = polygon.centroid if polygon.covers(polygon.centroid) else polygon.representative_point()
    reach = polygon.length
    dx, dy = plane.fall[0] * reach, plane.fall[1] * reach
    down = LineString([(centre.x - dx, centre.y - dy), (centre.x + dx, centre.y + dy)]).intersection(polygon)
    pieces = [part for part in shapely.get_parts(down) if isinstance(part, LineString)]
    nearest = min(pieces, key=lambda part: part.distance(centre))
    ends = nearest.coords[0], nearest.coords[-1]
    return LineString(sorted(ends, key=lambda end: end[0] * plane.fall[0] + end[1] * plane.fall[1]))
