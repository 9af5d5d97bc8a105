"""Things that take overflow, as the overflow engine wants them: outline, room, what leaves them meanwhile."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, Polygon

from gardenwater.assess.event import event_of
from gardenwater.ground import Ground, levels_at
from gardenwater.hydraulics import trial_pit_m_s
from gardenwater.overflow import Taker
from gardenwater.site.model import Site
from gardenwater.site.things import TAKERS, Ditch, Overflow, Pond, RainGarden, Soakaway, Swale, Thing
from gardenwater.tables import table

SWALE_SECTION = 2 / 3
"""Area of a swale's section over width times depth: a parabola, as mown swales are (common practice, no source)."""

Spot = tuple[float, float]

_MM = 1000.0
_EACH_M = 0.25


def takers_of(site: Site, ground: Ground) -> tuple[Taker, ...]:
    """The ponds, soakaways, rain gardens, swales and ditches of a site, in its order.

    A pond takes what lies over today's water and seeps meanwhile (`pond_loss_mm_day`; nothing evaporates in rain). A
    soakaway holds its voids and soaks through its sides to half their depth, the base left out (BRE Digest 365, seen
    second-hand). A rain garden holds its hollow and the voids of its soil, and soaks over its area. A swale holds what
    stands in it up to the lowest spot of its rim and soaks over its width. A ditch holds nothing: it leads water to its
    low end and soaks on the way. Soaking is at the rate measured in a soakaway, else at that of the site's soil, as wet
    as it is. What has an overflow pipe of its own spills at the pipe's mouth, all else at the lowest ground at its rim.
    """
    soil_m_h = event_of(site).soak_mm_h / _MM
    mouths = {pipe.from_taker: _mouth(pipe) for pipe in site.of(Overflow) if pipe.from_taker}
    return tuple(_taker(thing, site, ground, soil_m_h, mouths.get(thing.id)) for thing in site if thing.kind in TAKERS)


def _mouth(pipe: Overflow) -> Spot:
    x, y = pipe.shape.coords[-1][:2]
    return x, y


def _taker(thing: Thing, site: Site, ground: Ground, soil_m_h: float, mouth: Spot | None) -> Taker:
    match thing:
        case Pond():
            room = thing.shape.area * thing.freeboard_m
            loss_m_h = pond_seepage_mm_day(thing, site) / _MM / 24.0
            return Taker(thing.shape, room, thing.shape.area * loss_m_h, thing.id, mouth)
        case Soakaway():
            sides_m2 = thing.shape.length * thing.depth_m / 2
            return Taker(thing.shape, soakaway_room_m3(thing), sides_m2 * soak_m_h(thing, soil_m_h), thing.id, mouth)
        case RainGarden():
            room = thing.shape.area * (thing.depth_m + thing.soil_depth_m * thing.void_share)
            return Taker(thing.shape, room, thing.shape.area * soil_m_h, thing.id, mouth)
        case Swale():
            soaks = thing.width_m * thing.shape.length * soil_m_h
            return Taker(_band(thing.shape, thing.width_m), swale_room_m3(thing, ground), soaks, thing.id, mouth)
        case Ditch():
            soaks = thing.width_m * thing.shape.length * soil_m_h
            low_end = _low_end(thing.shape, ground)
            return Taker(_band(thing.shape, thing.width_m), 0.0, soaks, thing.id, mouth or low_end)
    raise AssertionError(thing.kind)


def pond_seepage_mm_day(pond: Pond, site: Site) -> float:
    """What a pond loses through its bed: as measured, else by the site's soil; nothing when it is lined."""
    if pond.seeps_mm_day is not None:
        return pond.seeps_mm_day
    return 0.0 if pond.lined else table("soils").row(site.settings.soil).pond_seepage_mm_day


def soakaway_room_m3(soakaway: Soakaway) -> float:
    """What a soakaway holds: the voids of its filling."""
    return soakaway.shape.area * soakaway.depth_m * soakaway.void_share


def soak_m_h(soakaway: Soakaway, soil_m_h: float) -> float:
    """Soak rate at a soakaway: by its trial pit, else as given, else the soil's."""
    length_m, width_m = soakaway.pit_length_m, soakaway.pit_width_m
    depth_m, fall_min = soakaway.pit_depth_m, soakaway.pit_fall_min
    if length_m is not None and width_m is not None and depth_m is not None and fall_min is not None:
        found = trial_pit_m_s(length_m=length_m, width_m=width_m, depth_m=depth_m, fall_min=fall_min)
        return found * 3600.0
    return soil_m_h if soakaway.soak_mm_h is None else soakaway.soak_mm_h / _MM


def swale_whole_m3(swale: Swale) -> float:
    """What a swale holds that lies on the contour, m3."""
    return SWALE_SECTION * swale.width_m * swale.depth_m * swale.shape.length


def swale_room_m3(swale: Swale, ground: Ground) -> float:
    """What a swale holds up to the lowest spot of its rim, m3.

    Dug to the same depth under the ground all along, its floor follows the ground: where that lies higher than at the
    lowest spot, the water is less deep. A parabola's section goes with depth^1.5.
    """
    whole_m3 = swale_whole_m3(swale)
    along_m = np.linspace(0.0, swale.shape.length, max(int(swale.shape.length / _EACH_M) + 1, 3))
    spots = shapely.get_coordinates(shapely.line_interpolate_point(swale.shape, along_m))
    level_m = levels_at(ground, spots[:, 0], spots[:, 1])
    if np.isnan(level_m).any():
        return whole_m3
    share = np.clip(1.0 - (level_m - level_m.min()) / swale.depth_m, 0.0, 1.0) ** 1.5
    return float(whole_m3 * np.trapezoid(share, along_m) / swale.shape.length)


def _band(line: LineString, width_m: float) -> Polygon:
    return line.buffer(width_m / 2, cap_style="flat")


def _low_end(line: LineString, ground: Ground) -> tuple[float, float]:
    ends = shapely.get_coordinates(line)[[0, -1]]
    first, last = levels_at(ground, ends[:, 0], ends[:, 1])
    x, y = ends[0] if first < last else ends[1]
    return float(x), float(y)
