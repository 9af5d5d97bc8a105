"""Station files of the Global Historical Climatology Network (GHCN-Daily): fixed columns, and one row for each figure.

Form: the network's readme.txt, section III. Rain and temperatures are in tenths, wind in tenths of m/s; -9999 is none;
a quality flag that is not blank says which of the network's checks a figure failed.
"""

from __future__ import annotations

import csv
import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from gardenwater.files.asking import Choice, NeedsAnswer
from gardenwater.files.day_dates import made_day
from gardenwater.files.day_units import DayUnit, unit_called
from gardenwater.files.words import shown_name, unreadable
from gardenwater.weather import COLUMNS, DayRows, Unread

_ELEMENTS: Final = {
    "PRCP": ("rain_mm", "0.1 mm"),
    "TMIN": ("t_min_c", "0.1 C"),
    "TMAX": ("t_max_c", "0.1 C"),
    "AWND": ("wind_m_s", "tenths of m/s at 10 m"),
    "RHAV": ("humidity_mean_pct", "%"),
    "ADPT": ("dew_point_c", "0.1 C"),
}
_NONE: Final = -9999
_FIXED: Final = re.compile(r"[A-Z0-9_-]{11}\d{4}(0[1-9]|1[0-2])[A-Z0-9]{4}[ \d-]{5}")
_ROW: Final = re.compile(r"[A-Z0-9_-]{11},\d{8},[A-Z0-9]{4},")
_DAYS_AT, _DAY_WIDTH = 21, 8
_MEND: Final = "Take the station's file anew."


@dataclass(frozen=True, slots=True)
class _Figure:
    """One figure of a station: its line, day, column, value in the file's unit, and whether it is doubted."""

    line: int
    station: str
    day: dt.date
    column: str
    value: float
    flagged: bool


def is_fixed(text: str) -> bool:
    """Whether a text has the fixed columns of a station file (.dly)."""
    return _FIXED.match(text) is not None


def is_by_figure(text: str) -> bool:
    """Whether a text has a row for each figure: station, day, element, value, flags (by_station/*.csv)."""
    return _ROW.match(text) is not None


def rows_of_station(file: Path, text: str, station: str | None) -> DayRows:
    """The days in a station file.

    station: which, where there are several. Raises FileError that names the line, and NeedsAnswer for several stations.
    """
    unread: list[Unread] = []
    figures = list(_fixed(file, text, unread) if is_fixed(text) else _by_figure(file, text, unread))
    chosen = _one_station(file, figures, station)
    figures = [figure for figure in figures if figure.station == chosen]
    if not any(figure.column == "rain_mm" for figure in figures):
        raise unreadable(file, f"station {chosen} has no rain (PRCP)", "Choose another station.")
    days = sorted({figure.day for figure in figures})
    place = {day: number for number, day in enumerate(days)}
    line = np.zeros(len(days), dtype=np.int64)
    columns = {name: np.full(len(days), np.nan) for name in COLUMNS if any(f.column == name for f in figures)}
    flagged = {name: np.zeros(len(days), dtype=np.bool_) for name in columns}
    for figure in figures:
        at = place[figure.day]
        columns[figure.column][at] = figure.value
        flagged[figure.column][at] = figure.flagged
        if figure.column == "rain_mm" or not line[at]:
            line[at] = figure.line
    units = {column: unit for column, unit in _units().items() if column in columns}
    return DayRows(
        day=np.array(days, dtype="datetime64[D]"),
        line=line,
        columns={name: units[name].held(values) for name, values in columns.items()},
        flagged=flagged,
        unread=tuple(unread),
        source=f"{shown_name(file)}, GHCN-Daily station {chosen}",
    )


def _units() -> dict[str, DayUnit]:
    found = {column: unit_called(column, key) for column, key in _ELEMENTS.values()}
    return {column: unit for column, unit in found.items() if unit is not None}


def _one_station(file: Path, figures: list[_Figure], station: str | None) -> str:
    there = list(dict.fromkeys(figure.station for figure in figures))
    if not there:
        raise unreadable(file, "it has no rain and no temperatures", "Choose another station.")
    if station is None and len(there) > 1:
        raise NeedsAnswer(
            f'"{shown_name(file)}" has {len(there)} stations.',
            question="Which one?",
            choices=tuple(Choice(each, each) for each in there[:40]),
            keyword="station",
        )
    if station is not None and station not in there:
        raise unreadable(file, f"it has no station {station}", f"It has: {', '.join(there[:12])}.")
    return station or there[0]


def _fixed(file: Path, text: str, unread: list[Unread]) -> Iterator[_Figure]:
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        if not _FIXED.match(line):
            raise unreadable(file, f"line {number} is not of a station file (“{line[:30]}”)", _MEND)
        column, _ = _ELEMENTS.get(line[17:21], ("", ""))
        if not column:
            continue
        year, month = int(line[11:15]), int(line[15:17])
        for day in range(1, 32):
            cell = line[_DAYS_AT + _DAY_WIDTH * (day - 1) :][:_DAY_WIDTH].ljust(_DAY_WIDTH)
            there = made_day(year, month, day)
            if there is not None and cell[:5].strip():
                yield from _figure(number, line[:11], there, column, cell[:5], cell[6], unread)


def _by_figure(file: Path, text: str, unread: list[Unread]) -> Iterator[_Figure]:
    for number, cells in enumerate(csv.reader(text.splitlines()), 1):
        if not cells:
            continue
        if len(cells) < 4:
            raise unreadable(file, f"line {number} has {len(cells)} cells and not at least 4", _MEND)
        column, _ = _ELEMENTS.get(cells[2], ("", ""))
        if not column:
            continue
        there = (
            made_day(*(int(part) for part in (cells[1][:4], cells[1][4:6], cells[1][6:8])))
            if _is_day(cells[1])
            else None
        )
        if there is None:
            unread.append(Unread(number, None, "", cells[1]))
            continue
        yield from _figure(number, cells[0], there, column, cells[3], cells[5] if len(cells) > 5 else "", unread)


def _is_day(words: str) -> bool:
    return len(words) == 8 and words.isdigit()


def _figure(
    line: int, station: str, day: dt.date, column: str, words: str, flag: str, unread: list[Unread]
) -> Iterator[_Figure]:
    try:
        value = int(words)
    except ValueError:
        unread.append(Unread(line, day, column, words.strip()))
        return
    if value != _NONE:
        yield _Figure(line, station, day, column, float(value), bool(flag.strip()))
