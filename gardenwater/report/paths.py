"""Outlines in px from which signs are put together: circles, parallels, heads, ticks, hatches, scallops."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.report.drawing import Points, Rect, Subpath

Ends = NDArray[np.float64]
"""float64 (n, 2, 2): strokes by their two ends, px."""

NO_STROKES: Ends = np.empty((0, 2, 2), dtype=np.float64)


@cache
def _unit_circle(corners: int) -> Points:
    turn = np.linspace(0.0, 2 * math.pi, corners, endpoint=False)
    circle: Points = np.column_stack((np.cos(turn), np.sin(turn)))
    circle.flags.writeable = False
    return circle


def circle(x: float, y: float, radius_px: float) -> Subpath:
    """A circle, by corners so close that none is seen."""
    corners = 16 if radius_px < 4 else 32 if radius_px < 16 else 64 if radius_px < 80 else 160
    points = _unit_circle(corners) * radius_px
    points[:, 0] += x
    points[:, 1] += y
    return Subpath(points, closed=True)


def arc(x: float, y: float, radius_px: float, from_deg: float, to_deg: float) -> Subpath:
    """Part of a circle; degrees clockwise on the screen from the x axis."""
    steps = max(4, int(abs(to_deg - from_deg) / 6) + 1)
    turn = np.radians(np.linspace(from_deg, to_deg, steps))
    return Subpath(np.column_stack((x + radius_px * np.cos(turn), y + radius_px * np.sin(turn))))


def box(x: float, y: float, width: float, height: float) -> Subpath:
    """A rectangle by its middle."""
    return Rect(x - width / 2, y - height / 2, width, height).outline()


def capsule(x: float, y: float, width: float, height: float) -> Subpath:
    """An upright rectangle with round ends, by its middle."""
    radius, straight = width / 2, height / 2 - width / 2
    top, bottom = arc(x, y - straight, radius, 180, 360), arc(x, y + straight, radius, 0, 180)
    return Subpath(np.concatenate((top.points, bottom.points)), closed=True)


def run(points: ArrayLike, *, closed: bool = False) -> Subpath:
    """Straight pieces through the given points."""
    return Subpath(np.asarray(points, dtype=np.float64), closed)


def runs(ends: Ends) -> tuple[Subpath, ...]:
    """Strokes as runs of their own."""
    return tuple(Subpath(pair) for pair in ends)


@lru_cache(maxsize=8192)
def rings(shape: BaseGeometry) -> tuple[NDArray[np.float64], ...]:
    """Outer and inner rings of a polygon or of several, without the repeated last point; in the units of the shape."""
    return tuple(_kept(ring)[:-1] for ring in shapely.get_rings(shapely.get_parts(shape)))


@lru_cache(maxsize=8192)
def lines(shape: BaseGeometry) -> tuple[NDArray[np.float64], ...]:
    """The runs of a line or of several; in the units of the shape."""
    return tuple(_kept(part) for part in shapely.get_parts(shape) if shapely.get_dimensions(part) == 1)


@lru_cache(maxsize=8192)
def points_of(shape: BaseGeometry) -> NDArray[np.float64]:
    """All points of a shape in their order, (n, 2); in the units of the shape."""
    return _kept(shape)


def _kept(shape: BaseGeometry) -> NDArray[np.float64]:
    coordinates = shapely.get_coordinates(shape)
    coordinates.flags.writeable = False
    return coordinates


def after(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """For each point of a closed outline the next one."""
    return np.concatenate((points[1:], points[:1]))


def rounded(points: Points, radius_px: float) -> Subpath:
    """A closed outline with each corner taken off by a small arc (three points for each corner)."""
    before, ahead = np.concatenate((points[-1:], points[:-1])) - points, after(points) - points
    length_before, length_after = np.hypot(*before.T), np.hypot(*ahead.T)
    reach = np.minimum(radius_px, np.minimum(length_before, length_after) / 2)[:, None]
    before = before / np.maximum(length_before, 1e-9)[:, None] * reach
    ahead = ahead / np.maximum(length_after, 1e-9)[:, None] * reach
    middle = points + (before + ahead) * (1 - math.sqrt(0.5))
    return Subpath(np.stack((points + before, middle, points + ahead), axis=1).reshape(-1, 2), closed=True)


def lengths(points: Points) -> NDArray[np.float64]:
    """Distance from the first point along the run, at each point; px."""
    step = points[1:] - points[:-1]
    along = np.empty(len(points))
    along[0] = 0.0
    np.cumsum(np.hypot(step[:, 0], step[:, 1]), out=along[1:])
    return along


def at_lengths(points: Points, at_px: ArrayLike) -> tuple[Points, Points]:
    """Points of a run at distances along it, and the unit directions of the run there."""
    along = lengths(points)
    wanted = np.minimum(np.maximum(np.asarray(at_px, dtype=np.float64), 0.0), along[-1])
    piece = np.minimum(np.searchsorted(along, wanted, side="right") - 1, len(points) - 2)
    step = points[piece + 1] - points[piece]
    length = np.maximum(along[piece + 1] - along[piece], 1e-9)
    share = ((wanted - along[piece]) / length)[:, None]
    return points[piece] + step * share, step / length[:, None]


def each(points: Points, step_px: float, *, first_px: float | None = None) -> tuple[Points, Points]:
    """Points each `step_px` along a run (the first after half a step unless given) and the unit directions there."""
    total = lengths(points)[-1]
    first = step_px / 2 if first_px is None else first_px
    return at_lengths(points, np.arange(first, total, step_px))


def left_of(directions: Points) -> Points:
    """Unit normals at the left hand of the directions, seen on the screen."""
    return np.column_stack((directions[:, 1], -directions[:, 0]))


def parallel(points: Points, left_px: float) -> Points:
    """A run moved sideways, to its left where positive; corners are mitred, sharp ones cut back."""
    if len(points) < 2 or left_px == 0.0:
        return points
    step = np.diff(points, axis=0)
    normal = left_of(step / np.maximum(np.hypot(*step.T), 1e-9)[:, None])
    first, last = normal[:1], normal[-1:]
    before, after = np.concatenate((first, normal)), np.concatenate((normal, last))
    middle = before + after
    share = np.maximum(np.einsum("ij,ij->i", middle, middle) / 2, 0.5)
    moved: Points = points + middle * (left_px / share)[:, None]
    return moved


def outset(points: Points, by_px: float) -> Points:
    """A closed outline moved outwards, mitred (for the ring of a stand, a casing, a gutter)."""
    turn = -1.0 if signed_area(points) > 0 else 1.0
    closed = np.concatenate((points[-1:], points, points[:1]))
    return parallel(closed, -by_px * turn)[1:-1]


def signed_area(points: Points) -> float:
    """Area inside a closed outline; positive where it runs clockwise on the screen."""
    x, y = points[:, 0], points[:, 1]
    inner = np.dot(x[:-1], y[1:]) - np.dot(y[:-1], x[1:])
    return float(inner + x[-1] * y[0] - y[-1] * x[0]) / 2


def heads(tips: Points, directions: Points, length_px: float, half_width_px: float) -> Ends:
    """Open arrow heads: two strokes for each tip, running back from it."""
    if len(tips) == 0:
        return NO_STROKES
    back = tips - directions * length_px
    side = left_of(directions) * half_width_px
    left, right = np.stack((back + side, tips), axis=1), np.stack((tips, back - side), axis=1)
    return np.concatenate((left, right))


def head(tip: Points, direction: Points, length_px: float, half_width_px: float) -> Subpath:
    """One open arrow head as a run of three points."""
    back = tip - direction * length_px
    side = np.array((direction[1], -direction[0])) * half_width_px
    return Subpath(np.stack((back + side, tip, back - side)))


def crosses(points: Points, size_px: float, *, upright: bool = False) -> Ends:
    """Two crossed strokes at each point: lying (x) or upright (+)."""
    half = size_px / 2
    arms = ((half, 0.0), (0.0, half)) if upright else ((half, half), (half, -half))
    return np.concatenate([np.stack((points - arm, points + arm), axis=1) for arm in arms])


def scallops(points: Points, step_px: float, bulge: float) -> Subpath:
    """A closed outline of small arcs that swell outwards; about one for each `step_px`, `bulge` of its chord deep."""
    closed = np.concatenate((points, points[:1]))
    total = lengths(closed)[-1]
    count = max(6, round(total / step_px))
    stops, _ = at_lengths(closed, np.linspace(0.0, total, count, endpoint=False))
    chord = after(stops) - stops
    outwards = left_of(chord) if signed_area(stops) > 0 else -left_of(chord)
    share = np.array((0.0, 0.12, 0.3, 0.5, 0.7, 0.88))
    swell = bulge * np.sqrt(np.clip(1 - (2 * share - 1) ** 2, 0, 1))
    arcs = stops[:, None] + chord[:, None] * share[:, None] + outwards[:, None] * swell[:, None]
    return Subpath(arcs.reshape(-1, 2), closed=True)


def hatch(
    outlines: Sequence[Points],
    spacing_px: float,
    angle_deg: float,
    *,
    within: Rect | None = None,
    phase_px: float = 0.0,
) -> Ends:
    """Parallel strokes inside closed outlines (even-odd), `angle_deg` clockwise from the x axis on the screen.

    They are tied to the first outline's first point, so that they move with what they fill; `phase_px` shifts them.
    """
    if not outlines:
        return NO_STROKES
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    turn = np.array(((cos, -sin), (sin, cos)))
    turned = [outline @ turn for outline in outlines]
    edges = np.concatenate([np.stack((ring, after(ring)), axis=1) for ring in turned])
    low, high = float(edges[:, :, 1].min()), float(edges[:, :, 1].max())
    if within is not None:
        seen = within.outline().points @ turn
        low, high = max(low, float(seen[:, 1].min())), min(high, float(seen[:, 1].max()))
    base = float(turned[0][0, 1]) + phase_px
    rows = base + spacing_px * np.arange(
        math.ceil((low - base) / spacing_px), math.floor((high - base) / spacing_px) + 1
    )
    if len(rows) == 0:
        return NO_STROKES
    strokes: Ends = _scan(edges, rows) @ turn.T
    return strokes


def _scan(edges: Ends, rows: NDArray[np.floating]) -> Ends:
    """Strokes along x at each row, inside the edges (even-odd); all is turned so that rows are level."""
    first, last = edges[:, 0], edges[:, 1]
    crosses_row = (first[:, 1][:, None] <= rows) != (last[:, 1][:, None] <= rows)
    edge, row = np.nonzero(crosses_row)
    share = (rows[row] - first[edge, 1]) / (last[edge, 1] - first[edge, 1])
    x = first[edge, 0] + share * (last[edge, 0] - first[edge, 0])
    order = np.lexsort((x, row))
    pairs_x, pairs_y = x[order].reshape(-1, 2), rows[row[order]].reshape(-1, 2)
    return np.stack((pairs_x, pairs_y), axis=2)


def below(points: Points, level_y: float) -> Points:
    """The part of a closed outline at or below a level of the screen (y down); empty where there is none."""
    kept: list[tuple[float, float]] = []
    ax, ay = points[-1].tolist()
    for bx, by in points.tolist():
        if (ay >= level_y) != (by >= level_y):
            kept.append((ax + (level_y - ay) / (by - ay) * (bx - ax), level_y))
        if by >= level_y:
            kept.append((bx, by))
        ax, ay = bx, by
    return np.array(kept) if kept else np.empty((0, 2))


def outside(points: Points, boxes: Iterable[Rect]) -> NDArray[np.bool_]:
    """Which points lie in none of the boxes; bool (n,)."""
    free = np.ones(len(points), dtype=bool)
    if len(points) == 0:
        return free
    x, y = points[:, 0], points[:, 1]
    left, right, top, bottom = x.min(), x.max(), y.min(), y.max()
    for taken in boxes:
        if taken.x <= right and taken.right >= left and taken.y <= bottom and taken.bottom >= top:
            free &= (x < taken.x) | (x > taken.right) | (y < taken.y) | (y > taken.bottom)
    return free


def inside(points: Points, outlines: Sequence[Points]) -> NDArray[np.bool_]:
    """Which points lie inside the closed outlines (even-odd); bool (n,)."""
    odd = np.zeros(len(points), dtype=bool)
    x, y = points[:, 0][:, None], points[:, 1][:, None]
    for ring in outlines:
        x0, y0 = ring.T
        x1, y1 = after(ring).T
        spans = (y0 <= y) != (y1 <= y)
        with np.errstate(divide="ignore", invalid="ignore"):
            left = x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        odd ^= (np.count_nonzero(spans & left, axis=1) % 2).astype(bool)
    return odd
