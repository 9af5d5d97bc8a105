"""A record of days looked over: what is wrong with it, and the weather that is left when it is put right as chosen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.weather import checks
from gardenwater.weather.anomalies import CHOICES, Anomaly, Choices, Kind, Mend
from gardenwater.weather.laying import Laid, lay
from gardenwater.weather.model import Days, Weather
from gardenwater.weather.rows import DayRows
from gardenwater.weather.running import between
from gardenwater.weather.telling import notices_of

_INCH_MM = 25.4
_TEMPERATURES = ("t_min_c", "t_max_c")


@dataclass(frozen=True, slots=True, eq=False)
class LookedOver:
    """A record put right as chosen, and everything that was wrong with it, in the order in which it was dealt with."""

    weather: Weather
    anomalies: tuple[Anomaly, ...]

    def of(self, kind: Kind) -> tuple[Anomaly, ...]:
        """The anomalies of one kind."""
        return tuple(anomaly for anomaly in self.anomalies if anomaly.kind is kind)

    @property
    def kinds(self) -> tuple[Kind, ...]:
        """The kinds that there are, in the order of `Kind`."""
        return tuple(kind for kind in Kind if any(anomaly.kind is kind for anomaly in self.anomalies))


def look_over(rows: DayRows, choices: Choices | None = None) -> LookedOver:
    """Look a record over and put it right as chosen; nothing is filled that was not chosen to be.

    choices: what to do about each kind of anomaly; the first of its `CHOICES` unless given. Each check sees what those
    before it left, so that another choice may show other anomalies. Raises InputError for a choice that a kind does
    not have, and for rows without any rain.
    """
    chosen = _checked(choices or {})
    if "rain_mm" not in rows.columns:
        raise InputError("No rain is in it.", where="columns", mend="Say which column is the rain.")
    laid, noticed = lay(rows, chosen)
    unread = [
        Anomaly(Kind.UNREADABLE, each.column, each.day, each.day, line=each.line, words=each.words)
        for each in rows.unread
    ]
    found = [*unread, *noticed]
    for check in (_units, _flagged, _negative, _impossible, _unlikely, _crossed, _stuck, _unknown):
        found += list(check(laid, chosen))
    order = list(Kind)
    found.sort(key=lambda anomaly: order.index(anomaly.kind))
    weather = Weather(
        start=laid.start,
        rain_mm=laid.columns["rain_mm"],
        source=rows.source,
        notices=(*rows.notices, *notices_of(found, chosen)),
    )
    return LookedOver(weather.replaced(columns=laid.columns), tuple(found))


def _checked(choices: Choices) -> Choices:
    for kind, mend in choices.items():
        if mend not in CHOICES[kind]:
            offered = ", ".join(CHOICES[kind])
            raise InputError(f'"{mend}" is no mend for "{kind}".', where="choices", mend=f"Take one of: {offered}.")
    return {kind: choices.get(kind, offered[0]) for kind, offered in CHOICES.items()}


def _units(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    rain = laid.columns["rain_mm"]
    year_mm = checks.rain_of_a_year_mm(rain)
    for suspected, mend, factor in (
        (checks.looks_like_tenths(rain), Mend.TENTH, 0.1),
        (checks.looks_like_inches(rain), Mend.INCHES, _INCH_MM),
    ):
        if not suspected:
            continue
        yield Anomaly(Kind.UNITS, "rain_mm", laid.day(0), laid.day(laid.days - 1), year_mm, year_mm * factor, 0, mend)
    laid.columns["rain_mm"] = rain * {Mend.TENTH: 0.1, Mend.INCHES: _INCH_MM}.get(choices[Kind.UNITS], 1.0)


def _flagged(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    for name, flags in laid.flagged.items():
        places = np.flatnonzero(flags & ~np.isnan(laid.columns[name]))
        yield from [laid.about(Kind.FLAGGED, name, place) for place in places]
        if choices[Kind.FLAGGED] is Mend.DROP:
            laid.columns[name][places] = np.nan


def _negative(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    rain = laid.columns["rain_mm"]
    places = np.flatnonzero(rain < 0.0)
    yield from [laid.about(Kind.NEGATIVE, "rain_mm", place) for place in places]
    rain[places] = 0.0 if choices[Kind.NEGATIVE] is Mend.ZERO else np.nan


def _impossible(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    for name, values in laid.columns.items():
        places = checks.outside(values, name)
        yield from [laid.about(Kind.IMPOSSIBLE, name, place) for place in places]
        tenth = values[places] / 10.0
        least, most = checks.POSSIBLE[name]
        keep = choices[Kind.IMPOSSIBLE] is Mend.TENTH
        values[places] = np.where(keep & (tenth >= least) & (tenth <= most), tenth, np.nan)


def _unlikely(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    month = laid.month()
    rain = laid.columns["rain_mm"]
    yield from _dealt_with(laid, "rain_mm", checks.unlikely_rain(rain, month), Kind.UNLIKELY_RAIN, choices)
    for name in _TEMPERATURES:
        if name in laid.columns:
            places = checks.unlikely_temperature(laid.columns[name], month)
            yield from _dealt_with(laid, name, places, Kind.UNLIKELY_TEMPERATURE, choices)


def _dealt_with(laid: Laid, name: str, places: NDArray[np.int64], kind: Kind, choices: Choices) -> Iterator[Anomaly]:
    yield from [laid.about(kind, name, place) for place in places]
    if choices[kind] is Mend.DROP:
        laid.columns[name][places] = np.nan
    elif choices[kind] is Mend.TENTH:
        laid.columns[name][places] /= 10.0


def _crossed(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    if not all(name in laid.columns for name in _TEMPERATURES):
        return
    low, high = (laid.columns[name] for name in _TEMPERATURES)
    places = np.flatnonzero(low > high)
    yield from [laid.about(Kind.CROSSED, "t_min_c", place, float(high[place])) for place in places]
    swap = choices[Kind.CROSSED] is Mend.SWAP
    low[places], high[places] = (high[places], low[places]) if swap else (np.nan, np.nan)


def _stuck(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    for name in ("rain_mm", *_TEMPERATURES):
        if name not in laid.columns:
            continue
        values = laid.columns[name]
        for first, last in checks.streaks(values, nonzero=name == "rain_mm"):
            yield _run(laid, Kind.STUCK, name, first, last, float(values[first]))
            if choices[Kind.STUCK] is Mend.DROP:
                values[first : last + 1] = np.nan


def _run(laid: Laid, kind: Kind, name: str, first: int, last: int, value: float = float("nan")) -> Anomaly:
    return Anomaly(kind, name, laid.day(first), laid.day(last), value, line=int(laid.line[first]))


def _unknown(laid: Laid, choices: Choices) -> Iterator[Anomaly]:
    kinds = dict.fromkeys(_TEMPERATURES, Kind.TEMPERATURE_UNKNOWN) | {"rain_mm": Kind.RAIN_UNKNOWN}
    for name, values in laid.columns.items():
        kind = kinds.get(name)
        if kind is None or np.isnan(values).all():
            continue
        for first, last in _runs(np.isnan(values)):
            yield _run(laid, kind, name, first, last)
        laid.columns[name] = _filled(values, laid.month(), choices[kind])


def _runs(which: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last place of each run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], which, [False])).astype(np.int8)))
    return [(int(first), int(after) - 1) for first, after in zip(edges[::2], edges[1::2], strict=True)]


def _filled(values: Days, month: NDArray[np.int64], mend: Mend) -> Days:
    if mend is Mend.ZERO:
        return np.nan_to_num(values)
    if mend is Mend.BETWEEN:
        return between(values)
    if mend is Mend.MONTH_MEAN:
        filled = values.copy()
        for number in np.unique(month):
            of_month = month == number
            known = values[of_month & ~np.isnan(values)]
            if known.size:
                filled[of_month & np.isnan(values)] = known.mean()
        return filled
    return values
