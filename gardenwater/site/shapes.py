"""Whether a shape can be drawn: of the right type, finite, not empty, not crossing itself."""

from __future__ import annotations

import math

import shapely
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from gardenwater.site.fault import Fault

FURTHEST_M = 1e8
SHORTEST_M = 1e-3
SMALLEST_M2 = 1e-4

_TYPES: dict[str, tuple[type[BaseGeometry], str, str]] = {
    "Point": (Point, "a spot", "Give one point."),
    "LineString": (LineString, "a line", "Draw a line of two or more points."),
    "Polygon": (Polygon, "an outline", "Draw an outline of three or more corners."),
}


def shape_fault(shape: object, geometry: str) -> Fault | None:
    """What keeps `shape` from being a thing's `geometry` ("Point", "LineString", "Polygon"); None when nothing does."""
    wanted, words, mend = _TYPES[geometry]
    if not isinstance(shape, wanted) or shape.is_empty:
        return Fault("Place", f"Its place on the plan is not {words}.", mend)
    if shape.has_z:
        return Fault(
            "Place", "Its corners carry levels of their own.", "Give x and y only; levels come from the ground."
        )
    if not all(math.isfinite(each) and abs(each) <= FURTHEST_M for each in shapely.get_coordinates(shape).flat):
        return Fault("Place", "A corner is not on the plan.", "Give x and y in metres, as finite numbers.")
    if isinstance(shape, LineString) and shape.length < SHORTEST_M:
        return Fault("Place", "Its points all lie on one spot.", "Draw a line of two or more points apart.")
    return _polygon_fault(shape) if isinstance(shape, Polygon) else None


def _polygon_fault(shape: Polygon) -> Fault | None:
    if shape.is_valid:
        small = shape.area < SMALLEST_M2
        return Fault("Outline", "Its outline holds no ground.", "Draw three or more corners apart.") if small else None
    why = shapely.is_valid_reason(shape)
    spot = why[why.find("[") + 1 : -1].split() if "[" in why else []
    where = f" near {float(spot[0]):.2f}, {float(spot[1]):.2f}" if len(spot) == 2 else ""
    if "Hole" in why or "nested" in why.lower() or "Interior" in why:
        return Fault(
            "Outline", f"A hole in its outline lies outside it or cuts it in two{where}.", "Take the hole away."
        )
    return Fault("Outline", f"Its outline crosses or touches itself{where}.", "Move a corner until no two sides meet.")
