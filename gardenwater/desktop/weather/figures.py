"""Twelve months of figures as they are typed: words of cells made figures, and figures words of cells."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from gardenwater.errors import InputError
from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.site.climate import MONTHS, MonthlyColumn
from gardenwater.units import Quantity, UnitSystem, decimals, exact_text, parse
from gardenwater.units.shown import MINUS

Cells = list[list[str]]
"""Words of twelve rows, January first, one for each column."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What a page of cells gives: twelve figures for each column that is filled, or what is wrong and where.

    empty: nothing is typed at all. at: row and column of the cell that is wrong, from 0.
    """

    figures: dict[str, tuple[float, ...]]
    empty: bool = False
    wrong: str = ""
    at: tuple[int, int] | None = None


def typed(
    cells: Cells,
    columns: Sequence[MonthlyColumn],
    optional: frozenset[str],
    units: UnitSystem,
    given: object | None = None,
) -> Typed:
    """The figures in the cells. A column is filled wholly or not at all, and may be empty only when it is optional.

    given: the figures that the cells were filled from. A cell that still says what it was filled with is that figure,
    which may be finer than its words.
    """
    filled = cells_of(given, columns, units)
    if not any(words.strip() for row in cells for words in row):
        return Typed({}, empty=True)
    figures: dict[str, tuple[float, ...]] = {}
    for place, column in enumerate(columns):
        words = [row[place].strip() for row in cells]
        if column.name in optional and not any(words):
            continue
        values: list[float] = []
        for row, each in enumerate(words):
            if given is not None and each and each == filled[row][place]:
                values.append(getattr(given, column.name)[row])
                continue
            value, wrong = _figure(each, column, units)
            if wrong:
                return Typed({}, wrong=f"{column.label}, {MONTH_NAMES[row]}: {wrong}", at=(row, place))
            values.append(value)
        figures[column.name] = tuple(values)
    return Typed(figures)


def _figure(words: str, column: MonthlyColumn, units: UnitSystem) -> tuple[float, str]:
    if not words:
        return 0.0, "nothing is typed. Fill all twelve."
    try:
        return parse(words, column.quantity, units), ""
    except InputError as error:
        return 0.0, f"{error.what} {error.mend}".strip()


def cells_of(
    figures: object | None, columns: Sequence[MonthlyColumn], units: UnitSystem, *, usual: Sequence[str] = ()
) -> Cells:
    """The words of figures; `usual` where there are none."""
    told: list[list[str]] = []
    for place, column in enumerate(columns):
        values = None if figures is None else getattr(figures, column.name)
        words = [usual[place] if usual else ""] * MONTHS
        if values is not None:
            words = [_shown(value, column, units) for value in values]
        told.append(_even(words))
    return [list(row) for row in zip(*told, strict=True)]


def _shown(value: float, column: MonthlyColumn, units: UnitSystem) -> str:
    """A figure to the place that weather offices print: rain as it is shown when it is little, the rest to a tenth."""
    places = 2 if column.quantity is Quantity.NUMBER else max(1, decimals(column.quantity, units))
    words = exact_text(value, column.quantity, units, unit=False).replace(MINUS, "-")
    rounded = f"{round(Decimal(words), places).normalize():f}"
    return rounded.replace("-", MINUS) if rounded != "-0" else "0"


def _even(column: list[str]) -> list[str]:
    """Figures with as many places after the point as the finest of them."""
    places = max(len(words.partition(".")[2]) for words in column)
    return [_padded(words, places) if words else "" for words in column]


def _padded(words: str, places: int) -> str:
    whole, _, part = words.partition(".")
    return f"{whole}.{part:0<{places}}" if places else whole


def pasted(text: str) -> Cells:
    """The cells of a text from a spreadsheet; twelve cells in one row are a column."""
    rows = [re.split(r"\t", line) for line in text.rstrip("\n").splitlines()]
    if len(rows) == 1 and len(rows[0]) == MONTHS:
        return [[words] for words in rows[0]]
    if len(rows) == 1 and len(rows[0]) == 1:
        parts = re.split(r"[;\s]+", rows[0][0].strip())
        return [[words] for words in parts] if len(parts) == MONTHS else rows
    return rows
