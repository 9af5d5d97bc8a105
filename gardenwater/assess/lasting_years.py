"""The years of a run: which are whole, how dry each is, and which of them are looked at by name."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.weather import Weather

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class YearSpan:
    """One year of a weather: its days, its rain and reference evapotranspiration, mm, and how dry its warm half is.

    dryness_mm: reference evapotranspiration less rain, April to September in the north, October to March in the south.
    whole: every day is there, and none only stands in for one that is not known.
    """

    year: int
    first: dt.date
    last: dt.date
    rain_mm: float
    et0_mm: float
    dryness_mm: float
    whole: bool


def year_spans(weather: Weather, et0_mm: Floats, *, south: bool) -> tuple[YearSpan, ...]:
    """The years that the days fall into: calendar years, or from July to June in the south; those cut off as well."""
    begins = 7 if south else 1
    dates = weather.dates()
    months = weather.months()
    years = dates.astype("datetime64[Y]").astype(np.int64) + 1970 - (months < begins)
    warm = np.isin(months, (10, 11, 12, 1, 2, 3) if south else (4, 5, 6, 7, 8, 9))
    lack = np.where(warm, et0_mm - weather.rain_mm, 0.0)
    found = []
    for year in np.unique(years).tolist():
        at = np.flatnonzero(years == year)
        found.append(
            YearSpan(
                year=year,
                first=weather.start + dt.timedelta(days=int(at[0])),
                last=weather.start + dt.timedelta(days=int(at[-1])),
                rain_mm=float(weather.rain_mm[at].sum()),
                et0_mm=float(et0_mm[at].sum()),
                dryness_mm=float(lack[at].sum()),
                whole=at.size >= _days_in(year, begins) and not weather.left_out[at].any(),
            )
        )
    return tuple(found)


def _days_in(year: int, begins: int) -> int:
    return (dt.date(year + 1, begins, 1) - dt.date(year, begins, 1)).days if year < dt.MAXYEAR else 365


def whole_years(spans: Sequence[YearSpan]) -> tuple[YearSpan, ...]:
    """The whole years; all there is where none is whole."""
    return tuple(span for span in spans if span.whole) or tuple(spans)


def driest(spans: Sequence[YearSpan]) -> YearSpan:
    """The year whose warm half is driest; the earliest of equals."""
    return max(spans, key=lambda span: span.dryness_mm)


def middle(spans: Sequence[YearSpan]) -> YearSpan:
    """The year in the middle by how dry they are; the wetter of the two middle ones."""
    return sorted(spans, key=lambda span: span.dryness_mm)[(len(spans) - 1) // 2]


def rows_of(spans: Sequence[YearSpan], weather: Weather) -> NDArray[np.int64]:
    """For each day the place of its year among all spans, int64 (days,)."""
    rows = np.zeros(weather.days, dtype=np.int64)
    for row, span in enumerate(spans):
        rows[weather.index(span.first) : weather.index(span.last) + 1] = row
    return rows
