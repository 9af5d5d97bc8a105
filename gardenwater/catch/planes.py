"""The planes of a roof on the plan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.ops import split

from gardenwater.catch.gables import with_gables
from gardenwater.catch.skeleton import Edge, Place, TangledError, edges_of, polygons_of, skeleton_faces
from gardenwater.site.things import Roof, RoofForm

Surface = Polygon | MultiPolygon

_TIDY_M = 0.1
_SNAP_DEG = 10.0
_ALONG_FALL = 1e-3
_NO_FALL = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Plane:
    """One plane of a roof.

    shape: its part of the plan. fall: direction of the way down, of length 1, or (0, 0) on a flat roof. eaves: numbers
    of the outline's edges that its water runs to (edges count on through the rings); none on a flat roof.
    """

    shape: Surface
    fall: Place
    eaves: tuple[int, ...]

    @property
    def fall_bearing_deg(self) -> float:
        """Compass bearing of the way down; NaN on a flat roof."""
        return math.nan if self.fall == _NO_FALL else math.degrees(math.atan2(*self.fall)) % 360.0


class Assumption(StrEnum):
    """What had to be assumed to share a roof's water."""

    FALL = "the way it falls"
    FLAT = "that it is flat"
    LEVEL_GUTTER = "a level gutter all round"


@dataclass(frozen=True, slots=True)
class RoofShape:
    """A roof taken apart: its tidied outline's edges, ring by ring, and its planes, which together are its plan."""

    rings: tuple[tuple[Edge, ...], ...]
    planes: tuple[Plane, ...]
    assumed: Assumption | None = None

    @property
    def edges(self) -> tuple[Edge, ...]:
        """All edges, as `Plane.eaves` numbers them."""
        return tuple(edge for ring in self.rings for edge in ring)


def roof_shape(roof: Roof) -> RoofShape:
    """The planes of a roof, which sum to its plan area.

    Flat: one plane without a fall. One fall: one plane; its bearing is turned to the nearest side within 10 degrees,
    and is the outward sense of the longest side where it is not given. Hip: each side's plane by the straight skeleton
    (`skeleton`), all of one pitch. Gable: the same with the ends of its wings stood upright (`gables`), so that the
    ridge of a rectangle runs along its longer sides, and wings that meet do so in a valley; an outline without such an
    end is parted along the middle of its smallest enclosing rectangle, or is as a hip round a courtyard.

    Corners that stand out less than 10 cm are smoothed before; what that adds or takes goes with the nearest plane. An
    outline whose skeleton cannot be followed is taken as flat, and `assumed` says so.
    """
    return _on_true_outline(tidy_shape(roof), roof.shape)


def tidy_shape(roof: Roof) -> RoofShape:
    """As `roof_shape`, of the tidied outline: neighbouring planes share their corners to the digit."""
    outline = _tidied(roof.shape)
    rings = edges_of(outline)
    if roof.form is RoofForm.FLAT:
        return RoofShape(rings, (Plane(outline, _NO_FALL, ()),))
    if roof.form is RoofForm.MONO:
        return _one_fall(roof, outline, rings)
    try:
        faces = skeleton_faces(rings)
    except TangledError:
        return RoofShape(rings, (Plane(outline, _NO_FALL, ()),), Assumption.FLAT)
    kept = dict(enumerate(faces))
    if roof.form is RoofForm.GABLE:
        kept = with_gables(faces, rings)
        if len(kept) == len(faces) and len(rings) == 1:
            return RoofShape(rings, _two_halves(outline, rings))
    edges = [edge for ring in rings for edge in ring]
    return RoofShape(rings, tuple(Plane(face, _outward(edges[i]), (i,)) for i, face in kept.items()))


def _tidied(outline: Polygon) -> Polygon:
    """The outline without corners that hardly stand out; as it is where that would spoil it."""
    tidy = outline.simplify(_TIDY_M)
    if isinstance(tidy, Polygon) and tidy.is_valid and abs(tidy.area - outline.area) < 0.05 * outline.area:
        return tidy
    return Polygon(shapely.remove_repeated_points(outline))


def _outward(edge: Edge) -> Place:
    return -edge.inward[0], -edge.inward[1]


def _one_fall(roof: Roof, outline: Polygon, rings: Sequence[Sequence[Edge]]) -> RoofShape:
    edges = [edge for ring in rings for edge in ring]
    if roof.fall_deg is None:
        longest = max(rings[0], key=lambda edge: edge.length_m)
        fall, assumed = _outward(longest), Assumption.FALL
    else:
        bearing = math.radians(roof.fall_deg)
        fall, assumed = _snapped((math.sin(bearing), math.cos(bearing)), edges), None
    return RoofShape(tuple(map(tuple, rings)), (Plane(outline, fall, _low_edges(edges, fall)),), assumed)


def _snapped(fall: Place, edges: Sequence[Edge]) -> Place:
    """The outward sense of the side nearest to a bearing; the bearing itself where none is near."""
    nearest = max(edges, key=lambda edge: _dot(_outward(edge), fall))
    return _outward(nearest) if _dot(_outward(nearest), fall) >= math.cos(math.radians(_SNAP_DEG)) else fall


def _low_edges(edges: Sequence[Edge], fall: Place) -> tuple[int, ...]:
    """The edges that water falling so runs over."""
    return tuple(index for index, edge in enumerate(edges) if _dot(_outward(edge), fall) > _ALONG_FALL)


def _two_halves(outline: Polygon, rings: Sequence[Sequence[Edge]]) -> tuple[Plane, ...]:
    """The outline parted along the middle of its smallest enclosing rectangle."""
    corners = shapely.get_coordinates(outline.minimum_rotated_rectangle)
    sides = sorted((corners[1] - corners[0], corners[2] - corners[1]), key=lambda side: math.hypot(*side))
    length = math.hypot(*sides[1])
    along = float(sides[1][0]) / length, float(sides[1][1]) / length
    middle = corners[:4].mean(axis=0)
    ends = [middle + sign * 2 * length * (sides[1] / length) for sign in (-1, 1)]
    edges = [edge for ring in rings for edge in ring]
    falls = ((-along[1], along[0]), (along[1], -along[0]))
    halves: list[list[Polygon]] = [[], []]
    for piece in polygons_of(split(outline, LineString(ends))):
        spot = piece.representative_point()
        left = _dot((spot.x - middle[0], spot.y - middle[1]), falls[0]) > 0
        halves[0 if left else 1].append(piece)
    return tuple(
        Plane(surface_of(pieces), fall, _low_edges(edges, fall))
        for pieces, fall in zip(halves, falls, strict=True)
        if pieces
    )


def _on_true_outline(shape: RoofShape, outline: Polygon) -> RoofShape:
    """The planes cut to the true outline; what no plane covers goes with the nearest."""
    tidy = shapely.union_all([plane.shape for plane in shape.planes])
    if len(shape.planes) == 1:
        return replace(shape, planes=(replace(shape.planes[0], shape=outline),))
    if tidy.symmetric_difference(outline).area <= 1e-9 * outline.area:
        return shape
    pieces: list[list[Polygon]] = [polygons_of(plane.shape.intersection(outline)) for plane in shape.planes]
    for rest in polygons_of(outline.difference(tidy)):
        nearest = min(range(len(pieces)), key=lambda index: shape.planes[index].shape.distance(rest.centroid))
        pieces[nearest].append(rest)
    planes = tuple(
        replace(plane, shape=surface_of(parts)) for plane, parts in zip(shape.planes, pieces, strict=True) if parts
    )
    return replace(shape, planes=planes)


def surface_of(parts: Sequence[Polygon]) -> Surface:
    """Polygons that do not overlap joined to one surface.

    An overlay of pieces whose corners agree but for rounding can lose one of them without an error (seen with GEOS
    3.14), so the area is looked at: then to the tenth of a micrometre, and at the last left in pieces.
    """
    total = math.fsum(part.area for part in parts)
    for grid_m in (None, 1e-7):
        joined = polygons_of(shapely.union_all(parts, grid_size=grid_m))
        if abs(math.fsum(part.area for part in joined) - total) <= 1e-6 * total:
            return joined[0] if len(joined) == 1 else MultiPolygon(joined)
    return MultiPolygon(parts)


def _dot(one: Place, other: Place) -> float:
    return one[0] * other[0] + one[1] * other[1]
