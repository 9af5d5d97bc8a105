"""Mends that take the water on its way: a swale along the contour, above the trouble."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.ops import substring

from gardenwater.assess.event import event_of
from gardenwater.assess.mends.judging import Judge
from gardenwater.assess.mends.leading import SPARE
from gardenwater.assess.mends.meeting import Passing
from gardenwater.assess.mends.model import Mend, MendKind
from gardenwater.assess.mends.terrain import OPEN_FROM_BUILDING_M, Terrain
from gardenwater.assess.takers import SWALE_SECTION, swale_room_m3
from gardenwater.ground import Ground, level_at
from gardenwater.site.names import default_name
from gardenwater.site.things import Swale

WIDTH_M, DEPTH_M = 0.9, 0.2
"""The usual swale: its sides are 1 in 2 or flatter, it is mown (common practice, no source)."""

_SHORTEST_M, _LONGEST_M = 3.0, 16.0
_FROM_BOUNDARY_M = 0.5
_ROUNDS, _LONGER = 4, 1.05
"""Times that a swale is made longer until it takes what comes, each time a little more than is wanting."""
_SHIFTS = (0.0, 0.25, -0.25)
_LOOSE_M = 0.15


def swales(judge: Judge, terrain: Terrain, ways: Iterable[Sequence[Passing]]) -> Iterator[Mend]:
    """Swales across ways above the trouble, along the contour, one for each way.

    Each is as long as what comes by there asks for: that, a tenth more, is what it holds up to the lowest spot of its
    rim and what soaks over its width in the hours of the event (inflow less outflow is storage: the balance of BRE
    Digest 365, seen second-hand; a tenth is judgement). What soaked on the way does not come, and is not counted.
    """
    for spots in ways:
        for spot in spots:
            swale = _fitting(judge, terrain, spot)
            if swale is not None:
                yield _mend(spot, swale, level_at(terrain.fine, spot.at.x, spot.at.y))
                break


def _fitting(judge: Judge, terrain: Terrain, spot: Passing) -> Swale | None:
    """A swale at a spot that takes what comes by, or the longest that may lie there; None where none may."""
    event = event_of(judge.site)
    soaks_m2 = WIDTH_M * event.soak_mm_h / 1000.0 * event.hours
    wanted_m3 = spot.litres * SPARE / 1000.0
    length_m = wanted_m3 / (SWALE_SECTION * WIDTH_M * DEPTH_M + soaks_m2)
    found: Swale | None = None
    for _ in range(_ROUNDS):
        length_m = min(max(length_m, _SHORTEST_M), _LONGEST_M)
        contour = along_contour(terrain.fine, spot.at, length_m)
        line = None if contour is None else _placed(terrain, contour, spot.at, length_m)
        if line is None:
            return found
        found = _swale(judge, line)
        takes_m3 = swale_room_m3(found, judge.stages.built) + soaks_m2 * line.length
        if takes_m3 >= wanted_m3 or length_m >= _LONGEST_M:
            return found
        length_m *= _LONGER * wanted_m3 / takes_m3
    return found


def _swale(judge: Judge, line: LineString) -> Swale:
    return Swale(
        id=judge.site.free_id("swale"),
        name=default_name(judge.site, "swale"),
        shape=line,
        width_m=WIDTH_M,
        depth_m=DEPTH_M,
    )


def _mend(spot: Passing, swale: Swale, level_m: float) -> Mend:
    return Mend(
        kind=MendKind.SWALE,
        owner=spot.owners[0],
        others=spot.owners[1:],
        things=(swale,),
        length_m=swale.shape.length,
        deepest_m=DEPTH_M,
        level_m=level_m,
        cost=1.5 * swale.shape.length,
    )


def along_contour(ground: Ground, spot: Point, length_m: float) -> LineString | None:
    """The contour through a spot, for twice a length either way; None where it is shorter than the length."""
    import contourpy

    level_m = level_at(ground, spot.x, spot.y)
    if math.isnan(level_m):
        return None
    cells_x, cells_y = math.ceil(2 * length_m / ground.cell_x_m), math.ceil(2 * length_m / ground.cell_y_m)
    row, col = ground.cell_at(spot.x, spot.y) or (0, 0)
    top, left = max(row - cells_y, 0), max(col - cells_x, 0)
    levels = ground.level_m[top : row + cells_y + 1, left : col + cells_x + 1]
    if min(levels.shape) < 2:
        return None
    x = ground.transform.c + (left + np.arange(levels.shape[1]) + 0.5) * ground.cell_x_m
    y = ground.transform.f - (top + np.arange(levels.shape[0]) + 0.5) * ground.cell_y_m
    found = contourpy.contour_generator(x, y, np.ma.masked_invalid(levels.astype(np.float64)), name="serial")
    lines = [LineString(points) for points in found.lines(level_m) if len(points) > 1]  # type: ignore[arg-type]
    near = min(lines, key=lambda line: line.distance(spot), default=None)
    reach_m = 2.0 * max(ground.cell_x_m, ground.cell_y_m)
    return near if near is not None and near.length >= length_m and near.distance(spot) <= reach_m else None


def _placed(terrain: Terrain, contour: LineString, spot: Point, length_m: float) -> LineString | None:
    """A piece of the contour over the spot on which a swale may lie."""
    at_m = contour.project(spot)
    for shift in _SHIFTS:
        first_m = at_m - (0.5 + shift) * length_m
        first_m = min(max(first_m, 0.0), contour.length - length_m)
        piece = substring(contour, first_m, first_m + length_m)
        line = shapely.simplify(piece, _LOOSE_M)
        band = line.buffer(WIDTH_M / 2, cap_style="flat")
        if terrain.clear_of_all(band, OPEN_FROM_BUILDING_M, _FROM_BOUNDARY_M):
            return LineString(line.coords)
    return None
