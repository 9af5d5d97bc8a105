"""The sizes and cuts of the plan's words, px at 100 %."""

from __future__ import annotations

from gardenwater.report.drawing import Pen, TextStyle

NAME = TextStyle(12.5, semibold=True)
NAME_ITALIC = TextStyle(12.5, semibold=True, italic=True)
ANSWER = TextStyle(12.0)
ANSWER_ITALIC = TextStyle(12.0, italic=True)
TICK = TextStyle(11.5)
CONTOUR = TextStyle(11.0)
EDGE = TextStyle(11.5, semibold=True, italic=True)
KEY_TITLE = TextStyle(12.5, semibold=True)
KEY_WORD = TextStyle(12.0)

CASING = Pen("paper", 3.6, strength=0.92)
"""Round words that stand on a wash."""
