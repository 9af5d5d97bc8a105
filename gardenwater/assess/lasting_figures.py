"""Figures of Lasting that are read off a run: days left, how long water stands, which days were the carrier's limit."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.lasting_years import YearSpan
from gardenwater.balance import Balance, System
from gardenwater.weather import Origin, Sky
from gardenwater.weather.et import et_words

_L = 1000.0
_SPIN_UP_DAYS = 730
_LEFT_L = 10.0
"""Water in the tanks, over all, from which a refusal is for want of a way to the bed and not of water: a can."""


@dataclass(frozen=True, slots=True)
class Now:
    """What stands in the tanks now: litres above the outlets, litres drawn in a day, and how many days that lasts."""

    usable_l: float
    draw_l_day: float
    days_left: float


def now_of(system: System, balance: Balance, draw_l_day: float | None) -> Now:
    """Days left without rain; `draw_l_day` where it is given, else the mean need in the month that needs most.

    A 1000 L tank at ten 10 L cans a day lasts ten days (common practice).
    """
    usable = sum(max(tank.start_m3 - tank.dead_m3, 0.0) for tank in system.tanks) * _L
    draw = thirstiest_l_day(balance) if draw_l_day is None else draw_l_day
    return Now(usable, draw, usable / draw if draw > 0 else math.inf)


def thirstiest_l_day(balance: Balance) -> float:
    """Mean need of a day in that month of the year that needs most, L, over all years."""
    months = balance.dates().astype("datetime64[M]").astype(np.int64) % 12
    need = balance.need_l.sum(axis=1)
    return max((float(need[months == month].mean()) for month in np.unique(months)), default=0.0)


def usable_m3(system: System, balance: Balance) -> NDArray[np.float64]:
    """What can be drawn of each tank at each day's end, m3, float64 (days, tanks)."""
    dead = np.array([tank.dead_m3 for tank in system.tanks])
    left: NDArray[np.float64] = np.maximum(balance.volume_m3 - dead, 0.0)
    return left


def limited_days(system: System, balance: Balance) -> int:
    """Days on which a bed is refused water though at least a can of it is left above the outlets."""
    left = usable_m3(system, balance).sum(axis=1) * _L
    return int(np.count_nonzero(balance.is_short & (left >= _LEFT_L)))


def turnover(balance: Balance, span: YearSpan) -> tuple[tuple[float, float], ...]:
    """How old each tank's water is in a year, days: on the mean day and at most; 0 while it is empty.

    What comes in mixes with what is there. Rain is new; what comes from other tanks is as old as theirs on the mean.
    The two years before count towards the age of the first day.
    """
    first = max(span.first - dt.timedelta(days=_SPIN_UP_DAYS), balance.start)
    days = balance.slice(first, span.last)
    shown = (span.last - span.first).days + 1
    ages = water_ages(days)[-shown:]
    return tuple((float(age.mean()), float(age.max())) for age in ages.T)


def water_ages(balance: Balance) -> NDArray[np.float64]:
    """Age of the water of each tank at each day's end, days, float64 (days, tanks); 0 of an empty tank."""
    ages = np.zeros_like(balance.volume_m3)
    age = np.zeros(len(balance.tanks))
    before = balance.start_m3
    came, passed = balance.inflow_m3, np.maximum(balance.passed_m3, 0.0)
    given = np.maximum(-balance.passed_m3, 0.0)
    for day in range(balance.days):
        of_others = float(given[day] @ (age + 1.0) / given[day].sum()) if given[day].any() else 0.0
        whole = before + came[day] + passed[day]
        old = before * (age + 1.0) + passed[day] * of_others
        age = np.divide(old, whole, out=np.zeros_like(age), where=whole > 1e-9)
        before = balance.volume_m3[day]
        age = np.where(before > 1e-6, age, 0.0)
        ages[day] = age
    return ages


def trust_words(sky: Sky, years: int) -> tuple[str, ...]:
    """How far to trust what is said, one sentence each."""
    words = []
    if sky.origin is Origin.MADE:
        words.append(
            f"The {years} years are made from twelve monthly figures: means hold, single years are possible ones, and"
            " long droughts are too few. Temperatures follow the months without a day's chance: hot spells are missing,"
            " and dry days are no warmer than wet ones."
        )
    elif years < 10:
        words.append(f"{years} {'year is' if years == 1 else 'years are'} few: a drier one will come.")
    if sky.temperatures_from_monthly:
        words.append("Temperatures are the monthly means: hot spells are missing.")
    if sky.gap_days:
        words.append(f"{sky.gap_days} days are filled in; the years that they are in are left out.")
    if sky.changed:
        words.append("The climate is changed by the site's factors.")
    words.append(f"Evapotranspiration: {et_words(sky.weather)}")
    return tuple(words)
