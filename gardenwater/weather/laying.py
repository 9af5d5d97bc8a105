"""Rows of a file laid out day by day: put in order, doubled days made one, strays set aside."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.weather.anomalies import NAN, Anomaly, Choices, Kind, Mend
from gardenwater.weather.model import Days
from gardenwater.weather.rows import DayRows

_STRAY_GAP_DAYS = 3653
_STRAY_MOST_DAYS = 31
_MOST_DAYS = 150_000  # four hundred years
Places = NDArray[np.int64]


@dataclass(slots=True, eq=False)
class Laid:
    """One place a day from `start` on, being put right.

    columns: float64 (days,), NaN = not known. line: int64 (days,), 0 where the file has no row for the day.
    """

    start: dt.date
    columns: dict[str, Days]
    flagged: dict[str, NDArray[np.bool_]]
    line: NDArray[np.int64]

    @property
    def days(self) -> int:
        """How many days."""
        return int(self.line.size)

    def day(self, place: int | np.integer[Any]) -> dt.date:
        """The day at a place."""
        return self.start + dt.timedelta(days=int(place))

    def month(self) -> NDArray[np.int64]:
        """The month of each day, 1 to 12."""
        dates = np.datetime64(self.start, "D") + np.arange(self.days)
        months: NDArray[np.int64] = dates.astype("datetime64[M]").astype(np.int64) % 12 + 1
        return months

    def about(self, kind: Kind, column: str, place: int | np.integer[Any], other: float = NAN) -> Anomaly:
        """An anomaly of one figure."""
        day = self.day(place)
        value = float(self.columns[column][place]) if column else NAN
        return Anomaly(kind, column, day, day, value, other, int(self.line[place]))


def lay(rows: DayRows, choices: Choices) -> tuple[Laid, list[Anomaly]]:
    """The rows day by day, and what was noticed on the way: days out of order, twice, or far from all others.

    Raises InputError where the days span more than four hundred years.
    """
    noticed = _out_of_order(rows)
    order = np.argsort(rows.day, kind="stable")
    kept, strays = _without_strays(rows, order)
    noticed += strays
    first, last = rows.day[kept[0]], rows.day[kept[-1]]
    days = int((last - first).astype(np.int64)) + 1
    if days > _MOST_DAYS:
        raise InputError(
            f"Its days run from {first} to {last}.", where=f"line {rows.line[kept[-1]]}", mend="Mend the year of one."
        )
    chosen, doubles = _once_each(rows, kept, choices.get(Kind.TWICE, Mend.DROP))
    at = (rows.day[chosen] - first).astype(np.int64)
    laid = Laid(
        first.astype(dt.date),
        {name: _spread(values[chosen], at, days) for name, values in rows.columns.items()},
        {name: _spread_flags(flags[chosen], at, days) for name, flags in rows.flagged.items()},
        np.zeros(days, dtype=np.int64),
    )
    laid.line[at] = rows.line[chosen]
    _settle_doubles(laid, rows, doubles, choices.get(Kind.TWICE, Mend.DROP))
    return laid, noticed + [anomaly for anomaly, _ in doubles]


def _spread(values: Days, at: Places, days: int) -> Days:
    spread = np.full(days, np.nan)
    spread[at] = values
    return spread


def _spread_flags(flags: NDArray[np.bool_], at: Places, days: int) -> NDArray[np.bool_]:
    spread = np.zeros(days, dtype=np.bool_)
    spread[at] = flags
    return spread


def _out_of_order(rows: DayRows) -> list[Anomaly]:
    """Rows whose day is before that of the row above; none where the whole file runs backwards."""
    steps = np.diff(rows.day).astype(np.int64)
    if rows.day.size > 1 and bool((steps <= 0).all()):
        return []
    return [
        Anomaly(Kind.ORDER, "", day, day, line=int(rows.line[place]))
        for place in np.flatnonzero(steps < 0) + 1
        for day in (rows.day[place].astype(dt.date),)
    ]


def _without_strays(rows: DayRows, order: Places) -> tuple[Places, list[Anomaly]]:
    """The rows in order without those that stand ten years from all others, few of them: a year typed wrong."""
    gaps = np.flatnonzero(np.diff(rows.day[order]).astype(np.int64) > _STRAY_GAP_DAYS) + 1
    groups = np.split(order, gaps)
    largest = max(groups, key=len)
    kept = [group for group in groups if group is largest or len(group) > _STRAY_MOST_DAYS]
    strays = [
        Anomaly(Kind.STRAY, "", day, day, line=int(rows.line[row]))
        for group in groups
        if not any(group is each for each in kept)
        for row in group
        for day in (rows.day[row].astype(dt.date),)
    ]
    return np.concatenate(kept), strays


Double = tuple[Anomaly, Places]


def _once_each(rows: DayRows, order: Places, mend: Mend) -> tuple[Places, list[Double]]:
    """One row for each day, the first of it or the last, and the days whose rows differ with all their rows."""
    days = rows.day[order]
    starts = np.flatnonzero(np.concatenate(([True], days[1:] != days[:-1])))
    groups = np.split(order, starts[1:])
    doubles = [_double(rows, group) for group in groups if len(group) > 1 and _differ(rows, group)]
    place = -1 if mend is Mend.LAST else 0
    return np.array([group[place] for group in groups], dtype=np.int64), doubles


def _differ(rows: DayRows, group: Places) -> bool:
    return any(
        not np.array_equal(values[group], np.full(len(group), values[group[0]]), equal_nan=True)
        for values in rows.columns.values()
    )


def _double(rows: DayRows, group: Places) -> Double:
    """A day with rows that differ, by the first figure in which they do."""
    name = next(
        name
        for name, values in rows.columns.items()
        if not np.array_equal(values[group], np.full(len(group), values[group[0]]), equal_nan=True)
    )
    values = rows.columns[name][group]
    other = next(value for value in values[1:] if value != values[0] or np.isnan(values[0]))
    day = rows.day[group[0]].astype(dt.date)
    return Anomaly(Kind.TWICE, name, day, day, float(values[0]), float(other), int(rows.line[group[1]])), group


def _settle_doubles(laid: Laid, rows: DayRows, doubles: list[Double], mend: Mend) -> None:
    """Days with rows that differ: their mean, or not known."""
    if mend not in (Mend.MEAN, Mend.DROP):
        return
    for anomaly, group in doubles:
        assert anomaly.first is not None
        place = (anomaly.first - laid.start).days
        for name, values in rows.columns.items():
            known = values[group][~np.isnan(values[group])]
            agreed = known.size > 0 and bool((known == known[0]).all())
            settled = mend is Mend.MEAN and known.size > 0
            laid.columns[name][place] = known.mean() if settled or agreed else np.nan
