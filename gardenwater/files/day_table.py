"""A table of days in text: what parts its columns, where its headings stand, which column holds the day."""

from __future__ import annotations

import csv
import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from gardenwater.files.day_columns import DATE_PARTS, DAY, MONTH, MONTH_DAY, YEAR, YEAR_DAY, heading_name, role_of
from gardenwater.files.day_dates import DayOrder, day_of, looks_like_day, made_day
from gardenwater.files.words import unreadable

_MARKS: Final = (";", "\t", ",", "|", "")
"""What may part columns; empty: spaces."""
_LOOKED_AT: Final = 200
_MOST_COLUMNS: Final = 200
_NUMBER: Final = re.compile(r"\d{1,4}")
_MEND: Final = "Give a table with a row for each day: its date, its rain, its temperatures."


@dataclass(frozen=True, slots=True)
class DayTable:
    """A table of days as it stands in a file.

    headings: as they are written, one for each column; "column 3" where there are none. rows: line in the file and
    cells. day_at: the columns that the day is read from, by their part of the date. mark: what parts the columns.
    head_line: the line of the headings, 0 for none.
    """

    file: Path
    headings: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    day_at: dict[str, int]
    mark: str
    head_line: int

    def cells_of(self, at: int) -> list[str]:
        """The cells of one column; empty where a row is too short."""
        return [cells[at] if at < len(cells) else "" for _, cells in self.rows]

    def days(self, order: DayOrder) -> list[dt.date | None]:
        """The day of each row, None where none can be read."""
        if DAY in self.day_at:
            return [day_of(cell, order) for cell in self.cells_of(self.day_at[DAY])]
        return [_of_parts(self.day_at, cells) for _, cells in self.rows]


def _of_parts(day_at: dict[str, int], cells: Sequence[str]) -> dt.date | None:
    try:
        part = {name: int(float(cells[at])) for name, at in day_at.items()}
    except (ValueError, IndexError, OverflowError):
        return None
    if YEAR_DAY in part:
        start = made_day(part[YEAR], 1, 1)
        there = start is not None and 1 <= part[YEAR_DAY] <= 366
        found = start + dt.timedelta(days=part[YEAR_DAY] - 1) if start is not None and there else None
        return found if found is not None and found.year == part[YEAR] else None
    return made_day(part[YEAR], part[MONTH], part[MONTH_DAY])


def table_of(file: Path, text: str) -> DayTable:
    """The table of days in a text. Raises FileError for a text in which most lines have no day."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not lines:
        raise unreadable(file, "it is empty", _MEND)
    head, tail = lines[:_LOOKED_AT], lines[-_LOOKED_AT:]
    best = max(_MARKS, key=lambda mark: _lines_with_day(head, tail, mark))
    rows = [(number, cells_of_line(line, best)) for number, line in lines]
    first = _first_row(rows)
    if first is None:
        raise unreadable(file, f"no line of it starts with a day (line {lines[0][0]}: “{lines[0][1][:40]}”)", _MEND)
    headings, head_line, day_at = _headings(rows, first)
    width = max(len(cells) for _, cells in rows[first:])
    named = [*headings, *(f"column {number}" for number in range(len(headings) + 1, width + 1))][:_MOST_COLUMNS]
    held = tuple((number, tuple(cells)) for number, cells in rows[first:])
    return DayTable(file, tuple(named), held, day_at, best, head_line)


def cells_of_line(line: str, mark: str) -> list[str]:
    """The cells of one line; `mark` parts them, spaces where it is empty."""
    if not mark:
        return line.split()
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=mark))]
    except (csv.Error, StopIteration):
        return [cell.strip() for cell in line.split(mark)]


def _lines_with_day(head: list[tuple[int, str]], tail: list[tuple[int, str]], mark: str) -> int:
    """How many of the last lines have a day and something beside it, when this parts the columns."""
    rows = [cells_of_line(line, mark) for _, line in tail]
    named = next((parts for _, line in head if (parts := _named_parts(cells_of_line(line, mark)))), {})
    by_name = sum(_of_parts(named, cells) is not None for cells in rows) if named else 0
    return max(by_name, sum(len(cells) > 1 and _has_day(cells) for cells in rows))


def _has_day(cells: Sequence[str]) -> bool:
    return _day_column(cells) is not None or _parts_of(cells) is not None


def _day_column(cells: Sequence[str]) -> int | None:
    """The column that is a day."""
    return next((at for at, cell in enumerate(cells[:12]) if len(cell) >= 6 and looks_like_day(cell)), None)


def _parts_of(cells: Sequence[str]) -> int | None:
    """The first of three columns that are a year, a month and a day of the month."""
    for at in range(min(len(cells) - 3, 8)):
        three = cells[at : at + 3]
        if len(three[0]) == 4 and all(_NUMBER.fullmatch(cell) for cell in three) and made_day(*map(int, three)):
            return at
    return None


def _first_row(rows: list[tuple[int, list[str]]]) -> int | None:
    """The first row of figures: one with a day that is followed by others with one, or under headings that have one."""
    for place, (_, cells) in enumerate(rows):
        if _has_day(cells):
            return place
        if place + 1 < len(rows) and _named_parts(cells) and _is_of_parts(cells, rows[place + 1][1]):
            return place + 1
    return None


def _is_of_parts(headings: Sequence[str], cells: Sequence[str]) -> bool:
    return _of_parts(_named_parts(headings), cells) is not None


def _named_parts(headings: Sequence[str]) -> dict[str, int]:
    """The columns of the parts of a date that headings name; empty unless they make a day."""
    roles = [role_of(heading_name(heading)) for heading in headings]
    found = {part: roles.index(part) for part in DATE_PARTS if part in roles and part != DAY}
    whole = {YEAR, MONTH, MONTH_DAY} <= found.keys()
    if whole:
        found.pop(YEAR_DAY, None)
        return found
    return {part: found[part] for part in (YEAR, YEAR_DAY)} if {YEAR, YEAR_DAY} <= found.keys() else {}


def _headings(rows: list[tuple[int, list[str]]], first: int) -> tuple[list[str], int, dict[str, int]]:
    """The headings above the first row of figures, their line, and where the day stands."""
    cells = rows[first][1]
    names, line = _names_above(rows, first, len(cells))
    parts = _named_parts(names)
    if parts:
        return names, line, parts
    at = _day_column(cells)
    if at is not None:
        return names, line, {DAY: at}
    start = _parts_of(cells)
    assert start is not None
    return names, line, {YEAR: start, MONTH: start + 1, MONTH_DAY: start + 2}


def _names_above(rows: list[tuple[int, list[str]]], first: int, width: int) -> tuple[list[str], int]:
    """The nearest row above with about as many cells; a row of units between it and the figures is added to it."""
    above = [
        (number, [cell.lstrip("#").strip() for cell in cells])
        for number, cells in reversed(rows[max(0, first - 3) : first])
        if len(cells) > 1 and abs(len(cells) - width) <= max(1, width // 3)
    ]
    if not above:
        return [f"column {number}" for number in range(1, width + 1)], 0
    names = above[0][1]
    if len(above) > 1 and not _tells(names) and _tells(above[1][1]):
        units = names
        names = [f"{name} {unit}".strip() for name, unit in zip(above[1][1], units, strict=False)]
        return names, above[1][0]
    return names, above[0][0]


def _tells(names: Sequence[str]) -> bool:
    """Whether any heading says what its column is; "mm" may be a month and is likelier a unit."""
    return any(role_of(heading_name(name)) not in ("", MONTH) for name in names)
