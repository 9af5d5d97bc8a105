"""The year strip: one year of the balance as a picture, on the screen and on paper."""

from __future__ import annotations

from gardenwater.report.year.days import Days, YearDays
from gardenwater.report.year.hand import hand_marks, hand_x
from gardenwater.report.year.layout import StripForm, StripLayout, layout_of
from gardenwater.report.year.reading import day_reading, day_words, strip_words
from gardenwater.report.year.strip import strip_marks
from gardenwater.report.year.years import DRIEST, YearName

__all__ = [
    "DRIEST",
    "Days",
    "StripForm",
    "StripLayout",
    "YearDays",
    "YearName",
    "day_reading",
    "day_words",
    "hand_marks",
    "hand_x",
    "layout_of",
    "strip_marks",
    "strip_words",
]
