"""Mends that take the water on its way: a swale along the contour, above the trouble."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.ops import substring

from gardenwater.assess.event import event_of
from gardenwater.assess.mends.judging import Judge
from gardenwater.assess.mends.leading import water_of
from gardenwater.assess.mends.model import Mend, MendKind
from gardenwater.assess.mends.terrain import OPEN_FROM_BUILDING_M, Terrain
from gardenwater.assess.takers import SWALE_SECTION
from gardenwater.ground import Ground, level_at
from gardenwater.overflow import Route
from gardenwater.site.names import default_name
from gardenwater.site.things import Swale

WIDTH_M, DEPTH_M = 0.9, 0.2
"""The usual swale: its sides are 1 in 2 or flatter, it is mown (common practice, no source)."""

_SHORTEST_M, _LONGEST_M = 3.0, 16.0
_FROM_BOUNDARY_M = 0.5
_STOPS = (0.85, 0.7, 0.55, 0.4, 0.25)
_SHIFTS = (0.0, 0.25, -0.25)
_LOOSE_M = 0.15


def swales(judge: Judge, terrain: Terrain, owner: str) -> Iterator[Mend]:
    """Swales across the owner's ways above the trouble, along the contour, as long as the wet day asks for."""
    site = judge.site
    litres, _ = water_of(judge, owner)
    soak_m_h = event_of(site).soak_mm_h / 1000.0
    per_m = SWALE_SECTION * WIDTH_M * DEPTH_M + WIDTH_M * soak_m_h * event_of(site).hours
    length_m = min(max(litres / 1000.0 / per_m, _SHORTEST_M), _LONGEST_M)
    numbers = {number for number, source in enumerate(judge.answer.sources) if source.owner == owner}
    for route in judge.answer.spill.routes:
        if not numbers & set(route.sources):
            continue
        for spot in _crossings(route, judge.trouble.at):
            line = along_contour(terrain.fine, spot, length_m)
            placed = None if line is None else _placed(terrain, line, spot, length_m)
            if placed is not None:
                yield _mend(judge, owner, placed, level_at(terrain.fine, spot.x, spot.y))
                break


def _mend(judge: Judge, owner: str, line: LineString, level_m: float) -> Mend:
    swale = Swale(
        id=judge.site.free_id("swale"),
        name=default_name(judge.site, "swale"),
        shape=line,
        width_m=WIDTH_M,
        depth_m=DEPTH_M,
    )
    return Mend(
        kind=MendKind.SWALE,
        owner=owner,
        things=(swale,),
        length_m=line.length,
        deepest_m=DEPTH_M,
        level_m=level_m,
        cost=1.5 * line.length,
    )


def _crossings(route: Route, trouble: tuple[float, float] | None) -> list[Point]:
    """Spots of a way above the trouble, from near it upwards."""
    end_m = route.line.length if trouble is None else route.line.project(Point(trouble))
    return [route.line.interpolate(share * max(end_m, 1e-6)) for share in _STOPS]


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
