"""Where a thing cannot be: a tank under a roof or in a building, and the nearest place where it can."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.geometry import bearing_deg, compass_word, distance
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Building, Roof, Tank

_TOUCH_M = 0.02  # a tank may touch a wall
_CLEAR_M = 0.05


@dataclass(frozen=True, slots=True)
class Misplaced:
    """Why a thing cannot be where it is. nearest: the nearest place that can be, where one was found."""

    why: str
    nearest: XY | None
    away_m: float
    way: str


def misplaced(site: Site, ids: Iterable[str]) -> Misplaced | None:
    """Why one of these things cannot be where it is in `site`; None when all can.

    A tank cannot stand in a building, nor with its middle under a roof: a wall is in its way, and nobody gets at its
    lid. That its rim is under the eaves is common.
    """
    for thing_id in ids:
        thing = site.get(thing_id)
        if isinstance(thing, Tank) and (why := _why(site, thing)):
            return _with_nearest(site, thing, why)
    return None


def _why(site: Site, tank: Tank) -> str:
    outline = tank.footprint.buffer(-_TOUCH_M)
    for roof in site.of(Roof):
        if roof.shape.contains(tank.shape):
            return f"Under the roof of {called(roof)}"
    for building in site.of(Building):
        if outline.intersects(building.shape):
            return (
                f"In the wall of {called(building)}"
                if not building.shape.contains(outline)
                else f"In {called(building)}"
            )
    return ""


def _with_nearest(site: Site, tank: Tank, why: str) -> Misplaced:
    here = tank.shape.x, tank.shape.y
    radius = max(tank.width_m, tank.length_m) / 2 if tank.form != "upright" else tank.width_m / 2
    taken: list[BaseGeometry] = [roof.shape.buffer(_CLEAR_M) for roof in site.of(Roof)]
    taken += [building.shape.buffer(radius + _CLEAR_M) for building in site.of(Building)]
    edge, _ = nearest_points(shapely.union_all(taken).boundary, tank.shape)
    place = edge.x, edge.y
    return Misplaced(why, place, distance(here, place), compass_word(bearing_deg(here, place)))
