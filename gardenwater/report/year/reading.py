"""Words of the year strip: dates, and one day read in numbers."""

from __future__ import annotations

import datetime as dt

from gardenwater.report.text import litres
from gardenwater.report.year.days import LEAST_L, YearDays
from gardenwater.site.calendar import MONTH_NAMES, weekday_word
from gardenwater.units import Quantity, UnitSystem, text


def day_words(date: dt.date, *, weekday: bool = False) -> str:
    """A day without its year: "7 July", "Friday 7 July"."""
    words = f"{date.day}\u00a0{MONTH_NAMES[date.month - 1]}"
    return f"{weekday_word(date)} {words}" if weekday else words


def days_short_words(days_short: int) -> str:
    """How many days are short: "24 days short"."""
    return "1 day short" if days_short == 1 else f"{days_short} days short"


def strip_words(days: YearDays, day: int, *, units: UnitSystem) -> str:
    """The strip as one line of words: what the year is, and the day under the hand."""
    dry = "never dry"
    if days.first_dry is not None:
        dry = f"dry from {day_words(days.date(days.first_dry))}, {days_short_words(days.days_short)}"
    return f"The year, {days.name}: {dry}. {day_reading(days, day, units)}"


def day_reading(days: YearDays, day: int, units: UnitSystem) -> str:
    """One day in words: "7 July: no rain, 650 L left, 225 L needed, 30 L given, some refused"."""
    rain = float(days.rain_mm[day])
    parts = [f"{text(rain, Quantity.RAIN_MM, units)} of rain" if rain >= 0.05 else "no rain"]
    parts.append(f"{litres(float(days.store_l[day]), units)} left")
    needed, met, spilled = (float(array[day]) for array in (days.need_l, days.met_l, days.spill_l))
    parts.append(f"{litres(needed, units)} needed" if needed > LEAST_L else "nothing needed")
    if met > LEAST_L or needed > LEAST_L:
        parts.append(f"{litres(met, units)} given")
    if days.short[day]:
        parts.append("some refused")
    if spilled >= 1.0:
        parts.append(f"{litres(spilled, units)} spilled")
    return f"{day_words(days.date(day))}: {', '.join(parts)}"
