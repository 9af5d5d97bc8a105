"""Marks of what a tool shows, in px of the view: drafts, ghosts, bands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from shapely.geometry.base import BaseGeometry

from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.geometry import area_m2, bearing_deg, distance, middle
from gardenwater.desktop.plan.live import Band, Draft, Ghost, Live
from gardenwater.desktop.plan.snapping import SnapKind
from gardenwater.report.drawing import Align, Fill, Mark, Pen, Points, Rect, Shape, Subpath, Text, TextStyle
from gardenwater.report.paths import box, circle, lines, rings
from gardenwater.report.view import View
from gardenwater.units import Quantity, UnitSystem, text

_DONE = Pen("mark_over", 2.0)
_LIVE = Pen("mark_over", 2.0, dash=(5.0, 3.0))
_HOME = Pen("mark_over", 1.2, dash=(2.0, 3.0))
_RING_PX = 9.0
_HANDLE_PX = 7.0
_CASING = Pen("paper", 3.6, strength=0.92)
_BOLD = TextStyle(12.5, semibold=True)
_SOFT = TextStyle(12.0)
_AREA = TextStyle(15.0, semibold=True)
_WORDS = TextStyle(12.0, italic=True)
_SIDE_PX = 14.0  # words of a side stand so far from it
_ROOMY_PX = 90.0
_LEAST_SIDE_PX = 34.0  # no length is written on a side that is shorter


class LiveMarks:
    """Makes the marks for one view and one system of units; `factor` is the user's text size."""

    def __init__(self, view: View, units: UnitSystem, factor: float = 1.0) -> None:
        self._view = view
        self._units = units
        self._factor = factor

    def of(self, live: Live) -> list[Mark]:
        """All marks of what a tool shows, but for its slip."""
        marks: list[Mark] = []
        if live.ghost is not None:
            marks += self._ghost(live.ghost)
        if live.draft is not None:
            marks += self._draft(live.draft)
        if live.band is not None:
            marks += self._band(live.band)
        if live.corner is not None:
            marks.append(self._corner(live.corner))
        return marks

    def cross(self, at: XY) -> list[Mark]:
        """The cross that arrow keys move."""
        x, y = self._view.to_px(*at)
        arms = (
            ((x - 14, y), (x - 4, y)),
            ((x + 4, y), (x + 14, y)),
            ((x, y - 14), (x, y - 4)),
            ((x, y + 4), (x, y + 14)),
        )
        path = tuple(Subpath(np.array(arm, dtype=np.float64)) for arm in arms)
        return [Shape(path, pen=Pen("mark", 1.75), casing=Pen("paper", 5.0))]

    def _px(self, points: Sequence[XY]) -> Points:
        return self._view.all_to_px(np.array(points, dtype=np.float64).reshape(-1, 2))

    def _outline(self, shape: BaseGeometry) -> tuple[Subpath, ...]:
        if shape.geom_type.endswith("Polygon"):
            return tuple(Subpath(self._view.all_to_px(ring), closed=True) for ring in rings(shape))
        if shape.geom_type == "Point":
            x, y = self._view.to_px(shape.centroid.x, shape.centroid.y)
            return (circle(x, y, 7.0),)
        return tuple(Subpath(self._view.all_to_px(points)) for points in lines(shape))

    def _words(self, at: XY, words: str, style: TextStyle, role: str, align: Align = Align.MIDDLE) -> Text:
        return Text(at[0], at[1], words, style.scaled(self._factor), role, align, _CASING)

    # drafts

    def _draft(self, draft: Draft) -> list[Mark]:
        marks: list[Mark] = []
        points = list(draft.points)
        if draft.outline is not None:
            marks.append(Shape(self._outline(draft.outline), Fill("mark_wash", 0.75), _LIVE, Pen("paper", 5.0)))
        if draft.rectangle and draft.snap is not None:
            return [*marks, *self._rectangle(points, draft)]
        if not points:
            return [*marks, *self._snap_ring(draft)]
        tip = [draft.snap.at] if draft.snap is not None else []
        marks += self._sides(points, tip, closed=draft.closed)
        marks += self._lengths(points, tip, closed=draft.closed)
        return [*marks, *self._handles(points), *self._snap_ring(draft)]

    def _rectangle(self, three: Sequence[XY], draft: Draft) -> list[Mark]:
        """A rectangle by three corners and the pointer: first, second, fourth, and the third where the pointer is."""
        assert draft.snap is not None
        first, second, fourth = three
        corners = [first, second, draft.snap.at, fourth]
        path = (Subpath(self._px(corners), closed=True),)
        marks: list[Mark] = [Shape(path, Fill("mark_wash", 0.75)), Shape(path, pen=_LIVE)]
        marks.append(self._area(corners))
        centre = middle(first, draft.snap.at)
        for start, end in ((first, second), (first, fourth)):
            marks += self._side_length(start, end, centre, outside=True, style=_BOLD, role="mark_over")
        return [*marks, *self._handles([first]), *self._snap_ring(draft)]

    def _sides(self, points: Sequence[XY], tip: Sequence[XY], *, closed: bool) -> list[Mark]:
        marks: list[Mark] = []
        whole = self._px([*points, *tip])
        if closed and len(whole) >= 3:
            marks.append(Shape((Subpath(whole, closed=True),), Fill("mark_wash", 0.75)))
        if len(points) > 1:
            marks.append(Shape((Subpath(whole[: len(points)]),), pen=_DONE))
        if tip:
            marks.append(Shape((Subpath(whole[-2:]),), pen=_LIVE))
            if closed and len(points) >= 2:
                marks.append(Shape((Subpath(whole[[-1, 0]]),), pen=_HOME))
        return marks

    def _lengths(self, points: Sequence[XY], tip: Sequence[XY], *, closed: bool) -> list[Mark]:
        corners = [*points, *tip]
        centre = (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
        marks: list[Mark] = []
        for start, end in pairwise(points):
            marks += self._side_length(start, end, centre, outside=True, style=_SOFT, role="ink_soft")
        if tip:
            marks += self._live_length(points[-1], tip[0], centre, inside=closed and self._has_room(corners))
        if closed and len(corners) >= 3:
            marks.append(self._area(corners))
        return marks

    def _has_room(self, corners: Sequence[XY]) -> bool:
        """Whether the area and the length of the live side can both stand inside."""
        px = self._px(corners)
        return len(corners) > 2 and float(np.ptp(px[:, 1])) >= _ROOMY_PX and float(np.ptp(px[:, 0])) >= _ROOMY_PX

    def _side_length(
        self, start: XY, end: XY, centre: XY, *, outside: bool, style: TextStyle, role: str, words: str = ""
    ) -> list[Mark]:
        """The length of a side at its middle, on the side away from the centre or towards it."""
        a, b = self._view.to_px(*start), self._view.to_px(*end)
        if distance(a, b) < _LEAST_SIDE_PX:
            return []
        at, inner = middle(a, b), self._view.to_px(*centre)
        across = (-(b[1] - a[1]) / distance(a, b), (b[0] - a[0]) / distance(a, b))
        towards = 1.0 if across[0] * (inner[0] - at[0]) + across[1] * (inner[1] - at[1]) > 0 else -1.0
        way = -towards if outside else towards
        reach = _SIDE_PX + abs(across[0]) * (16.0 if outside else 44.0)
        spot = at[0] + across[0] * way * reach, at[1] + across[1] * way * reach + 4.0
        return [self._words(spot, words or text(distance(start, end), Quantity.LENGTH_M, self._units), style, role)]

    def _live_length(self, start: XY, end: XY, centre: XY, *, inside: bool) -> list[Mark]:
        if distance(start, end) == 0.0:
            return []
        bearing = round(bearing_deg(start, end)) % 360
        words = f"{text(distance(start, end), Quantity.LENGTH_M, self._units)}, {bearing}°"
        return self._side_length(start, end, centre, outside=not inside, style=_BOLD, role="mark_over", words=words)

    def _area(self, corners: Sequence[XY]) -> Text:
        px = self._px(corners)
        x, y = px.mean(axis=0).tolist()
        return self._words((x, y + 5.0), text(area_m2(corners), Quantity.AREA_M2, self._units), _AREA, "mark_over")

    def _handles(self, points: Sequence[XY]) -> list[Mark]:
        path = tuple(box(x, y, _HANDLE_PX, _HANDLE_PX) for x, y in self._px(points).tolist())
        return [Shape(path, Fill("slip"), Pen("mark_over", 1.6))]

    def _corner(self, at: XY) -> Mark:
        x, y = self._view.to_px(*at)
        return Shape((box(x, y, 13.0, 13.0),), pen=Pen("mark", 2.0), casing=Pen("paper", 5.0))

    def _snap_ring(self, draft: Draft) -> list[Mark]:
        """A ring round the point that was snapped to, with the words of what it is."""
        snap = draft.snap
        if snap is None:
            return []
        x, y = self._view.to_px(*snap.at)
        ring = Shape((circle(x, y, _RING_PX),), Fill("mark_wash", 0.85), Pen("mark_over", 1.2))
        marks: list[Mark] = [] if snap.kind is SnapKind.FREE else [ring]
        if snap.words:
            marks.append(self._words((x + 14.0, y + 28.0), snap.words, _WORDS, "mark_over", Align.LEFT))
        return marks

    # ghosts and bands

    def _ghost(self, ghost: Ghost) -> list[Mark]:
        old = tuple(part for shape in ghost.old for part in self._outline(shape))
        marks: list[Mark] = [Shape(old, pen=Pen("ink", 0.9, dash=(3.0, 2.4)))]
        marks += self._way(ghost)
        if ghost.misplaced is not None:
            marks += self._barred(ghost)
        return marks

    def _way(self, ghost: Ghost) -> list[Mark]:
        """A thin line from where it was to where it goes, with the distance on it."""
        start, end = self._view.to_px(*ghost.start), self._view.to_px(*ghost.end)
        if distance(start, end) < 2.0:
            return []
        line = Shape((Subpath(np.array((start, end))),), pen=Pen("ink", 0.9))
        if distance(start, end) < 2 * _LEAST_SIDE_PX:
            return [line]
        at = middle(start, end)
        words = text(distance(ghost.start, ghost.end), Quantity.LENGTH_M, self._units)
        return [line, self._words((at[0] + 10.0, at[1] - 6.0), words, _BOLD, "ink", Align.LEFT)]

    def _barred(self, ghost: Ghost) -> list[Mark]:
        """The outline where it cannot be, with a cross inside; the nearest place that can be."""
        outline = tuple(part for shape in ghost.new for part in self._outline(shape))
        pen = Pen("unsafe", 2.0, dash=(5.0, 3.0))
        marks: list[Mark] = [Shape(outline, Fill("paper", 0.8), pen, Pen("paper", 5.0))]
        x, y = self._view.to_px(*ghost.end)
        arms = [
            Subpath(np.array(((x - 5, y - 5), (x + 5, y + 5)))),
            Subpath(np.array(((x - 5, y + 5), (x + 5, y - 5)))),
        ]
        marks.append(Shape(tuple(arms), pen=Pen("unsafe", 2.0)))
        nearest = None if ghost.misplaced is None else ghost.misplaced.nearest
        if nearest is not None and math.isfinite(nearest[0]):
            px = self._view.to_px(*nearest)
            marks.append(
                Shape((circle(*px, _RING_PX),), pen=Pen("mark_over", 1.4, dash=(3.0, 2.4)), casing=Pen("paper", 4.0))
            )
        return marks

    def _band(self, band: Band) -> list[Mark]:
        (x1, y1), (x2, y2) = self._view.to_px(*band.corner), self._view.to_px(*band.other)
        outline = Rect(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1)).outline()
        return [Shape((outline,), Fill("mark_wash", 0.35), Pen("mark_over", 1.0, dash=(5.0, 3.0)))]
