"""Signs of what is built or laid: building, door, wall, path; and of the site's edges: keep-dry ground, boundary."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.findings import Question
from gardenwater.report.drawing import Cap, Fill, Join, Pen, Points, Shape, Strokes, Subpath
from gardenwater.report.paths import arc, circle, crosses, each, hatch, inside, left_of, run
from gardenwater.report.signs.context import Drafting, Order, Sign
from gardenwater.report.signs.grown import at_least, sheet_mask
from gardenwater.site.things import Boundary, Building, Door, KeepDry, Path, Wall

_WALLS = Pen("ink", 1.8, join=Join.MITRE)
_UNDER_ROOF = Pen("ink", 0.9, dash=(3.0, 2.4))
_HATCH = Pen("ink", 0.6)
_FACE = Pen("ink", 1.1, join=Join.MITRE)
_PATH_EDGE = Pen("ink_soft", 0.9, dash=(5.0, 3.0))
_HATCH_EACH_PX = 7.0 * math.sqrt(0.5)
"""7 px along the walls, so nearer across the strokes."""
_TICKS_FROM_PX_PER_M = 37.8
"""1 : 100 on a screen of 96 px to the inch."""


class _Covered(NamedTuple):
    """Where a building stands free of roofs, and its outline there and under them; m."""

    free: BaseGeometry
    free_edge: BaseGeometry
    covered_edge: BaseGeometry


@lru_cache(maxsize=1024)
def _covered(shape: shapely.Polygon, roofs: tuple[shapely.Polygon, ...]) -> _Covered:
    """A building's outline parted by the roofs over it; slivers under 0.2 m are taken as covered."""
    if not roofs:
        return _Covered(shape, shape.boundary, shapely.LineString())
    over = shapely.unary_union(roofs)
    free = shape.difference(over.buffer(0.1, join_style="mitre"))
    return _Covered(free, shape.boundary.difference(over.buffer(0.02)), shape.boundary.intersection(over.buffer(0.02)))


def roofs_over(shape: shapely.Polygon, on: Drafting) -> tuple[shapely.Polygon, ...]:
    """Outlines of the roofs over a building, m."""
    west, south, east, north = shape.bounds
    return tuple(
        roof
        for roof, (low_x, low_y, high_x, high_y) in on.roofs
        if low_x < east and high_x > west and low_y < north and high_y > south
    )


def free_of_roofs(shape: shapely.Polygon, roofs: tuple[shapely.Polygon, ...]) -> BaseGeometry:
    """The part of a building that no roof covers, m."""
    return _covered(shape, roofs).free


def building(thing: Building, on: Drafting) -> Sign:
    """Slanted lines inside thick walls where no roof covers it; under a roof a dashed line."""
    parts = _covered(thing.shape, roofs_over(thing.shape, on))
    sign: Sign = []
    if not parts.free.is_empty:
        rings = on.rings(parts.free)
        path = tuple(Subpath(ring, closed=True) for ring in rings)
        strokes = hatch(rings, _HATCH_EACH_PX, -45.0, within=on.view.sheet)
        sign.append((Order.BUILDING, Shape(path, Fill("building_fill"))))
        sign.append((Order.BUILDING, Strokes(strokes, _HATCH)))
    if not parts.free_edge.is_empty:
        whole = parts.covered_edge.is_empty
        edge = on.outline(thing.shape) if whole else on.runs(parts.free_edge)
        sign.append((Order.BUILDING, Shape(edge, pen=_WALLS)))
    if not parts.covered_edge.is_empty and on.question is not Question.CATCH:
        sign.append((Order.UNDER_ROOF, Shape(on.runs(shapely.line_merge(parts.covered_edge)), pen=_UNDER_ROOF)))
    return sign


def door(thing: Door, on: Drafting) -> Sign:
    """A gap in the wall, the leaf and a quarter circle of its width; its sill dashed where it must stay dry."""
    x, y = on.spot(thing.shape)
    width = max(thing.width_m * on.px_per_m, 12.0)
    turn = math.radians(thing.bearing_deg)
    out, across = np.array((math.sin(turn), -math.cos(turn))), np.array((math.cos(turn), math.sin(turn)))
    middle = np.array((x, y))
    hinge, latch = middle - across * width / 2, middle + across * width / 2
    pen = Pen("ink", 0.9, cap=Cap.ROUND)
    first = math.degrees(math.atan2(across[1], across[0]))
    swing = arc(float(hinge[0]), float(hinge[1]), width, first, first - 90.0)
    leaf = run(np.stack((hinge, hinge + out * width)))
    sector = Subpath(np.concatenate((hinge[None], swing.points)), closed=True)
    sign: Sign = [
        (Order.DOOR, Shape((sector,), Fill("paper"))),
        (Order.DOOR, Strokes(np.stack((hinge, latch))[None], Pen("paper", 3.4))),
        (Order.DOOR, Shape((leaf, swing), pen=pen)),
    ]
    if thing.keep_dry:
        sill = np.stack((hinge, latch)) + out * 3.5
        sign.append((Order.DOOR, Strokes(sill[None], Pen("ink", 0.9, dash=(2.0, 2.0)))))
    return sign


@lru_cache(maxsize=1024)
def wall_ground(line: shapely.LineString, thickness_m: float) -> shapely.Polygon:
    """The ground of a wall, m."""
    return line.buffer(thickness_m / 2, cap_style="flat", join_style="mitre")


def wall(thing: Wall, on: Drafting) -> Sign:
    """Both faces, with cross ticks each metre at large scales; solid where it is thin."""
    thickness = thing.thickness_m * on.px_per_m
    if thickness < 3.0:
        return [(Order.WALL, Shape(on.runs(thing.shape), pen=Pen("ink", max(thickness, 1.6), join=Join.MITRE)))]
    sign: Sign = [(Order.WALL, Shape(on.outline(wall_ground(thing.shape, thing.thickness_m)), Fill("paper"), _FACE))]
    if on.px_per_m >= _TICKS_FROM_PX_PER_M:
        at, direction = each(on.line(thing.shape), on.px_per_m)
        half = left_of(direction) * thickness / 2
        sign.append((Order.WALL, Strokes(np.stack((at - half, at + half), axis=1), Pen("ink", 0.9))))
    return sign


@lru_cache(maxsize=1024)
def band_of(path: Path) -> shapely.Polygon:
    """The ground of one path, m."""
    return path.band


@lru_cache(maxsize=256)
def paths_ground(paths: tuple[Path, ...]) -> BaseGeometry:
    """The ground of all paths together, m."""
    return shapely.unary_union([band_of(path) for path in paths])


def paths(things: tuple[Path, ...], on: Drafting) -> Sign:
    """Paths as one ground, so that no edge crosses where they meet."""
    if not things:
        return []
    ground = paths_ground(things)
    return [(Order.PATH, Shape(on.outline(ground), Fill("path_fill"), _PATH_EDGE))]


def path(thing: Path, on: Drafting) -> Sign:
    """One path by itself."""
    return paths((thing,), on)


def keep_dry(thing: KeepDry, on: Drafting) -> Sign:
    """Long dashes and dots round small crosses; filled in Overflow, the outline alone in Catch and Reach."""
    quiet = on.question in (Question.CATCH, Question.REACH)
    rings = on.rings(thing.shape)
    path = tuple(Subpath(ring, closed=True) for ring in rings)
    strength = 0.45 if quiet else 1.0
    pen = Pen("fails", 1.1, dash=(8.0, 3.0, 2.0, 3.0), strength=strength)
    sign: Sign = [(Order.KEEP_DRY_LINE, Shape(path, pen=pen))]
    if on.question is Question.OVERFLOW:
        sign.append((Order.KEEP_DRY_FILL, Shape(path, Fill("warn_wash", 0.72))))
    if not quiet:
        points = _staggered(rings, at_least(3.0 * on.px_per_m, 18.0), on)
        sign.append((Order.KEEP_DRY_LINE, Strokes(crosses(points, 5.0), Pen("fails", 0.9))))
    return sign


def _staggered(rings: list[Points], step_px: float, on: Drafting) -> Points:
    """Points of a staggered grid inside a ground, its edge kept clear, px."""
    low, high = rings[0].min(axis=0), rings[0].max(axis=0)
    rows = np.arange(low[1] + 7.0, high[1] - 4.0, max(step_px / 2, 12.0))
    pieces = [
        np.column_stack((np.arange(low[0] + 7.0 + (step_px / 2 if index % 2 else 0.0), high[0] - 4.0, step_px),) * 2)
        * (1.0, 0.0) + (0.0, row)
        for index, row in enumerate(rows)
    ]  # fmt: skip
    points: Points = np.concatenate(pieces) if pieces else np.empty((0, 2))
    sheet = on.view.sheet
    seen = sheet_mask(points, (sheet.x, sheet.y, sheet.right, sheet.bottom))
    for arm in ((3.5, 0.0), (-3.5, 0.0), (0.0, 3.5), (0.0, -3.5)):
        seen &= inside(points + arm, rings)
    kept: Points = points[seen]
    return kept


def boundary(thing: Boundary, on: Drafting) -> Sign:
    """Long dashes and two dots; rings at its corners in print and when it is selected."""
    pen = Pen("ink", 1.1, dash=(14.0, 4.0, 2.0, 4.0, 2.0, 4.0))
    sign: Sign = [(Order.BOUNDARY, Shape(on.outline(thing.shape), pen=pen))]
    if on.in_print or thing.id in on.near:
        corners = tuple(circle(float(x), float(y), 2.5) for ring in on.rings(thing.shape) for x, y in ring)
        sign.append((Order.BOUNDARY, Shape(corners, Fill("paper"), Pen("ink", 1.1))))
    return sign
