"""The record of days inside a site file: a plain table with a row for each day."""

from __future__ import annotations

import datetime as dt
import math
import sqlite3
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import FileError
from gardenwater.files.tables import WEATHER, Record
from gardenwater.weather import COLUMNS, Weather

_MEND = "Put the days back, or take an older copy of the file."


def rows_of_weather(weather: Weather) -> Iterator[Record]:
    """One row a day, figures that are not known empty."""
    figures = figures_of(weather).T.tolist()
    for number, row in enumerate(figures):
        day = (weather.start + dt.timedelta(days=number)).isoformat()
        known = [None if math.isnan(value) else value for value in row[:-1]]
        yield {"day": day, **dict(zip(COLUMNS, known, strict=True)), "left_out": int(row[-1])}


def figures_of(weather: Weather) -> NDArray[np.float64]:
    """All figures of a record as one array, float64 (columns and whether left out, days), NaN = not known."""
    return np.vstack([*(getattr(weather, name) for name in COLUMNS), weather.left_out.astype(np.float64)])


def weather_of_figures(figures: NDArray[np.float64], record: Record) -> Weather:
    """The record of an array of `figures_of`; `record` is its row in the table of records."""
    return Weather(
        start=_day(str(record["start"])),
        made=bool(record["made"]),
        source=str(record["source"]),
        left_out=figures[-1] > 0.0,
        **dict(zip(COLUMNS, figures[:-1], strict=True)),
    )


def _day(words: str) -> dt.date:
    try:
        return dt.date.fromisoformat(words)
    except ValueError:
        raise FileError(f'Table "{WEATHER.name}": "{words}" is no day.', mend="Give it as 2024-05-31.") from None


def read_weather_of(connection: sqlite3.Connection, record: Record) -> Weather:
    """The record of days in a site file; FileError that names the day for rows that do not follow each other."""
    names = ", ".join(("day", *COLUMNS, "left_out"))
    rows = connection.execute(f"SELECT {names} FROM {WEATHER.name} ORDER BY day").fetchall()  # noqa: S608 - our own names
    if not rows:
        raise FileError(f'Table "{WEATHER.name}" has no days.', mend=_MEND)
    start = _day(str(rows[0][0]))
    for number, row in enumerate(rows):
        expected = start + dt.timedelta(days=number)
        if row[0] != expected.isoformat():
            raise FileError(f'Table "{WEATHER.name}": the day {expected} is not there.', mend=_MEND)
    figures = np.array([_figures(row) for row in rows], dtype=np.float64).T
    return weather_of_figures(figures, {**record, "start": start.isoformat()})


def _figures(row: tuple[Any, ...]) -> list[float]:
    numbers = [np.nan if value is None else value for value in row[1:]]
    if not all(isinstance(value, int | float) for value in numbers):
        raise FileError(
            f'Table "{WEATHER.name}", {row[0]}: a figure is not a number.', mend="Give a number, or empty it."
        )
    return numbers
