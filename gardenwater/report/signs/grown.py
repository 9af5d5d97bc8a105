"""Signs of what grows: bed, tree or hedge."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from gardenwater.findings import Question
from gardenwater.report.drawing import Dots, Fill, Pen, Points, Rect, Shape, Subpath
from gardenwater.report.paths import after, circle, inside, outside, rings, rounded, scallops
from gardenwater.report.signs.context import Drafting, Order, Sign
from gardenwater.site.things import Bed, Tree, TreeForm

_ROW_EACH_M, _DOT_EACH_M = 0.85, 0.5
_LEAST_ROW_PX, _LEAST_DOT_PX = 7.5, 4.5
_EDGE_PX = 5.0
_MOST_DOTS = 20_000
_SCALLOP_M, _LEAST_SCALLOP_PX = 0.9, 7.0
_UNFILLED = (Question.GROUND, Question.CATCH, Question.REACH, Question.OVERFLOW)


def at_least(step_px: float, least_px: float) -> float:
    """A step, or as many whole times it as are needed so that marks stand apart."""
    return step_px * max(1, math.ceil(least_px / max(step_px, 1e-9)))


def bed(thing: Bed, on: Drafting) -> Sign:
    """An outline with small round corners and rows of dots along its longer side; none under words."""
    wash = on.bed_roles.get(thing.id)
    role = "leaf_over" if on.washed or wash else "leaf"
    fill = "" if on.question in _UNFILLED else wash or "bed_fill"
    place = (on.px_per_m, float(on.offset[0]), float(on.offset[1]))
    sign: Sign = [(Order.BED, _ground(thing.shape, place, fill, role))]
    dots = _dots(thing.shape, place, on.view.sheet, on.boxes, role)
    if len(dots.points):
        sign.append((Order.BED, dots))
    return sign


@lru_cache(maxsize=1024)
def _ground(shape: Polygon, place: tuple[float, float, float], fill: str, role: str) -> Shape:
    """The outline, filled; the same mark as long as it stays in its place, so that a painter keeps its path."""
    path = tuple(Subpath(ring + place[1:], closed=True) for ring in _rounded(shape, place[0]))
    return Shape(path, Fill(fill) if fill else None, Pen(role, 1.4))


@lru_cache(maxsize=512)
def _dots(shape: Polygon, place: tuple[float, float, float], sheet: Rect, boxes: tuple[Rect, ...], role: str) -> Dots:
    """The rows of dots that are in sight and clear of words."""
    dots = _rows(shape, place[0]) + place[1:]
    dots = dots[sheet_mask(dots, (sheet.x, sheet.y, sheet.right, sheet.bottom))]
    return Dots(dots[outside(dots, boxes)], 1.3, role)


def _scaled(shape: BaseGeometry, px_per_m: float) -> list[Points]:
    """Rings at a scale, before they are moved to their place on the sheet."""
    return [ring * (px_per_m, -px_per_m) for ring in rings(shape)]


@lru_cache(maxsize=1024)
def _rounded(shape: Polygon, px_per_m: float) -> tuple[Points, ...]:
    return tuple(rounded(ring, 2.0).points for ring in _scaled(shape, px_per_m))


@lru_cache(maxsize=512)
def _rows(shape: Polygon, px_per_m: float) -> Points:
    """Dots in rows along the longer side, clear of the edge; at a scale, before they are moved to their place."""
    outlines = _scaled(shape, px_per_m)
    outer = outlines[0]
    sides = after(outer) - outer
    longest = sides[np.argmax(np.hypot(*sides.T))]
    along = longest / max(float(np.hypot(*longest)), 1e-9)
    turn = np.column_stack((along, (-along[1], along[0])))
    turned = outer @ turn
    low, high = turned.min(axis=0), turned.max(axis=0)
    room = high - low - 2 * _EDGE_PX
    if (room < 0).any():
        return np.empty((0, 2))
    dot, row = at_least(_DOT_EACH_M * px_per_m, _LEAST_DOT_PX), at_least(_ROW_EACH_M * px_per_m, _LEAST_ROW_PX)
    steps = np.array((dot, row)) * max(1, math.ceil(math.sqrt(float(np.prod(room)) / (dot * row * _MOST_DOTS))))
    counts = np.floor(room / steps)
    first = (low + high - counts * steps) / 2
    grid = np.meshgrid(first[0] + steps[0] * np.arange(counts[0] + 1), first[1] + steps[1] * np.arange(counts[1] + 1))
    points: Points = np.column_stack([axis.ravel() for axis in grid]) @ turn.T
    if len(outlines) > 1 or len(outer) != 4:
        points = points[inside(points, outlines)]
    return points


def sheet_mask(points: Points, edges: tuple[float, float, float, float]) -> np.ndarray:
    """Which points lie between left, top, right and bottom; bool (n,)."""
    left, top, right, bottom = edges
    x, y = points[:, 0], points[:, 1]
    return (x >= left) & (x <= right) & (y >= top) & (y <= bottom)


@lru_cache(maxsize=1024)
def _crown(shape: Polygon, px_per_m: float, bulge: float) -> Points:
    step = at_least(_SCALLOP_M * px_per_m, _LEAST_SCALLOP_PX)
    return scallops(_scaled(shape, px_per_m)[0], step, bulge).points


def tree(thing: Tree, on: Drafting) -> Sign:
    """A scalloped outline; a tree has a dot at its stem, a hedge none."""
    bulge = 0.22 if thing.form is TreeForm.TREE else 0.36
    edge = Subpath(_crown(thing.shape, on.px_per_m, bulge) + on.offset, closed=True)
    sign: Sign = [(Order.TREE, Shape((edge,), Fill("bed_fill", 0.55), Pen("leaf", 1.15)))]
    if thing.form is TreeForm.TREE:
        x, y = on.spot(thing.shape.centroid)
        sign.append((Order.TREE, Shape((circle(x, y, 1.6),), Fill("leaf"))))
    return sign
