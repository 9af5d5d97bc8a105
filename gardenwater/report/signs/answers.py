"""Signs of the answers, on the plan only: routes, pools, ends of water, roof parts."""

from __future__ import annotations

import math
from enum import Enum, auto

import numpy as np

from gardenwater.report.drawing import Cap, Dots, Fill, Mark, Pen, Points, Rect, Shape, Strokes, Subpath
from gardenwater.report.paths import NO_STROKES, Ends, each, hatch, head, heads, lengths, run

_HEAD_EACH_PX = 34.0
_WIDTHS = ((0.1, 1.5), (0.5, 2.0), (2.0, 3.0), (math.inf, 4.0))
"""Flow in L/s under which a route has this width, px."""
_SOAKED_PX = (4.0, 3.2, 2.4)
_SOAKED_EACH_PX = 6.0
_PART_SPACINGS_PX = (6.0, 4.5, 7.5)
POOL_EDGE = Pen("spill", 1.5)
POOL_CLASS_EDGE = Pen("spill", 0.6, strength=0.55)
_LEVEL_EACH_M, _LEVEL_EACH_PX = 0.3, 4.0


class RouteEnd(Enum):
    """What a drawn route ends in."""

    PLAIN = auto()
    SOAKED = auto()
    OFF_SITE = auto()


def route_width(flow_l_s: float) -> float:
    """Width of an overflow route, px, by its flow in L/s."""
    return next(width for under, width in _WIDTHS if flow_l_s < under or math.isinf(under))


def route(points: Points, flow_l_s: float, end: RouteEnd, *, heads_px: float = 0.0) -> list[Mark]:
    """An overflow route over ground: a cased line with an open head each 34 px, and its end.

    heads_px: how far the heads have moved on from where they stand at rest.
    """
    total = float(lengths(points)[-1])
    if total <= 0:
        return []
    width = route_width(flow_l_s)
    if end is RouteEnd.OFF_SITE:
        points = np.concatenate((points, points[-1:] + _last(points) * 12.0))
    pen = Pen("spill", width, cap=Cap.ROUND)
    marks: list[Mark] = [Shape((run(points),), pen=pen, casing=Pen("paper", width + 3.0, cap=Cap.ROUND))]
    first_px = min(_HEAD_EACH_PX / 2, total / 2 + 2.0)
    if heads_px:
        first_px = (first_px + heads_px) % _HEAD_EACH_PX
    at, direction = each(points, _HEAD_EACH_PX, first_px=first_px)
    inner = at[:-1] if end is RouteEnd.OFF_SITE and len(at) else at
    size = 4.5 + width
    tips = heads(inner, direction[: len(inner)], size * 0.9, size * 0.72)
    marks.append(Strokes(tips, Pen("spill", 1.7, cap=Cap.ROUND)))
    if end is RouteEnd.OFF_SITE:
        tip = head(points[-1], _last(points)[0], 9.0, 9.0)
        marks.append(Shape((tip,), pen=Pen("spill", 2.4, cap=Cap.ROUND), casing=Pen("paper", 5.4, cap=Cap.ROUND)))
    if end is RouteEnd.SOAKED:
        marks += _soaked(points)
    return marks


def _last(points: Points) -> Points:
    """The direction in which a route ends, taken over its last 6 px; float64 (1, 2)."""
    away = np.hypot(*(points[-1] - points).T)
    earlier = np.flatnonzero(away >= 6.0)
    step = points[-1] - points[earlier[-1] if len(earlier) else 0]
    direction: Points = (step / max(float(np.hypot(*step)), 1e-9))[None]
    return direction


def _soaked(points: Points) -> list[Mark]:
    """Three dots after the end of a route that soaks away."""
    direction = _last(points)
    return [
        Dots(points[-1:] + direction * _SOAKED_EACH_PX * (index + 1), diameter, "spill")
        for index, diameter in enumerate(_SOAKED_PX)
    ]


def pool_levels(outlines: list[Points], px_per_m: float) -> Ends:
    """Level lines in a pool, broken at the ends by turns."""
    spacing = max(_LEVEL_EACH_M * px_per_m, _LEVEL_EACH_PX)
    strokes = hatch(outlines, spacing, 0.0, phase_px=spacing / 2)
    length = np.abs(strokes[:, 1, 0] - strokes[:, 0, 0])
    strokes, length = strokes[length > 6.0], length[length > 6.0]
    if len(strokes) == 0:
        return NO_STROKES
    number = np.arange(len(strokes))
    left, right = 0.16 + 0.07 * np.sin(number * 2.4), 0.16 + 0.07 * np.cos(number * 1.7)
    cut = strokes.copy()
    cut[:, 0, 0] += left * length
    cut[:, 1, 0] -= right * length
    return cut


def pool(outlines: list[Points], px_per_m: float) -> list[Mark]:
    """The edge of a pool and its level lines."""
    path = tuple(Subpath(ring, closed=True) for ring in outlines)
    levels = pool_levels(outlines, px_per_m)
    marks: list[Mark] = [Shape(path, pen=POOL_EDGE, casing=Pen("paper", 4.5, strength=0.8))] if not len(levels) else []
    marks.append(Shape(path, pen=POOL_EDGE))
    if len(levels):
        marks.append(Strokes(levels, Pen("spill", 0.8, cap=Cap.ROUND)))
    return marks


def roof_part(outlines: list[Points], *, caught: bool) -> Mark:
    """The ground of a part of a roof: as a roof where a tank gets its water, else in the wash of what goes wrong."""
    path = tuple(Subpath(ring, closed=True) for ring in outlines)
    return Shape(path, Fill("roof_fill" if caught else "warn_wash"))


def roof_part_lines(outlines: list[Points], fall_deg: float, index: int, within: Rect) -> Mark:
    """Lines down the fall of a part of a roof (slanted on a flat one), at a spacing by which neighbours differ."""
    spacing = _PART_SPACINGS_PX[index % len(_PART_SPACINGS_PX)]
    angle = fall_deg - 90.0 if math.isfinite(fall_deg) else 45.0
    strokes = hatch(outlines, spacing, angle, within=within, phase_px=spacing / 2)
    return Strokes(strokes, Pen("roof_line", 0.65, strength=0.62))


def share_line(path: tuple[Subpath, ...]) -> Mark:
    """The line between two shares of one plane."""
    return Shape(path, pen=Pen("roof_line", 1.2, dash=(4.0, 3.0)))
