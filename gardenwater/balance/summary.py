"""A year of a balance in a few figures."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.balance.result import Balance


@dataclass(frozen=True, slots=True, kw_only=True)
class YearFigures:
    """What a year comes to.

    year: the calendar year; in the south, where a season runs over new year, that in which it begins in July.
    first, last: its days. rain_mm, et0_mm: over the year; dryness_mm: reference evapotranspiration less rain over the
    warm half of the year, which years are ranked by (NaN where the temperatures are not known).
    need_l, met_l, missing_l: litres needed (each counted once), given, and never given. inflow_l, spill_l: into the
    tanks and over their overflows. wanting_days: days on which some bed wants water; short_days: of these, those on
    which some bed is refused some; longest_short: their longest run. first_short: the first of them; driest_day: that
    with the most refused; None where none is short. most_short_l: refused on that day, over all beds.
    """

    year: int
    first: dt.date
    last: dt.date
    rain_mm: float
    et0_mm: float
    dryness_mm: float
    need_l: float
    met_l: float
    missing_l: float
    inflow_l: float
    spill_l: float
    wanting_days: int
    short_days: int
    longest_short: int
    first_short: dt.date | None
    driest_day: dt.date | None
    most_short_l: float

    @property
    def share_met_volume(self) -> float:
        """Litres given over litres needed, 0 to 1; 1 where nothing is needed."""
        return min(self.met_l / self.need_l, 1.0) if self.need_l > 0 else 1.0

    @property
    def share_met_days(self) -> float:
        """Of the days on which water is wanted, the share on which all get it; 1 where none is wanted."""
        return 1.0 - self.short_days / self.wanting_days if self.wanting_days else 1.0


def longest_run(flags: NDArray[np.bool_]) -> int:
    """Length of the longest unbroken run of True."""
    edges = np.diff(np.concatenate(([False], flags, [False])).astype(np.int8))
    runs = np.flatnonzero(edges == -1) - np.flatnonzero(edges == 1)
    return int(runs.max()) if runs.size else 0


def year_figures(balance: Balance, year: int, *, et0_mm: float, dryness_mm: float) -> YearFigures:
    """The figures of a balance that is one year's."""
    short = balance.is_short
    refused = balance.short_l.sum(axis=1)
    worst = int(np.argmax(np.where(short, refused, -1.0)))
    days = np.flatnonzero(short)
    return YearFigures(
        year=year,
        first=balance.start,
        last=balance.last,
        rain_mm=float(balance.rain_mm.sum()),
        et0_mm=et0_mm,
        dryness_mm=dryness_mm,
        need_l=float(balance.need_l.sum()),
        met_l=float(balance.met_l.sum()),
        missing_l=balance.missing_l,
        inflow_l=float(balance.inflow_m3.sum()) * 1000.0,
        spill_l=float(balance.spill_m3.sum()) * 1000.0,
        wanting_days=int(np.count_nonzero((balance.wanted_l > 0).any(axis=1))),
        short_days=int(days.size),
        longest_short=longest_run(short),
        first_short=balance.start + dt.timedelta(days=int(days[0])) if days.size else None,
        driest_day=balance.start + dt.timedelta(days=worst) if days.size else None,
        most_short_l=float(refused[worst]) if days.size else 0.0,
    )
