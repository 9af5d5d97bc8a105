"""States of things: pointed at, selected, in error. They are added to the sign and never change its own colours."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import shapely

from gardenwater.findings import Severity
from gardenwater.report.drawing import (
    Align,
    Cap,
    Fill,
    Group,
    Join,
    Mark,
    Pen,
    Points,
    Rect,
    Shape,
    Strokes,
    Subpath,
    Text,
    TextStyle,
)
from gardenwater.report.paths import after, arc, box, circle, outset, run
from gardenwater.report.signs.built import band_of, wall_ground
from gardenwater.report.signs.context import Drafting
from gardenwater.report.signs.tanks import tank_outline
from gardenwater.report.view import View
from gardenwater.site.things import Path, Tank, TankForm, Thing, Wall

CASING_PX = 5.0
DISC_PX = 24.0
SEVERITY_ROLES = {
    Severity.UNSAFE: "unsafe",
    Severity.FAILS: "fails",
    Severity.WATCH: "watch",
    Severity.NOTE: "ink_soft",
}

_ALONG = Pen("mark_over", 2.4, join=Join.MITRE)
_RING_OUT_PX = 9.0
_POINT_PX = 5.0
_HANDLE = Pen("mark_over", 1.6, join=Join.MITRE)
_HANDLE_PX, _HALF_WAY_PX = 7.0, 5.0
_LEAST_SIDE_PX = 28.0
_BAND = Pen("mark_over", 1.0, dash=(5.0, 3.0))
_KEYS = Pen("mark", 1.0, dash=(2.0, 2.0))
_MOST_BOXES = 5000
_BOXES: dict[tuple[int, View], tuple[Thing, Rect]] = {}
"""Boxes of signs by thing (kept with it, so that its id stays its own) and view."""


def outline_of(thing: Thing, on: Drafting) -> tuple[Subpath, ...]:
    """What a state is drawn along, px: the outline, the line itself, or a ring 9 px outside a point."""
    if isinstance(thing, Tank):
        return (_ring_of_tank(thing, on),)
    shape = thing.shape
    if isinstance(shape, shapely.Point):
        x, y = on.spot(shape)
        return (circle(float(x), float(y), _POINT_PX + _RING_OUT_PX),)
    if isinstance(thing, Path):
        return on.outline(band_of(thing))
    if isinstance(thing, Wall):
        return on.outline(wall_ground(thing.shape, thing.thickness_m))
    return on.outline(shape) if isinstance(shape, shapely.Polygon) else on.runs(shape)


def _ring_of_tank(thing: Tank, on: Drafting) -> Subpath:
    outline = tank_outline(thing, on)
    if thing.form is TankForm.UPRIGHT:
        x, y = on.spot(thing.shape)
        return circle(float(x), float(y), float(np.hypot(*(outline[0] - (x, y)))) + _RING_OUT_PX)
    return Subpath(outset(outline, _RING_OUT_PX), closed=True)


def box_of(thing: Thing, on: Drafting) -> Rect:
    """The box that a sign takes on the sheet, px; a point's is that of its ring. Kept: things and views are values."""
    key = (id(thing), on.view)
    kept = _BOXES.get(key)
    if kept is not None and kept[0] is thing:
        return kept[1]
    if len(_BOXES) >= _MOST_BOXES:
        _BOXES.clear()
    found = _box(thing, on)
    _BOXES[key] = thing, found
    return found


def _box(thing: Thing, on: Drafting) -> Rect:
    if isinstance(thing, Tank):
        return bounds((Subpath(tank_outline(thing, on)),)).grown(_RING_OUT_PX - CASING_PX)
    shape = thing.shape
    if isinstance(shape, shapely.Point):
        x, y = on.spot(shape)
        return Rect(float(x) - 6, float(y) - 6, 12, 12)
    return bounds(outline_of(thing, on))


def bounds(path: Sequence[Subpath]) -> Rect:
    """The box round some runs."""
    points = np.concatenate([part.points for part in path])
    (left, top), (right, bottom) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Rect(left, top, right - left, bottom - top)


def hovered(thing: Thing, drawn: tuple[Mark, ...], on: Drafting) -> list[Mark]:
    """Pointed at: a paper casing 5 px outside the outline, then the sign as it is."""
    return [*_casing(outline_of(thing, on), on), *drawn]


def selected(thing: Thing, on: Drafting, *, handles: bool) -> list[Mark]:
    """Selected: a paper casing, a line in plum along the outline, handles where there is a size to change."""
    path = outline_of(thing, on)
    marks: list[Mark] = [*_casing(path, on), Shape(path, pen=_ALONG)]
    if handles and not thing.locked and (isinstance(thing, Tank) or not isinstance(thing.shape, shapely.Point)):
        marks += _handles(_corners(thing, path, on), closed=path[0].closed, half_way=not isinstance(thing, Tank))
    return marks


def _corners(thing: Thing, path: tuple[Subpath, ...], on: Drafting) -> Points:
    """Where handles stand, px: the corners of the thing's own shape; four on the ring of a tank."""
    if isinstance(thing, Tank):
        if thing.form is not TankForm.UPRIGHT:
            points = path[0].points
            return (points + after(points)) / 2
        x, y = on.spot(thing.shape)
        radius = float(np.hypot(*(path[0].points[0] - (x, y))))
        return np.array(((x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y)))
    shape = thing.shape
    if isinstance(shape, shapely.Polygon):
        return on.rings(shape)[0]
    return on.line(shape)


def _handles(corners: Points, *, closed: bool, half_way: bool) -> list[Mark]:
    middles = _half_way(corners, closed=closed) if half_way else corners[:0]
    small = [_squares(middles, _HALF_WAY_PX)] if len(middles) else []
    return [*small, _squares(corners, _HANDLE_PX)]


def _half_way(corners: Points, *, closed: bool) -> Points:
    """The middles of sides that are long enough for a handle of their own."""
    ends = after(corners) if closed else corners[1:]
    start = corners if closed else corners[:-1]
    middles: Points = ((start + ends) / 2)[np.hypot(*(ends - start).T) >= _LEAST_SIDE_PX]
    return middles


def state_boxes(things: Sequence[Thing], on: Drafting) -> list[Rect]:
    """Boxes of rings round selected points and of the handles of a single thing, px: no label lies on them."""
    boxes: list[Rect] = []
    for thing in things:
        path = outline_of(thing, on)
        if isinstance(thing.shape, shapely.Point):
            boxes.append(bounds(path).grown(CASING_PX))
        elif len(things) == 1 and not thing.locked:
            corners = _corners(thing, path, on)
            spots = np.concatenate((corners, _half_way(corners, closed=path[0].closed)))
            boxes += [Rect(float(x) - 5, float(y) - 5, 10, 10) for x, y in spots]
    return boxes


def _squares(points: Points, size: float) -> Shape:
    return Shape(tuple(box(float(x), float(y), size, size) for x, y in points), Fill("slip"), _HANDLE)


def _casing(path: tuple[Subpath, ...], on: Drafting) -> list[Mark]:
    """A paper casing of 5 px outside closed outlines, on both sides of a line."""
    casing = Shape(path, pen=Pen("paper", 2 * CASING_PX + 2.4, join=Join.ROUND, cap=Cap.ROUND))
    if not path[0].closed:
        return [casing]
    room = on.view.sheet.grown(50.0).outline()
    return [Group((casing,), clip=(room, *path))]


def several(things: Sequence[Thing], on: Drafting) -> list[Mark]:
    """Several selected: each outlined, and handles on the dashed common box."""
    marks: list[Mark] = [mark for thing in things for mark in selected(thing, on, handles=False)]
    around = bounds([part for thing in things for part in outline_of(thing, on)])
    corners = around.outline().points
    marks.append(Shape((around.outline(),), pen=_BAND))
    marks += _handles(corners, closed=True, half_way=True)
    return marks


def keyboard(things: Sequence[Thing], on: Drafting) -> list[Mark]:
    """The keyboard is there: a second dashed line 3 px outside the selection."""
    marks: list[Mark] = []
    for thing in things:
        path = outline_of(thing, on)
        if path[0].closed:
            marks.append(Shape(tuple(Subpath(outset(part.points, 4.5), closed=True) for part in path), pen=_KEYS))
        else:
            marks.append(Shape((bounds(path).grown(8.0).outline(),), pen=_KEYS))
    return marks


def severity_sign(severity: Severity, x: float, y: float, size: float, ground: str = "slip") -> list[Mark]:
    """The sign of a severity, `size` px wide, about (x, y)."""
    role, unit = SEVERITY_ROLES[severity], size / 24.0
    pen = Pen(role, max(1.75 * unit, 1.2), cap=Cap.ROUND)

    def at(px: float, py: float) -> tuple[float, float]:
        return x + (px - 12) * unit, y + (py - 12) * unit

    if severity is Severity.UNSAFE:
        diamond = run((at(12, 0.5), at(23.5, 12), at(12, 23.5), at(0.5, 12)), closed=True)
        bar = np.array(((at(12, 6.3), at(12, 13)),))
        dot = Shape((circle(*at(12, 17), 1.5 * unit),), Fill(ground))
        return [Shape((diamond,), Fill(role)), Strokes(bar, Pen(ground, 2.6 * unit, cap=Cap.ROUND)), dot]
    if severity is Severity.FAILS:
        return [Shape((run((at(2.2, 3), at(21.8, 3), at(12, 22)), closed=True),), Fill(role))]
    ring = Shape((circle(x, y, 9.5 * unit),), pen=pen)
    if severity is Severity.WATCH:
        half = arc(x, y, 9.5 * unit, -90.0, 90.0)
        return [ring, Shape((Subpath(half.points, closed=True),), Fill(role))]
    return [ring, Strokes(np.array(((at(7.5, 12), at(16.5, 12)),)), pen)]


@lru_cache(maxsize=256)
def disc(severity: Severity, x: float, y: float) -> tuple[Mark, ...]:
    """The sign of a finding on the plan: on a disc of 24 px, ringed in its colour.

    The marks are kept: a plan has them in each of its drawings, mostly where they were.
    """
    ring = Pen(SEVERITY_ROLES[severity], 1.5)
    inner = 13.0 if severity is not Severity.FAILS else 11.0
    edge = Shape((circle(x, y, DISC_PX / 2),), Fill("slip"), ring, casing=Pen("paper", 4.0))
    return (edge, *severity_sign(severity, x, y + (0.8 if severity is Severity.FAILS else 0.0), inner))


def numbered(number: int, severity: Severity, x: float, y: float) -> list[Mark]:
    """The number of a finding in a ring of its colour, as on printed sheets."""
    ring = Shape((circle(x, y, 9.5),), Fill("paper"), Pen(SEVERITY_ROLES[severity], 1.5), casing=Pen("paper", 4.0))
    return [ring, Text(x, y + 4.2, str(number), TextStyle(12.5, semibold=True), "ink", Align.MIDDLE)]


def ringed(severity: Severity, around: Rect) -> list[Mark]:
    """The trouble of the selected finding: an oval ring over paper."""
    middle_x, middle_y = around.x + around.width / 2, around.y + around.height / 2
    half_w, half_h = max(around.width / 2 * 1.15 + 8, 16), max(around.height / 2 * 1.15 + 8, 16)
    oval = Subpath(circle(0, 0, 100.0).points / 100.0 * (half_w, half_h) + (middle_x, middle_y), closed=True)
    return [Shape((oval,), pen=Pen(SEVERITY_ROLES[severity], 2.2), casing=Pen("paper", 5.5))]


def disc_spot(thing: Thing, on: Drafting) -> tuple[float, float]:
    """Where the disc of a finding stands, px: just inside the upper left of an area, outside that of a point."""
    around = box_of(thing, on)
    sheet = on.view.sheet.grown(-DISC_PX / 2 - 2)
    if isinstance(thing.shape, shapely.Point):
        x, y = around.x - 4, around.y - 8
    elif around.width > 3 * DISC_PX and around.height > DISC_PX:
        x, y = around.x + 10, around.y + 9
    else:
        x, y = around.x - 2, around.y - 2
    return min(max(x, sheet.x), sheet.right), min(max(y, sheet.y), sheet.bottom)
