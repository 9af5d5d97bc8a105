"""The year strip as a drawing list: all that does not change while the hand moves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from gardenwater.report.drawing import (
    Align,
    Fill,
    Mark,
    Pen,
    Points,
    Rect,
    Shape,
    Strokes,
    Subpath,
    Text,
)
from gardenwater.report.paths import run
from gardenwater.report.styles import CASING
from gardenwater.report.year.days import Days, YearDays
from gardenwater.report.year.layout import (
    FOLDED_NAME,
    FOLDED_YEAR,
    MONTH,
    NAME,
    UNIT,
    VALUE,
    StripLayout,
)
from gardenwater.report.year.reading import days_short_words
from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.units import Quantity, UnitSystem, text, unit_word

_STORE_LINE = Pen("water", 1.6)
_CAPACITY = Pen("rule", 1.0, dash=(5.0, 3.0))
_AXIS = Pen("ink", 0.8)
_BASE = Pen("hairline", 0.9)
_NEED = Pen("need", 1.3, dash=(2.0, 2.2))
_SPILL_PX, _TICK_PX = (2.5, 6.0), 4.0
_LEAST_RAIN_TOP_MM = 10.0


@dataclass(frozen=True, slots=True)
class StripWords:
    """How the strip's words are written: units, and the greatest depth of rain that its row has room for, mm."""

    units: UnitSystem
    rain_top_mm: float


def rain_top_mm(days: YearDays, units: UnitSystem) -> float:
    """A round depth that the wettest day does not pass, mm: the top of the rain's row."""
    unit_mm = 25.4 if units is UnitSystem.US else 1.0
    most = max(float(days.rain_mm.max(initial=0.0)), _LEAST_RAIN_TOP_MM) / unit_mm
    power = 10.0 ** math.floor(math.log10(most))
    step = next(digit for digit in (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0) if digit * power >= most * (1 - 1e-9))
    return step * power * unit_mm


def strip_marks(days: YearDays, layout: StripLayout, *, units: UnitSystem) -> list[Mark]:
    """All of the strip but the hand."""
    words = StripWords(units, rain_top_mm(days, units))
    marks = [*_months(days, layout), *_rain(days, layout, words), *_store(days, layout)]
    if layout.need is not None:
        marks += _need(days, layout, layout.need)
        marks += _names(layout, words)
        marks += _values(days, layout, layout.need, words)
        return marks
    return [*marks, *_dry_line(days, layout), *_folded_names(days, layout)]


# rows


def _middles(days: YearDays, layout: StripLayout) -> Days:
    """The middle of each day, px."""
    middles: Days = layout.plot.x + (np.arange(days.count) + 0.5) / days.count * layout.plot.width
    return middles


def _upright(x: Days, low: Days, high: Days) -> Points:
    """Strokes from (x, low) to (x, high); float64 (n, 2, 2)."""
    return np.stack((np.column_stack((x, low)), np.column_stack((x, high))), axis=1)


def _bar_px(days: YearDays, layout: StripLayout) -> float:
    return min(max(layout.plot.width / days.count * 0.78, 0.8), 3.0)


def _rain(days: YearDays, layout: StripLayout, words: StripWords) -> list[Mark]:
    """Bars up from a line; folded they hang from the top."""
    row = layout.rain
    wet = days.rain_mm > 0
    x, high = _middles(days, layout)[wet], days.rain_mm[wet] / words.rain_top_mm * row.height
    high = np.maximum(np.minimum(high, row.height), 0.7)
    base = np.full_like(x, row.bottom if layout.need is not None else row.y)
    tip = base - high if layout.need is not None else base + high
    marks: list[Mark] = [Strokes(_upright(x, base, tip), Pen("rain", _bar_px(days, layout)))]
    if layout.need is not None:
        marks.append(_level(row.bottom, row, _BASE))
    return marks


def _level(y: float, row: Rect, pen: Pen) -> Shape:
    return Shape((run(((row.x, y), (row.right, y))),), pen=pen)


def _curve(values: Days, top: float, row: Rect, x: Days) -> Points:
    """A line through the days' values, level to both edges of the row; float64 (n + 2, 2)."""
    y = row.bottom - np.clip(values / max(top, 1e-9), 0.0, 1.0) * row.height
    ends = np.concatenate(((row.x,), x, (row.right,))), np.concatenate((y[:1], y, y[-1:]))
    return np.column_stack(ends)


def _under(line: Points, row: Rect) -> Subpath:
    """The area below a line, down to the row's base."""
    corners = np.array(((row.right, row.bottom), (row.x, row.bottom)))
    return Subpath(np.concatenate((line, corners)), closed=True)


def _store(days: YearDays, layout: StripLayout) -> list[Mark]:
    """The area of the store, its capacity, and the spill above it."""
    row, x = layout.store, _middles(days, layout)
    line = _curve(days.store_l, days.capacity_l, row, x)
    marks: list[Mark] = [
        Shape((_under(line, row),), Fill("tank_fill")),
        _level(row.y, row, _CAPACITY),
        Shape((Subpath(line),), pen=_STORE_LINE),
    ]
    if layout.need is not None:
        marks.append(_level(row.bottom, row, _AXIS))
    spills = days.spill_l >= 1.0
    if spills.any():
        most = float(days.spill_l.max())
        low, high = (size * min(1.0, layout.plot.height / 150.0) for size in _SPILL_PX)
        length = low + (high - low) * np.sqrt(days.spill_l[spills] / most)
        base = np.full(int(spills.sum()), row.y - 1.0)
        marks.append(Strokes(_upright(x[spills], base, base - length), Pen("spill", _bar_px(days, layout))))
    return marks


def _need(days: YearDays, layout: StripLayout, row: Rect) -> list[Mark]:
    """The need dotted over its area; its unmet part, from what was met up to the need, filled.

    A bed that was refused water asks for it again, so that more may be given than is needed of new on a day that is
    short all the same: then a stroke on the need's line says so.
    """
    x, top = _middles(days, layout), days.need_top_l
    line = _curve(days.need_l, top, row, x)
    marks: list[Mark] = [Shape((_under(line, row),), Fill("bed_fill"))]
    unmet = days.short
    if unmet.any():
        half = layout.plot.width / days.count / 2
        high = row.bottom - np.clip(days.need_l[unmet] / top, 0, 1) * row.height
        low = row.bottom - np.clip(np.minimum(days.met_l, days.need_l)[unmet] / top, 0, 1) * row.height
        marks.append(Shape(_blocks(x[unmet], half, low, np.minimum(high, low - 1.2)), Fill("fails")))
    marks.append(Shape((Subpath(line),), pen=_NEED))
    if unmet.any():
        marks.append(_short_words(days, layout, row))
    return marks


def _blocks(x: Days, half: float, low: Days, high: Days) -> tuple[Subpath, ...]:
    """A bar for each day, as wide as the day, so that days in a row join."""
    corners = np.stack((x - half, low, x - half, high, x + half, high, x + half, low), axis=1).reshape(-1, 4, 2)
    return tuple(Subpath(points, closed=True) for points in corners)


def _short_words(days: YearDays, layout: StripLayout, row: Rect) -> Text:
    """How many days are short, at the right of the last of them; at the left of the first where the year ends."""
    last = int(np.flatnonzero(days.short)[-1])
    after = layout.x_of(last + 0.5, days.count) + 10.0
    at_right = after < row.right - 0.14 * row.width
    x = after if at_right else layout.x_of(int(np.argmax(days.short)) - 0.5, days.count) - 10.0
    style = NAME.scaled(layout.factor)
    align = Align.LEFT if at_right else Align.RIGHT
    return Text(x, row.bottom - row.height * 0.16, days_short_words(days.days_short), style, "fails", align, CASING)


def _dry_line(days: YearDays, layout: StripLayout) -> list[Mark]:
    """Folded: a line on the base along the days that are short."""
    if not days.days_short:
        return []
    x, half = _middles(days, layout)[days.short], layout.plot.width / days.count / 2
    base = layout.store.bottom - 1.0
    ends = np.stack(
        (np.column_stack((x - half, np.full_like(x, base))), np.column_stack((x + half, np.full_like(x, base)))), 1
    )
    return [Strokes(ends, Pen("fails", 3.0))]


# words


def _months(days: YearDays, layout: StripLayout) -> list[Mark]:
    """The axis with a tick at each month's first day, its name between."""
    firsts = [day for day in range(days.count) if days.date(day).day == 1]
    edges = sorted({0, *firsts, days.count})
    y, style = layout.plot.bottom, MONTH.scaled(layout.factor)
    marks: list[Mark] = [_level(y, layout.plot, _AXIS)]
    ticks = np.array([layout.x_of(edge - 0.5, days.count) for edge in edges])
    marks.append(Strokes(_upright(ticks, np.full_like(ticks, y), np.full_like(ticks, y + _TICK_PX)), _AXIS))
    for first, last in pairwise(edges):
        width = layout.x_of(last, days.count) - layout.x_of(first, days.count)
        name = MONTH_NAMES[days.date(first).month - 1][: 3 if width > 26.0 * layout.factor else 1]
        if width > 9.0 * layout.factor:
            middle = (layout.x_of(first - 0.5, days.count) + layout.x_of(last - 0.5, days.count)) / 2
            marks.append(Text(middle, layout.months_y, name, style, "ink_soft", Align.MIDDLE))
    return marks


def _names(layout: StripLayout, words: StripWords) -> list[Mark]:
    """The rows' names in their colours, the unit below each where there is room for two lines."""
    assert layout.need is not None
    volume = "litres" if words.units is UnitSystem.METRIC else unit_word(Quantity.VOLUME_L, words.units)
    rain = unit_word(Quantity.RAIN_MM, words.units)
    rows = (
        (layout.rain, "Rain", "ink", f"{rain} a day"),
        (layout.store, "Store", "water", f"{volume} in tanks"),
        (layout.need, "Need", "need", f"{volume} a day"),
    )
    marks: list[Mark] = []
    for row, name, role, unit in rows:
        x, line = row.x - 13.0, 16.0 * layout.factor
        two = row.height > 2 * line
        y = row.y + 10.0 * layout.factor if two else row.y + row.height / 2 + 4.5 * layout.factor
        marks.append(Text(x, y, name, NAME.scaled(layout.factor), role, Align.RIGHT))
        if two:
            marks.append(Text(x, y + line, unit, UNIT.scaled(layout.factor), "ink_soft", Align.RIGHT))
    return marks


def _values(days: YearDays, layout: StripLayout, need: Rect, words: StripWords) -> list[Mark]:
    """The greatest value of each row at its right; nothing below the store, where there is room."""
    style, units = VALUE.scaled(layout.factor), words.units
    x, down = layout.plot.right + 9.0, 4.0 * layout.factor
    least_y = layout.top_px + 11.0 * layout.factor

    def value(y: float, shown: str) -> Text:
        return Text(x, max(y + down, least_y), shown, style, "ink_soft")

    marks: list[Mark] = [
        value(layout.rain.y, text(words.rain_top_mm, Quantity.RAIN_MM, units, unit=False)),
        value(layout.store.y, text(days.capacity_l, Quantity.VOLUME_L, units, unit=False)),
        value(need.y, text(days.need_top_l, Quantity.VOLUME_L, units, unit=False)),
    ]
    if layout.store.height > 40.0 * layout.factor:
        marks.append(value(layout.store.bottom, "0"))
    return marks


def _folded_names(days: YearDays, layout: StripLayout) -> list[Mark]:
    """The strip's name and the year's, at the left."""
    factor, x = layout.factor, 16.0
    middle = layout.plot.y + layout.plot.height / 2
    return [
        Text(x, middle - 2.0 * factor, "The year", FOLDED_NAME.scaled(factor), "ink"),
        Text(x, middle + 15.0 * factor, days.short_name, FOLDED_YEAR.scaled(factor), "ink_soft"),
    ]
