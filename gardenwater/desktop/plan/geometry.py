"""Plane geometry that tools need: bearings, feet on lines, boxes, outlines."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.desktop.plan.events import XY
from gardenwater.site.things import Path, Tank, Thing

_POINTS_OF_THE_COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def distance(a: XY, b: XY) -> float:
    """Distance of two points."""
    return math.hypot(b[0] - a[0], b[1] - a[1])


def bearing_deg(a: XY, b: XY) -> float:
    """Compass bearing from a to b: 0 north, 90 east."""
    return math.degrees(math.atan2(b[0] - a[0], b[1] - a[1])) % 360.0


def compass_word(bearing: float) -> str:
    """The nearest of the eight points of the compass, in words."""
    return _POINTS_OF_THE_COMPASS[round(bearing / 45.0) % 8]


def polar(start: XY, length_m: float, bearing: float) -> XY:
    """The point so far from `start` on a compass bearing."""
    angle = math.radians(bearing)
    return start[0] + length_m * math.sin(angle), start[1] + length_m * math.cos(angle)


def rounded(at: XY) -> XY:
    """To whole centimetres: nothing is drawn finer."""
    return round(at[0], 2), round(at[1], 2)


def foot_on_line(at: XY, start: XY, direction: XY) -> XY:
    """The point nearest to `at` on the endless line through `start` along a direction (not zero)."""
    dx, dy = direction
    share = ((at[0] - start[0]) * dx + (at[1] - start[1]) * dy) / (dx * dx + dy * dy)
    return start[0] + share * dx, start[1] + share * dy


def area_m2(points: Sequence[XY]) -> float:
    """Area inside an outline, m² (as if it did not cross itself)."""
    if len(points) < 3:
        return 0.0
    x, y = np.asarray(points, dtype=np.float64).T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def rectangle(start: XY, end: XY, along: XY = (1.0, 0.0)) -> list[XY]:
    """The rectangle from corner to corner with one side along a direction; four corners, not closed."""
    length = math.hypot(*along)
    ux, uy = along[0] / length, along[1] / length
    dx, dy = end[0] - start[0], end[1] - start[1]
    run = dx * ux + dy * uy
    second = start[0] + run * ux, start[1] + run * uy
    fourth = end[0] - run * ux, end[1] - run * uy
    return [start, second, end, fourth]


def touch_shape(thing: Thing) -> BaseGeometry:
    """What a thing covers on the plan, m: the outline of a tank, the band of a path, the shape of the others."""
    if isinstance(thing, Tank):
        return thing.footprint
    if isinstance(thing, Path):
        return thing.band
    return thing.shape


def corners_of(shape: BaseGeometry) -> list[XY]:
    """The corners that can be edited: of a line all, of a polygon its outer ring without the repeated last one."""
    if isinstance(shape, shapely.Polygon):
        return [(x, y) for x, y in shapely.get_coordinates(shape.exterior)[:-1].tolist()]
    return [(x, y) for x, y in shapely.get_coordinates(shape).tolist()]


def with_corners(shape: BaseGeometry, corners: Sequence[XY]) -> BaseGeometry:
    """A shape of the same kind through other corners; the holes of a polygon stay."""
    if isinstance(shape, shapely.Polygon):
        return shapely.Polygon(corners, [ring.coords for ring in shape.interiors])
    if isinstance(shape, shapely.LineString):
        return shapely.LineString(corners)
    return shapely.Point(corners[0])


def is_closed(shape: BaseGeometry) -> bool:
    """Whether the last corner is joined to the first."""
    return isinstance(shape, shapely.Polygon)


def middle(a: XY, b: XY) -> XY:
    """Half way between two points."""
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def bounds_of(things: Sequence[Thing]) -> tuple[float, float, float, float]:
    """West, south, east, north of what the things cover, m."""
    west, south, east, north = shapely.total_bounds([touch_shape(thing) for thing in things]).tolist()
    return west, south, east, north


def segments_of(shape: BaseGeometry) -> NDArray[np.float64]:
    """The straight pieces of all lines and rings of a shape; float64 (n, 2, 2)."""
    lines = shapely.get_parts(shape.boundary if shape.geom_type.endswith("Polygon") else shape)
    pieces = [shapely.get_coordinates(line) for line in lines if line.geom_type != "Point"]
    pairs = [np.stack((points[:-1], points[1:]), axis=1) for points in pieces if len(points) > 1]
    return np.concatenate(pairs) if pairs else np.empty((0, 2, 2))
