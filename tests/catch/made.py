"""Roofs, pipes and tanks for the tests of this room."""

from __future__ import annotations

from shapely import LineString, Point, Polygon, box

from gardenwater.site.model import Settings, Site
from gardenwater.site.things import Diverter, Downpipe, Gutter, Roof, RoofForm, Tank, Thing

# The house of the mock pictures, invented: two wings that meet in a corner.
WINGS = Polygon([(13.6, 46.4), (26.4, 46.4), (26.4, 34.0), (19.2, 34.0), (19.2, 37.6), (13.6, 37.6)])


RECTANGLE = box(0, 0, 10, 6)


def roof(outline: Polygon = RECTANGLE, **fields: object) -> Roof:
    """A roof called roof-1, gabled unless another form is asked for."""
    return Roof(**({"id": "roof-1", "name": "House", "shape": outline, "form": RoofForm.GABLE} | fields))


def pipe(number: int, x: float, y: float, **fields: object) -> Downpipe:
    return Downpipe(**({"id": f"downpipe-{number}", "name": f"Pipe {number}", "shape": Point(x, y)} | fields))


def gutter(number: int, *corners: tuple[float, float], **fields: object) -> Gutter:
    return Gutter(**({"id": f"gutter-{number}", "shape": LineString(corners)} | fields))


def diverter(number: int, x: float, y: float, **fields: object) -> Diverter:
    return Diverter(**({"id": f"diverter-{number}", "shape": Point(x, y), "most_l_min": 2000.0} | fields))


def tank(number: int, x: float, y: float, **fields: object) -> Tank:
    return Tank(**({"id": f"tank-{number}", "name": f"Tank {number}", "shape": Point(x, y)} | fields))


def site_of(*things: Thing, **settings: object) -> Site:
    return Site(things=things, settings=Settings(**settings))
