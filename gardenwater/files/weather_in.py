"""Daily weather from files: tables with any headings and units, station files of GHCN-Daily."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.files.asking import Choice, NeedsAnswer
from gardenwater.files.day_columns import DAY, FLAGS, KNMI, KNMI_TRACE, STATION, heading_name, is_knmi, role_of
from gardenwater.files.day_dates import DayOrder, order_of
from gardenwater.files.day_figures import NOT_READ, figures_of_cells
from gardenwater.files.day_table import DayTable, table_of
from gardenwater.files.day_units import UNITS, DayUnit, guessed_unit, told_unit, unit_called
from gardenwater.files.ghcn import is_by_figure, is_fixed, rows_of_station
from gardenwater.files.gis import local_file
from gardenwater.files.text_in import text_of
from gardenwater.files.words import shown_name, unreadable
from gardenwater.site.climate import WeatherHandle
from gardenwater.weather import COLUMNS, Choices, DayRows, Unread, handle_of, look_over
from gardenwater.weather.model import Days
from gardenwater.weather.telling import COLUMN_WORDS

_MOST_UNREAD_SHARE = 0.2
_TOO_LARGE = "Take the years that are wanted out of it."
_SAMPLES = 3
_SEVERAL_A_DAY = 4


@dataclass(frozen=True, slots=True)
class ColumnSeen:
    """One column of a file: its heading, what it is taken for (one of `COLUMNS`, or empty), in which unit.

    sure: whether the unit is told by the heading or beyond doubt. samples: the first figures as they are written.
    """

    heading: str
    column: str
    unit: str
    sure: bool
    samples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DaysSeen:
    """What a file of weather is taken for, before it is read.

    form: in words. columns: all of its columns, those of no use included; none for a station file, whose form is
    fixed. day_heading: the column or columns of the day. day_order: None where it cannot be told.
    """

    form: str
    columns: tuple[ColumnSeen, ...]
    day_heading: str
    day_order: DayOrder | None
    rows: int

    @property
    def has_rain(self) -> bool:
        """Whether a column is taken for the rain."""
        return not self.columns or any(column.column == "rain_mm" for column in self.columns)


Taken = Mapping[str, str]
"""For columns of `COLUMNS`: the heading that each is taken from, or the key of its unit; an empty heading for none."""


def days_seen(path: Path | str, *, columns: Taken | None = None) -> DaysSeen:
    """What a file of daily weather is taken for: its columns, units and dates, with samples.

    columns: headings chosen for some of `COLUMNS`. Raises FileError when it is no table of days.
    """
    file = local_file(path)
    text = text_of(file, too_large=_TOO_LARGE)
    if _is_station(text):
        return DaysSeen("station file of GHCN-Daily", (), "", DayOrder.DAY_FIRST, 0)
    table = table_of(file, text)
    at = _columns_at(table, columns or {})
    of_column = {place: column for column, place in at.items()}
    seen = []
    for place, heading in enumerate(table.headings):
        column = of_column.get(place, "")
        cells = table.cells_of(place)
        unit, sure = _unit(table, column, place, cells, {}) if column else (None, True)
        samples = tuple(cell for cell in cells[: _SAMPLES * 4] if cell)[:_SAMPLES]
        seen.append(ColumnSeen(heading, column, unit.key if unit else "", sure, samples))
    days = ", ".join(table.headings[place] for place in table.day_at.values())
    form = "table of the Dutch weather office" if _is_knmi(table) else "table"
    return DaysSeen(form, tuple(seen), days, _order(table), len(table.rows))


def read_days(
    path: Path | str,
    *,
    day_order: DayOrder | str | None = None,
    columns: Taken | None = None,
    units: Taken | None = None,
    rain_column: str | None = None,
    rain_unit: str | None = None,
    station: str | None = None,
) -> DayRows:
    """The rows of a file of daily weather, in SI units, nothing put right yet; what cannot be read is listed in it.

    A table may have any headings, units (told in the headings or by `units`), any usual form of date, comma, semicolon,
    tab or spaces between columns, decimal commas, lines above its headings. Station files of GHCN-Daily are known by
    their form; figures that failed the network's checks are marked.

    columns, units: for some of `COLUMNS`, the heading to take (empty: none) and the unit's key (`day_units.UNITS`).
    rain_column, rain_unit: the same for the rain alone. Raises FileError that names the line, and NeedsAnswer with one
    of `day_order`, `rain_column`, `rain_unit`, `station` as its keyword where the file leaves that open.
    """
    file = local_file(path)
    text = text_of(file, too_large=_TOO_LARGE)
    if _is_station(text):
        return rows_of_station(file, text, station)
    table = table_of(file, text)
    chosen = dict(columns or {}) | ({"rain_mm": rain_column} if rain_column is not None else {})
    of_unit = dict(units or {}) | ({"rain_mm": rain_unit} if rain_unit is not None else {})
    table = _of_station(table, station)
    at = _columns_at(table, chosen)
    if "rain_mm" not in at:
        raise _no_rain(table)
    order = _told_order(table, day_order)
    return _rows(table, at, of_unit, order)


def import_weather(path: Path | str, *, choices: Choices | None = None, **answers: object) -> WeatherHandle:
    """A file of daily weather as a site holds it, put right as chosen.

    choices: what to do about each kind of anomaly (`weather.CHOICES`); nothing is filled that was not chosen to be.
    answers: the keywords of `read_days`. Raises as that, and InputError for a choice that a kind does not have.
    """
    rows = read_days(path, **answers)  # type: ignore[arg-type]  # the keywords of read_days, checked there
    return handle_of(look_over(rows, choices).weather)


def _is_station(text: str) -> bool:
    return is_fixed(text) or is_by_figure(text)


def _is_knmi(table: DayTable) -> bool:
    return is_knmi([heading_name(heading) for heading in table.headings])


def _columns_at(table: DayTable, chosen: Taken) -> dict[str, int]:
    """Where each column of weather stands; the first that its heading fits unless one was chosen."""
    names = [heading_name(heading) for heading in table.headings]
    roles = [KNMI.get(name, ("",))[0] for name in names] if is_knmi(names) else [role_of(name) for name in names]
    used = set(table.day_at.values())
    found: dict[str, int] = {}
    for place, role in enumerate(roles):
        if role in COLUMNS and place not in used and role not in chosen:
            found.setdefault(role, place)
    for column, heading in chosen.items():
        if column not in COLUMNS:
            raise InputError(f'There is no figure "{column}".', where="columns", mend=f"Take of: {', '.join(COLUMNS)}.")
        if not heading:
            continue
        if heading not in table.headings:
            mend = f"Its columns are: {', '.join(table.headings[:12])}."
            raise unreadable(table.file, f'it has no column "{heading}"', mend)
        found[column] = table.headings.index(heading)
    return {column: found[column] for column in COLUMNS if column in found}


def _unit(table: DayTable, column: str, place: int, cells: list[str], units: Taken) -> tuple[DayUnit, bool]:
    """The unit of a column, and whether it is sure: chosen, told by the heading, or guessed from its figures."""
    if column in units:
        unit = unit_called(column, units[column])
        if unit is None:
            known = ", ".join(each.key for each in UNITS[column])
            raise InputError(f'"{units[column]}" is no unit of {COLUMN_WORDS[column]}.', mend=f"Give one of: {known}.")
        return unit, True
    name = heading_name(table.headings[place])
    told = unit_called(column, KNMI[name][1]) if _is_knmi(table) and name in KNMI else told_unit(column, name)
    if told is not None:
        return told, True
    figures = figures_of_cells(cells, is_rain=column == "rain_mm")
    return guessed_unit(column, np.where(np.isinf(figures), np.nan, figures))


def _order(table: DayTable) -> DayOrder | None:
    return order_of(table.cells_of(table.day_at[DAY])) if DAY in table.day_at else DayOrder.DAY_FIRST


def _told_order(table: DayTable, given: DayOrder | str | None) -> DayOrder:
    if given is not None:
        try:
            return DayOrder(given)
        except ValueError:
            known = " or ".join(DayOrder)
            raise InputError(
                f'"{given}" is no order of day and month.', where="day_order", mend=f"Give {known}."
            ) from None
    order = _order(table)
    if order is None:
        sample = next(iter(table.cells_of(table.day_at[DAY])), "")
        raise NeedsAnswer(
            f'"{shown_name(table.file)}" has days like {sample}.',
            question="Does the day or the month stand first?",
            choices=tuple(Choice(each.value, each.words) for each in DayOrder),
            keyword="day_order",
        )
    return order


def _no_rain(table: DayTable) -> NeedsAnswer:
    free = [heading for place, heading in enumerate(table.headings) if place not in table.day_at.values()]
    return NeedsAnswer(
        f'"{shown_name(table.file)}" has no column that is surely the rain.',
        question="Which column is the rain?",
        choices=tuple(Choice(heading, heading) for heading in free[:40]),
        keyword="rain_column",
    )


def _of_station(table: DayTable, station: str | None) -> DayTable:
    """The rows of one station, where a column says whose they are."""
    places = [at for at, heading in enumerate(table.headings) if role_of(heading_name(heading)) == STATION]
    if not places:
        return table
    cells = table.cells_of(places[0])
    there = list(dict.fromkeys(cell for cell in cells if cell))
    if station is None and len(there) > 1:
        raise NeedsAnswer(
            f'"{shown_name(table.file)}" has {len(there)} stations.',
            question="Which one?",
            choices=tuple(Choice(each, each) for each in there[:40]),
            keyword="station",
        )
    if station is None or len(there) < 2:
        return table
    if station not in there:
        raise unreadable(table.file, f"it has no station {station}", f"It has: {', '.join(there[:12])}.")
    kept = tuple(row for row, cell in zip(table.rows, cells, strict=True) if cell == station)
    return DayTable(table.file, table.headings, kept, table.day_at, table.mark, table.head_line)


def _rows(table: DayTable, at: Mapping[str, int], units: Taken, order: DayOrder) -> DayRows:
    days = table.days(order)
    lost = [row for read, row in zip(days, table.rows, strict=True) if read is None]
    if len(lost) > _MOST_UNREAD_SHARE * len(days):
        line, cells = lost[0]
        raise unreadable(table.file, f"line {line} has no day that can be read (“{' '.join(cells)[:40]}”)", _DAYS_MEND)
    kept = np.array([place for place, read in enumerate(days) if read is not None], dtype=np.int64)
    day = np.array([days[place] for place in kept], dtype="datetime64[D]")
    _refuse_hours(table, day)
    lines = np.array([table.rows[place][0] for place in kept], dtype=np.int64)
    unread = [Unread(line, None, "", " ".join(cells)[:60]) for line, cells in lost]
    columns: dict[str, Days] = {}
    notices: list[str] = []
    for column, place in at.items():
        cells_of = table.cells_of(place)
        unit = _sure_unit(table, column, place, cells_of, units)
        figures = _figures(table, column, cells_of, unit)[kept]
        unread += [
            Unread(int(lines[row]), day[row].item(), column, cells_of[kept[row]])
            for row in np.flatnonzero(figures == NOT_READ)
        ]
        columns[column] = unit.held(np.where(figures == NOT_READ, np.nan, figures))
        notices.append(f"{COLUMN_WORDS[column].capitalize()} is from “{table.headings[place]}”, in {unit.words}.")
    flagged = {column: flags[kept] for column, flags in _flags(table, at).items()}
    return DayRows(day, lines, columns, flagged, tuple(unread), shown_name(table.file), tuple(notices))


def _figures(table: DayTable, column: str, cells: list[str], unit: DayUnit) -> Days:
    """The figures of a column in its unit; a trace of rain, which the Dutch office writes as -1, is 0."""
    is_rain = column == "rain_mm"
    figures = figures_of_cells(cells, is_rain=is_rain, in_tenths=unit.key == "0.1 C")
    if is_rain and _is_knmi(table):
        figures[figures == KNMI_TRACE] = 0.0
    return figures


_DAYS_MEND = "Give the days as 2024-05-31, or 31/05/2024 in all rows."


def _refuse_hours(table: DayTable, day: NDArray[np.datetime64]) -> None:
    """Hours are no days: a table of them is refused, not thinned."""
    if day.size > _SEVERAL_A_DAY * np.unique(day).size:
        raise unreadable(
            table.file, "it has several rows for each day", "Make a row of each day's sum, lowest and highest."
        )


def _sure_unit(table: DayTable, column: str, place: int, cells: list[str], units: Taken) -> DayUnit:
    """The unit of a column; a question where that of the rain is not beyond doubt."""
    unit, sure = _unit(table, column, place, cells, units)
    if column == "rain_mm" and not sure:
        raise _which_unit(table, column, place, unit)
    return unit


def _which_unit(table: DayTable, column: str, place: int, likely: DayUnit) -> NeedsAnswer:
    units = sorted(UNITS[column], key=lambda unit: unit is not likely)
    return NeedsAnswer(
        f'"{shown_name(table.file)}" does not say what its rain (“{table.headings[place]}”) is in.',
        question=f"What is it in? Likely {likely.words}.",
        choices=tuple(Choice(unit.key, unit.words) for unit in units),
        keyword="rain_unit",
    )


def _flags(table: DayTable, at: Mapping[str, int]) -> dict[str, NDArray[np.bool_]]:
    """Figures that the station doubts, where a column of attributes stands beside them: "measure,quality,source"."""
    names = [heading_name(heading) for heading in table.headings]
    found: dict[str, NDArray[np.bool_]] = {}
    for column, place in at.items():
        beside = f"{names[place]}_attributes"
        if beside in names and role_of(beside) == FLAGS:
            cells = table.cells_of(names.index(beside))
            found[column] = np.array(
                [len(parts) > 1 and bool(parts[1].strip()) for parts in (c.split(",") for c in cells)]
            )
    return found
