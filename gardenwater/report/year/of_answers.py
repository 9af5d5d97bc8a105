"""The years of Lasting's answer as the strip shows them: what each is called, and its days."""

from __future__ import annotations

import numpy as np

from gardenwater.assess.answers import LastingAnswer, YearAnswer
from gardenwater.report.year.days import YearDays
from gardenwater.report.year.reading import days_short_words
from gardenwater.report.year.years import DRIEST, YearName

_L = 1000.0


def year_names(lasting: LastingAnswer) -> tuple[YearName, ...]:
    """All years that can be looked at: the telling ones, then each year, the newest first."""
    telling = [YearName(key, year_name(lasting, lasting.of(key)), named=True) for key in lasting.answers]
    rest = [
        YearName(str(each.year), f"{_number(lasting, each.year)}, {days_short_words(each.short_days)}")
        for each in reversed(lasting.years)
    ]
    return (*telling, *rest)


def year_name(lasting: LastingAnswer, year: YearAnswer) -> str:
    """What a year is called: "driest of 30 on record, 2003", "middle year, 1998", "made, driest of 100", "2003"."""
    short = short_name(lasting, year)
    if year.key not in lasting.answers or year.key == "made":
        return short
    where = "made years" if year.made else "on record"
    told = f"{short} {where}" if year.key == DRIEST else short
    return told if year.made else f"{told}, {_number(lasting, year.figures.year)}"


def short_name(lasting: LastingAnswer, year: YearAnswer) -> str:
    """The same where room is short: "driest of 30"."""
    names = {DRIEST: f"driest of {len(lasting.years)}", "middle": "middle year", "made": "made, the driest"}
    return names.get(year.key, _number(lasting, year.figures.year))


def _number(lasting: LastingAnswer, year: int) -> str:
    """A year by its number: made ones are counted, they were never lived."""
    return f"made year {year - lasting.years[0].year + 1}" if lasting.made else str(year)


def year_days(lasting: LastingAnswer, key: str) -> YearDays:
    """A year by its key, day by day. Raises InputError for a key that there is not."""
    year = lasting.of(key or DRIEST)
    balance = year.balance
    # What one tank's overflow leads into the next is no spill of the store: links cancel in what tanks pass on.
    spill_l = (balance.spill_m3.sum(axis=1) - balance.passed_m3.sum(axis=1)) * _L
    return YearDays(
        name=year_name(lasting, year),
        short_name=short_name(lasting, year),
        start=balance.start,
        made=year.made,
        rain_mm=balance.rain_mm,
        store_l=balance.store_l,
        spill_l=np.maximum(spill_l, 0.0),
        need_l=balance.need_l.sum(axis=1),
        met_l=balance.met_l.sum(axis=1),
        refused_l=balance.short_l.sum(axis=1),
        short=balance.is_short,
        capacity_l=lasting.store_l,
    )
