"""A bed's need through the mean year, and how it is best watered when it needs most."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.model import BedDays
from gardenwater.demand.records_zone import Asks
from gardenwater.demand.running import BedRun
from gardenwater.site.calendar import MONTH_NAMES

Floats = NDArray[np.float64]

MONTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BedYear:
    """What a bed needs in the mean year, with all the water it asks for.

    need_l: in each month, January first, float64 (12,). year_l: in all of it. most_l: in the year that needs most.
    peak_month: the month of greatest need, 1 to 12; 0 where nothing is ever needed. between_days: days without rain
    from one watering to the next in that month, and each_l what it is then given; NaN where nothing is ever needed.
    """

    need_l: Floats
    year_l: float
    most_l: float
    peak_month: int
    between_days: float
    each_l: float


def _months(start: dt.date, days: int) -> NDArray[np.int64]:
    """The month of each day, counted from January 1970."""
    dates = np.datetime64(start, "D") + np.arange(days)
    return dates.astype("datetime64[M]").astype(np.int64)


def by_month(values: Floats, start: dt.date) -> Floats:
    """What daily values come to in each month of the mean year, January first, float64 (12,)."""
    month = _months(start, values.size)
    times = np.maximum(np.bincount(np.unique(month) % MONTHS, minlength=MONTHS), 1)
    sums: Floats = np.bincount(month % MONTHS, weights=values, minlength=MONTHS) / times
    return sums


def _watering(days: BedDays, past: BedRun, here: NDArray[np.bool_]) -> tuple[float, float]:
    """Days between waterings without rain, and mm each time, on the days of `here` on which the bed may ask.

    By rule of fixed days or cans: as they were. When dry: the readily available water, and how long it lasts at what
    the bed used on the mean of them.
    """
    asks = days.table["asks"][here]
    asking = asks != Asks.NOTHING
    if not (asks == Asks.WHEN_DRY).any():
        between = np.diff(np.flatnonzero(days.table["asks"]))
        return float(np.median(between)), float(past.need_mm[here][asking].mean())
    used = (past.evaporated_mm + past.transpired_mm)[here][asking].mean()
    readily = float(days.readily_mm[here][asking].mean())
    return max(readily / float(used), 1.0), max(readily, float(used))


def bed_year(days: BedDays, past: BedRun) -> BedYear:
    """A bed's need through the mean year of its days, of a run with all the water it asks for."""
    need_l = past.need_mm * days.area_m2
    mean_l = by_month(need_l, days.start)
    month = _months(days.start, days.days)
    by_year = np.bincount(month // MONTHS - month[0] // MONTHS, weights=need_l)
    peak = int(mean_l.argmax())
    between, each_mm = math.nan, math.nan
    if mean_l[peak] > 0.0:
        between, each_mm = _watering(days, past, month % MONTHS == peak)
    return BedYear(
        need_l=mean_l,
        year_l=float(mean_l.sum()),
        most_l=float(by_year.max()),
        peak_month=peak + 1 if mean_l[peak] > 0.0 else 0,
        between_days=between,
        each_l=each_mm * days.area_m2,
    )


def bed_year_words(year: BedYear, can_l: float) -> str:
    """How a bed is watered when it needs most: "In July, without rain: 12 cans every 4 days"; empty for no need."""
    if year.peak_month == 0:
        return ""
    cans = max(math.ceil(year.each_l / can_l - 0.1), 1)
    every = round(year.between_days)
    when = "every day" if every <= 1 else f"every {every} days"
    return f"In {MONTH_NAMES[year.peak_month - 1]}, without rain: {'1 can' if cans == 1 else f'{cans} cans'} {when}"
