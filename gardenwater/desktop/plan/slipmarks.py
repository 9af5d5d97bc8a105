"""The slip: a small sheet of words at the pointer."""

from __future__ import annotations

from collections.abc import Sequence

from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.live import SlipLine
from gardenwater.report.drawing import Fill, Mark, Measure, Pen, Rect, Shape, Text, TextStyle

_STRONG = TextStyle(12.5, semibold=True)
_PLAIN = TextStyle(12.0)
_ROOM_X, _ROOM_Y = 9.0, 6.0
_LINE_PX = 17.0
_AWAY_PX = 18.0
_EDGE_PX = 6.0


def slip_rect(lines: Sequence[SlipLine], at: XY, within: Rect, measure: Measure, factor: float = 1.0) -> Rect:
    """Where the slip stands: below the place, above where there is no room, and whole within the sheet."""
    width = max(measure(line.words, _style(line, factor))[0] for line in lines) + 2 * _ROOM_X
    height = len(lines) * _LINE_PX * factor + 2 * _ROOM_Y
    x = min(max(at[0] - width / 2, within.x + _EDGE_PX), within.right - width - _EDGE_PX)
    below = at[1] + _AWAY_PX + 8.0
    y = below if below + height <= within.bottom - _EDGE_PX else at[1] - _AWAY_PX - height
    return Rect(round(x) + 0.5, round(y) + 0.5, round(width), round(height))


def slip_marks(lines: Sequence[SlipLine], at: XY, within: Rect, measure: Measure, factor: float = 1.0) -> list[Mark]:
    """The sheet and its words; at: px of the place that it is about."""
    rect = slip_rect(lines, at, within, measure, factor)
    marks: list[Mark] = [Shape((rect.outline(),), Fill("slip"), Pen("ink_soft", 1.0))]
    for number, line in enumerate(lines):
        base = rect.y + _ROOM_Y + (number + 0.74) * _LINE_PX * factor
        marks.append(Text(rect.x + _ROOM_X, base, line.words, _style(line, factor), line.role))
    return marks


def _style(line: SlipLine, factor: float) -> TextStyle:
    return (_STRONG if line.strong else _PLAIN).scaled(factor)
