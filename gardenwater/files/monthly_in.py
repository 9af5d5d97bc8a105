"""Twelve monthly figures from a table."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

import numpy as np

from gardenwater.files.day_columns import heading_name, role_of
from gardenwater.files.day_figures import NOT_READ, figures_of_cells
from gardenwater.files.day_table import cells_of_line
from gardenwater.files.day_units import UNITS, told_unit
from gardenwater.files.gis import local_file
from gardenwater.files.text_in import text_of
from gardenwater.files.words import shown_name, unreadable
from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.site.climate import MONTHS, Monthly, monthly_faults
from gardenwater.weather.model import Days

_WET_DAYS: Final = frozenset({"wet_days", "rain_days", "days_of_rain", "rainy_days", "days_with_rain", "wet_days_mean"})
_COLUMNS: Final = ("rain_mm", "t_min_c", "t_max_c")
_MEND: Final = (
    "Give twelve rows, January first, under headings like: month, rain_mm, wet_days, t_min_c, t_max_c (units in the"
    " headings)."
)


def read_monthly(path: Path | str) -> Monthly:
    """Twelve monthly figures from a table (CSV): a row for each month, January first, units told by the headings.

    Headings are known as those of daily tables are (`files.read_days`); wet days may be missing. Raises FileError that
    names the column, and the line where a figure cannot be read or taken.
    """
    file = local_file(path)
    lines = [(n, line) for n, line in enumerate(text_of(file, too_large=_MEND).splitlines(), 1) if line.strip()]
    mark = max((";", "\t", ","), key=lines[0][1].count) if lines else ","
    rows = [(number, cells_of_line(line, mark)) for number, line in lines if not line.startswith("#")]
    if len(rows) != MONTHS + 1:
        raise unreadable(file, f"it has {max(len(rows) - 1, 0)} rows under its headings and not twelve", _MEND)
    names = [heading_name(cell) for cell in rows[0][1]]
    figures: dict[str, Sequence[float]] = {}
    for column in _COLUMNS:
        place = next((at for at, name in enumerate(names) if role_of(name) == column), None)
        if place is None:
            raise unreadable(file, f"no heading of it is that of {_CALLED[column]}", _MEND)
        unit = told_unit(column, names[place]) or UNITS[column][0]
        figures[column] = unit.held(_column(file, rows[1:], place, rows[0][1][place])).tolist()
    days = next((at for at, name in enumerate(names) if name in _WET_DAYS), None)
    wet = None if days is None else _column(file, rows[1:], days, rows[0][1][days]).tolist()
    made = Monthly(figures["rain_mm"], wet, figures["t_min_c"], figures["t_max_c"], shown_name(file))
    for fault in monthly_faults(made):
        raise unreadable(file, f"{fault.label}: {fault.what.rstrip('.')}", fault.mend)
    return made


_CALLED: Final = {
    "rain_mm": "the rain",
    "t_min_c": "the lowest temperature",
    "t_max_c": "the highest temperature",
}


def _column(file: Path, rows: list[tuple[int, list[str]]], place: int, heading: str) -> Days:
    """The twelve figures of a column, float64 (12,)."""
    cells = [cells[place] if place < len(cells) else "" for _, cells in rows]
    values = figures_of_cells(cells, is_rain=False)
    for month, (number, value) in enumerate(zip((number for number, _ in rows), values, strict=True)):
        if np.isnan(value) or value == NOT_READ:
            why = f'line {number}, "{heading}": nothing can be read for {MONTH_NAMES[month]}'
            raise unreadable(file, why, "Give a number.")
    return values
