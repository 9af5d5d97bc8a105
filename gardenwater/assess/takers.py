"""Things that take overflow, as the overflow engine wants them: outline, room, what leaves them meanwhile."""

from __future__ import annotations

import shapely
from shapely import LineString, Polygon

from gardenwater.ground import Ground, levels_at
from gardenwater.overflow import Taker
from gardenwater.site.model import Site
from gardenwater.site.things import TAKERS, Ditch, Pond, Soakaway, Swale, Thing
from gardenwater.tables import table

SWALE_SECTION = 2 / 3
"""Area of a swale's section over width times depth: a parabola, as mown swales are (common practice, no source)."""

_MM = 1000.0


def takers_of(site: Site, ground: Ground) -> tuple[Taker, ...]:
    """The ponds, soakaways, swales and ditches of a site, in its order.

    A pond takes what lies over today's water, and loses nothing when it is lined. A soakaway holds its voids and soaks
    through its sides to half their depth, the base left out (BRE Digest 365, seen second-hand). A swale holds two
    thirds of width times depth and soaks over its width. A ditch holds nothing: it leads water to its low end and soaks
    on the way. Soaking is at the rate measured in a soakaway, else at that of the site's soil.
    """
    soil_m_h = table("soils").row(site.settings.soil).soak_mm_h / _MM
    return tuple(_taker(thing, ground, soil_m_h) for thing in site if thing.kind in TAKERS)


def _taker(thing: Thing, ground: Ground, soil_m_h: float) -> Taker:
    match thing:
        case Pond():
            room = thing.shape.area * thing.freeboard_m
            return Taker(thing.shape, room, 0.0 if thing.lined else thing.shape.area * soil_m_h, thing.id)
        case Soakaway():
            rate_m_h = soil_m_h if thing.soak_mm_h is None else thing.soak_mm_h / _MM
            sides_m2 = thing.shape.length * thing.depth_m / 2
            room = thing.shape.area * thing.depth_m * thing.void_share
            return Taker(thing.shape, room, sides_m2 * rate_m_h, thing.id)
        case Swale():
            room = SWALE_SECTION * thing.width_m * thing.depth_m * thing.shape.length
            return Taker(
                _band(thing.shape, thing.width_m), room, thing.width_m * thing.shape.length * soil_m_h, thing.id
            )
        case Ditch():
            soaks = thing.width_m * thing.shape.length * soil_m_h
            low_end = _low_end(thing.shape, ground)
            return Taker(_band(thing.shape, thing.width_m), 0.0, soaks, thing.id, spills_at=low_end)
    raise AssertionError(thing.kind)


def _band(line: LineString, width_m: float) -> Polygon:
    return line.buffer(width_m / 2, cap_style="flat")


def _low_end(line: LineString, ground: Ground) -> tuple[float, float]:
    ends = shapely.get_coordinates(line)[[0, -1]]
    first, last = levels_at(ground, ends[:, 0], ends[:, 1])
    x, y = ends[0] if first < last else ends[1]
    return float(x), float(y)
