"""A look at a run of weather: its years and months, its wet and dry spells, its driest run of months."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gardenwater.site.climate import MONTH_DAYS, MONTHS, Monthly
from gardenwater.weather.model import Days, Weather

WET_DAY_MM: Final = 1.0
"""Rain from which a day counts as wet, and below which as dry: the CWD and CDD indices of the WMO's expert team on
climate change detection (ETCCDI)."""
RUN_MONTHS: Final = (3, 12)
"""How long the driest runs of months are: a season, and a year that may begin in any month."""


@dataclass(frozen=True, slots=True)
class Spell:
    """A run of wet or of dry days: first and last day, how many, and what fell, mm."""

    first: dt.date
    last: dt.date
    days: int
    rain_mm: float


@dataclass(frozen=True, slots=True)
class MonthRun:
    """Some months in a row: how many, their first and last day, what fell, and what falls in them in the mean, mm."""

    months: int
    first: dt.date
    last: dt.date
    rain_mm: float
    usual_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class WeatherLook:
    """What a run of weather is like.

    rain_year_mm: float64 (years,), of the calendar years in `years`, whole ones. driest, middle, wettest: of these
    years, by their rain; middle is the one in the middle, the drier of two; None where no year is whole. monthly: means
    of all days known; figures NaN for a month with none. dry_spell, wet_spell: the longest, broken by days that are not
    known; None where there is none. driest_runs: the driest months in a row, for each of `RUN_MONTHS` that the record
    is long enough for.
    """

    years: tuple[int, ...]
    rain_year_mm: Days
    driest: int | None
    middle: int | None
    wettest: int | None
    monthly: Monthly
    dry_spell: Spell | None
    wet_spell: Spell | None
    driest_runs: tuple[MonthRun, ...]


def look(weather: Weather) -> WeatherLook:
    """A look at a run of weather; figures that are not known, or only stand in, count for nothing."""
    rain = np.where(weather.left_out, np.nan, weather.rain_mm)
    years = weather.years
    totals = np.array([weather.year(year).rain_mm.sum() for year in years], dtype=np.float64)
    order = np.argsort(totals, kind="stable")
    ranked = [years[place] for place in order]
    return WeatherLook(
        years=years,
        rain_year_mm=totals,
        driest=ranked[0] if ranked else None,
        middle=ranked[(len(ranked) - 1) // 2] if ranked else None,
        wettest=ranked[-1] if ranked else None,
        monthly=monthly_of(weather),
        dry_spell=_longest(weather.start, rain, rain < WET_DAY_MM),
        wet_spell=_longest(weather.start, rain, rain >= WET_DAY_MM),
        driest_runs=tuple(run for months in RUN_MONTHS if (run := driest_run(weather, months)) is not None),
    )


def monthly_of(weather: Weather) -> Monthly:
    """Twelve monthly figures from a run of weather: wet days are days with any rain.

    Means of the days that are known; NaN for a month without any. Temperatures are None where none are known.
    """
    month = weather.months()
    rain = np.where(weather.left_out, np.nan, weather.rain_mm)

    def means(values: Days) -> Sequence[float]:
        found = [values[(month == number) & ~np.isnan(values)] for number in range(1, MONTHS + 1)]
        return [float(each.mean()) if each.size else float("nan") for each in found]

    def sums(values: Days) -> Sequence[float]:
        return [mean * days for mean, days in zip(means(values), MONTH_DAYS, strict=True)]

    wet = np.where(np.isnan(rain), np.nan, rain > 0.0)
    return Monthly(
        rain_mm=sums(rain),
        wet_days=sums(wet),
        t_min_c=means(weather.t_min_c) if weather.knows("t_min_c") else None,
        t_max_c=means(weather.t_max_c) if weather.knows("t_max_c") else None,
        source=weather.source,
    )


def spells(weather: Weather, *, wet: bool, least_days: int = 1) -> tuple[Spell, ...]:
    """The wet (or dry) spells of at least so many days, in their order; days that are not known end a spell."""
    rain = np.where(weather.left_out, np.nan, weather.rain_mm)
    found = _spells(weather.start, rain, rain >= WET_DAY_MM if wet else rain < WET_DAY_MM)
    return tuple(spell for spell in found if spell.days >= least_days)


def _spells(start: dt.date, rain: Days, which: NDArray[np.bool_]) -> list[Spell]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], which, [False])).astype(np.int8)))
    return [
        Spell(
            start + dt.timedelta(days=int(first)),
            start + dt.timedelta(days=int(after) - 1),
            int(after - first),
            float(rain[first:after].sum()),
        )
        for first, after in zip(edges[::2], edges[1::2], strict=True)
    ]


def _longest(start: dt.date, rain: Days, which: NDArray[np.bool_]) -> Spell | None:
    return max(_spells(start, rain, which), key=lambda spell: spell.days, default=None)


def driest_run(weather: Weather, months: int) -> MonthRun | None:
    """The driest so many calendar months in a row, all their days known; None where there are none.

    The usual rain is that of the same months in the mean of the record.
    """
    rain = np.where(weather.left_out, np.nan, weather.rain_mm)
    of_day = weather.dates().astype("datetime64[M]")
    first_month, after = of_day[0], of_day[-1] + 1
    count = int((after - first_month).astype(np.int64))
    starts = np.searchsorted(of_day, first_month + np.arange(count + 1))
    totals = np.array([rain[a:b].sum() for a, b in pairwise(starts)])
    totals[0] = totals[0] if weather.start.day == 1 else np.nan
    totals[-1] = totals[-1] if (weather.last + dt.timedelta(days=1)).day == 1 else np.nan
    if count < months:
        return None
    runs = np.lib.stride_tricks.sliding_window_view(totals, months).sum(axis=1)
    if np.isnan(runs).all():
        return None
    at = int(np.nanargmin(runs))
    usual = np.array(monthly_of(weather).rain_mm)
    places = (first_month.astype(np.int64) + np.arange(at, at + months)) % MONTHS
    return MonthRun(
        months=months,
        first=(first_month + at).astype("datetime64[D]").astype(dt.date),
        last=((first_month + at + months).astype("datetime64[D]") - 1).astype(dt.date),
        rain_mm=float(runs[at]),
        usual_mm=float(usual[places].sum()),
    )
