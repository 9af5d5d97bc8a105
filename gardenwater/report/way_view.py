"""A line from the side as a picture: ground, line, grade line, tank level; where air gathers and where to drain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gardenwater.reach import WayPoint, WayProfile
from gardenwater.report.drawing import Align, Cap, Fill, Mark, Measure, Pen, Points, Rect, Shape, Text, TextStyle
from gardenwater.report.paths import circle, run
from gardenwater.report.styles import CASING
from gardenwater.units import Quantity, UnitSystem, text

_WORD, _FIRM = TextStyle(12.0), TextStyle(12.0, semibold=True)
_TOP_PX, _FOOT_PX, _SIDE_PX = 24.0, 24.0, 12.0
_LEAST_SPREAD_M = 0.5
_LEAST_APART_PX = 46.0
_MOST_MARKED = 4
_MARK_PX = 5.0
_LOW_ROOM_PX = 22.0


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where distances and levels lie in the picture; each axis has a scale of its own."""

    area: Rect
    low_m: float
    px_per_level: float
    px_per_m: float
    foot_px: float

    def x(self, distance_m: float) -> float:
        return self.area.x + _SIDE_PX + distance_m * self.px_per_m

    def y(self, level_m: float) -> float:
        return self.area.bottom - self.foot_px - (level_m - self.low_m) * self.px_per_level

    def all(self, distance_m: Points, level_m: Points) -> Points:
        points: Points = np.column_stack(
            (
                self.area.x + _SIDE_PX + distance_m * self.px_per_m,
                self.area.bottom - self.foot_px - (level_m - self.low_m) * self.px_per_level,
            )
        )
        return points


def way_view(
    found: WayProfile,
    *,
    width_px: float,
    height_px: float,
    units: UnitSystem,
    measure: Measure,
    end_name: str = "",
    factor: float = 1.0,
) -> list[Mark]:
    """The profile as a drawing list of its own, `width_px` by `height_px`.

    The height is drawn larger than the length, as the words under it say. High points bear a ring and where they are,
    low points a drop and where to drain. end_name: whose spot the line ends at. factor: the user's text size.
    """
    area = Rect(0.0, 0.0, width_px, height_px)
    frame = _framed(found, area, factor)
    marks: list[Mark] = [Shape((area.outline(),), Fill("paper")), *_ground(found, frame), *_lines(found, frame)]
    marks += _end(found, frame, units, factor)
    marks += _turns(found, frame, units, measure, factor)
    marks += _words(found, frame, units, measure, end_name, factor)
    return [*marks, Shape((Rect(0.5, 0.5, width_px - 1, height_px - 1).outline(),), pen=Pen("rule", 1.0))]


def _framed(found: WayProfile, area: Rect, factor: float) -> _Frame:
    levels = np.concatenate((found.ground_m, found.line_m, found.grade_m, [found.water_level_m, found.end_level_m]))
    low, high = float(np.nanmin(levels)), float(np.nanmax(levels))
    foot = _FOOT_PX * factor + 6.0 + (_LOW_ROOM_PX * factor if found.lows else 0.0)
    per_level = (area.height - _TOP_PX * factor - foot) / max(high - low, _LEAST_SPREAD_M)
    per_m = (area.width - 2 * _SIDE_PX) / max(found.length_m, 0.1)
    return _Frame(area, low, per_level, per_m, foot)


def _ground(found: WayProfile, frame: _Frame) -> list[Mark]:
    known = ~np.isnan(found.ground_m)
    top = frame.all(found.distance_m[known], found.ground_m[known])
    if len(top) < 2:
        return []
    area = frame.area
    under = np.concatenate((top, [(top[-1, 0], area.bottom), (top[0, 0], area.bottom)]))
    return [Shape((run(under, closed=True),), Fill("path_fill")), Shape((run(top),), pen=Pen("ink", 1.3))]


def _lines(found: WayProfile, frame: _Frame) -> list[Mark]:
    """The tank's level, the grade line that falls from it, the line itself; where it stands too high in `fails`."""
    known = ~np.isnan(found.line_m)
    line = frame.all(found.distance_m[known], found.line_m[known])
    grade = frame.all(found.distance_m, found.grade_m)
    level = run([(frame.x(0.0), frame.y(found.water_level_m)), (frame.x(found.length_m), frame.y(found.water_level_m))])
    marks: list[Mark] = [
        Shape((level,), pen=Pen("water", 1.0, strength=0.6)),
        Shape((run(grade),), pen=Pen("water", 1.2, dash=(4.0, 3.0))),
        Shape((run(line),), pen=Pen("water", 2.0, cap=Cap.ROUND), casing=Pen("paper", 4.4)),
    ]
    over = (found.line_m > found.grade_m)[known]
    over[0] = False
    edges = np.flatnonzero(np.diff(np.concatenate(([0], over.astype(np.int8), [0]))))
    pieces = tuple(
        run(line[first:last]) for first, last in zip(edges[::2], edges[1::2], strict=True) if last - first > 1
    )
    return [*marks, Shape(pieces, pen=Pen("fails", 2.4))] if pieces else marks


def _end(found: WayProfile, frame: _Frame, units: UnitSystem, factor: float) -> list[Mark]:
    """Where it delivers, and the head that is left there."""
    x, y = frame.x(found.length_m), frame.y(found.end_level_m)
    role = "mark" if found.spare_head_m >= 0 else "fails"
    top = frame.y(found.end_level_m + found.spare_head_m)
    head = text(abs(found.spare_head_m), Quantity.HEIGHT_M, units)
    words = f"spare {head}" if found.spare_head_m >= 0 else f"{head} missing"
    return [
        Shape((run([(x, y), (x, top)]),), pen=Pen(role, 2.0)),
        Shape((circle(x, y, 3.4),), Fill("paper"), Pen("water", 1.75), casing=Pen("paper", 4.75)),
        Text(x - 7.0, (y + top) / 2 + 4.0, words, _FIRM.scaled(factor), role, Align.RIGHT, CASING),
    ]


def _turns(found: WayProfile, frame: _Frame, units: UnitSystem, measure: Measure, factor: float) -> list[Mark]:
    """The high and low points that stand out most, each with how far along it is."""
    marks: list[Mark] = []
    taken: list[float] = []
    both = [(point, True) for point in found.highs] + [(point, False) for point in found.lows]
    for point, high in sorted(both, key=lambda pair: -pair[0].by_m):
        x = frame.x(point.distance_m)
        if len(taken) < _MOST_MARKED and all(abs(x - other) >= _LEAST_APART_PX for other in taken):
            taken.append(x)
            marks += _turn(point, frame, units, measure, factor, high=high)
    return marks


def _turn(
    point: WayPoint, frame: _Frame, units: UnitSystem, measure: Measure, factor: float, *, high: bool
) -> list[Mark]:
    x, y = frame.x(point.distance_m), frame.y(point.level_m)
    away = -1.0 if high else 1.0
    tip = run([(x, y + away * 3.0), (x - _MARK_PX, y + away * 11.0), (x + _MARK_PX, y + away * 11.0)], closed=True)
    words = f"{'air' if high else 'drain'} at {text(point.distance_m, Quantity.LENGTH_M, units)}"
    base = y - 15.0 if high else y + 15.0 + 9.0 * factor
    half = measure(words, _WORD.scaled(factor))[0] / 2 + 6.0
    middle = min(max(x, frame.area.x + half), frame.area.right - half)
    return [
        Shape((tip,), Fill("watch"), casing=Pen("paper", 3.0)),
        Text(middle, base, words, _WORD.scaled(factor), "watch", Align.MIDDLE, CASING),
    ]


def _words(
    found: WayProfile, frame: _Frame, units: UnitSystem, measure: Measure, end_name: str, factor: float
) -> list[Mark]:
    """Levels at the upper left, length and name under the ground."""
    area, word, firm = frame.area, _WORD.scaled(factor), _FIRM.scaled(factor)
    base = area.bottom - 8.0
    length = f"{text(found.length_m, Quantity.LENGTH_M, units)} of line"
    times = frame.px_per_level / frame.px_per_m
    drawn = f"{length}, height {times:.0f} times" if times >= 1.5 else length
    water = f"water level {text(found.water_level_m, Quantity.LEVEL_M, units)}"
    marks: list[Mark] = [
        Text(area.x + _SIDE_PX, frame.y(found.water_level_m) - 5.0, water, word, "water", Align.LEFT, CASING),
        Text(area.right - 8.0, base, end_name, firm, "leaf", Align.RIGHT),
    ]
    room = area.width - measure(end_name, firm)[0] - 28.0
    shown = drawn if measure(drawn, word)[0] <= room else length
    marks.append(Text(area.x + 8.0, base, shown, word, "ink_soft", Align.LEFT))
    return marks
