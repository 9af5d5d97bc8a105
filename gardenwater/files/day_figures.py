"""Cells of a table of days as figures: decimal commas, marks of what is missing, traces of rain."""

from __future__ import annotations

import re
from typing import Final

import numpy as np

from gardenwater.weather.model import Days

_MISSING_WORDS: Final = frozenset(
    {
        "",
        "na",
        "n/a",
        "nan",
        "null",
        "none",
        "-",
        "--",
        "---",
        "m",
        "mm",
        "missing",
        "x",
        "*",
        "***",
        "nd",
        "n.d.",
        "..",
        ".",
    }
)
_MISSING_FIGURES: Final = frozenset({-9999.0, -9999.9, -999.0, -999.9, -99.0, -99.9, -99.99, 9999.0, 9999.9, 99999.0})
"""Figures that stand for none in files of weather offices; none of them is a day's rain or temperature."""
_FROST_IN_TENTHS: Final = -99.0
_TRACES: Final = frozenset({"t", "tr", "trace", "s", "<0.1", "<0.2", "< 0.1", "< 0.2"})
"""Rain that wets and cannot be measured."""
_DECIMAL_COMMA: Final = re.compile(r"[-+]?\d*,\d+")
_TAILED: Final = re.compile(r"([-+]?\d*[.,]?\d+)\s*[A-Za-z*†#]$")
NOT_READ: Final = float("inf")
"""Stands for a cell that has something in it that is no figure."""


def figure_of(cell: str, *, is_rain: bool, in_tenths: bool = False) -> float:
    """The figure in a cell; NaN for what is missing, `NOT_READ` for what is no figure.

    A trace of rain is 0. A letter behind a figure (a station's mark) is left out. in_tenths: of tenths of a degree
    -99 is a frosty night, elsewhere it stands for none.
    """
    words = cell.strip().replace("−", "-")
    try:
        value = float(words)
    except ValueError:
        value = _figure_in_words(words, is_rain=is_rain)
    if np.isnan(value) or (value in _MISSING_FIGURES and not (in_tenths and value == _FROST_IN_TENTHS)):
        return float("nan")
    return NOT_READ if np.isinf(value) else value


def _figure_in_words(words: str, *, is_rain: bool) -> float:
    lower = words.lower()
    if lower in _MISSING_WORDS:
        return float("nan")
    if is_rain and lower in _TRACES:
        return 0.0
    if _DECIMAL_COMMA.fullmatch(words):
        return float(words.replace(",", "."))
    tailed = _TAILED.fullmatch(words)
    return float(tailed.group(1).replace(",", ".")) if tailed else NOT_READ


def figures_of_cells(cells: list[str], *, is_rain: bool, in_tenths: bool = False) -> Days:
    """The figures of a column's cells, float64 (rows,): NaN where missing, infinite where no figure can be read.

    is_rain, in_tenths: as in `figure_of`.
    """
    return np.array([figure_of(cell, is_rain=is_rain, in_tenths=in_tenths) for cell in cells], dtype=np.float64)
