"""The hand of the year strip, with its date and what is so that day."""

from __future__ import annotations

import numpy as np

from gardenwater.report.drawing import Align, Cap, Fill, Join, Mark, Pen, Rect, Shape, Subpath, Text, TextStyle
from gardenwater.report.paths import run
from gardenwater.report.styles import CASING
from gardenwater.report.text import litres
from gardenwater.report.year.days import LEAST_L, YearDays
from gardenwater.report.year.layout import StripLayout
from gardenwater.report.year.reading import day_words
from gardenwater.units import UnitSystem

_LATE_MONTH, _DATE_ROOM_PX = 11, 110.0
_HAND = Pen("mark", 1.8)
_GRIP = Pen("mark", 1.6, join=Join.MITRE)
_GRIP_HALF_PX, _GRIP_SHOULDER_PX, _GRIP_HIGH_PX = 6.0, 8.5, 14.0
_DATE = TextStyle(13.0, semibold=True)
_AT_HAND = TextStyle(12.5, semibold=True, italic=True)
_WANTED = TextStyle(12.5, italic=True)


def hand_x(days: YearDays, day: int, layout: StripLayout) -> float:
    """Where the hand stands, px."""
    return layout.x_of(day, days.count)


def hand_marks(days: YearDays, day: int, layout: StripLayout, *, units: UnitSystem) -> list[Mark]:
    """The hand: a line with a house-shaped grip, its date, and in an open strip what is left and wanted that day."""
    x, top = hand_x(days, day, layout), layout.plot.y
    least = layout.top_px + 1.0
    grip_top = max(top - _GRIP_HIGH_PX + 2.0, least) if layout.need is not None else least
    grip = np.array(
        (
            (x - _GRIP_HALF_PX, grip_top),
            (x + _GRIP_HALF_PX, grip_top),
            (x + _GRIP_HALF_PX, grip_top + _GRIP_SHOULDER_PX),
            (x, grip_top + _GRIP_HIGH_PX),
            (x - _GRIP_HALF_PX, grip_top + _GRIP_SHOULDER_PX),
        )
    )
    line = run(((x, grip_top + _GRIP_HIGH_PX), (x, layout.plot.bottom)))
    date = days.date(day)
    second_half = x > layout.plot.x + layout.plot.width / 2
    late = (date.month >= _LATE_MONTH and second_half) or x > layout.plot.right - _DATE_ROOM_PX * layout.factor
    style = _DATE.scaled(layout.factor)
    side, align = (-10.0, Align.RIGHT) if late else (10.0, Align.LEFT)
    marks: list[Mark] = [
        Shape((line,), pen=_HAND, casing=Pen("slip", 3.6)),
        Shape((Subpath(grip, closed=True),), Fill("slip"), _GRIP),
        Text(x + side, grip_top + 4.0 + 9.0 * layout.factor, day_words(date), style, "mark", align, _casing()),
    ]
    if layout.need is not None and layout.store.height > 40.0 * layout.factor:
        marks += _at_hand(days, day, layout, layout.need, units)
    return marks


def _casing() -> Pen:
    return Pen("slip", 3.6, cap=Cap.ROUND)


def _at_hand(days: YearDays, day: int, layout: StripLayout, need: Rect, units: UnitSystem) -> list[Mark]:
    """What the tanks hold and the beds want, beside the hand where its line meets the rows."""
    x, factor = hand_x(days, day, layout), layout.factor
    at_left = x > layout.plot.x + 110.0 * factor
    side, align = (-11.0, Align.RIGHT) if at_left else (11.0, Align.LEFT)
    held, wanted = float(days.store_l[day]), float(days.need_l[day])
    share = min(max(held / max(days.capacity_l, 1e-9), 0.0), 1.0)
    store = layout.store
    y = min(max(store.bottom - share * store.height - 5.0, store.y + 14.0 * factor), store.bottom - 6.0)
    marks: list[Mark] = [
        Text(x + side, y, f"{litres(held, units)} left", _AT_HAND.scaled(factor), "water", align, CASING)
    ]
    if wanted > LEAST_L:
        high = need.bottom - min(wanted / days.need_top_l, 1.0) * need.height
        y = min(max(high + 6.0, need.y + 6.0), need.bottom - 5.0)
        words = f"{litres(wanted, units)} needed"
        marks.append(Text(x + side, y, words, _WANTED.scaled(factor), "need", align, CASING))
    return marks
