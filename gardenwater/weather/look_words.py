"""What is said of a look at the weather: one wording for the window and the command line."""

from __future__ import annotations

import datetime as dt
from typing import Final

from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.units import Quantity, UnitSystem, text
from gardenwater.weather.looking import MonthRun, Spell, WeatherLook
from gardenwater.weather.model import Weather

MADE_WORDS: Final = (
    "Made from twelve monthly figures: the months are right in the mean, single years are as chance has it, and long "
    "droughts come too seldom. A record of days says how dry it gets."
)
"""How far made weather is to be trusted."""
NO_WHOLE_YEAR: Final = "No calendar year is whole in it: the figures of years are not known."
RAIN_ALONE: Final = (
    "It has rain alone. Temperatures, by which beds dry, are those of the twelve monthly figures; until they are given "
    "nothing is worked out."
)
"""What a record without temperatures wants."""
_COUNTS: Final = {3: "three", 12: "twelve"}


def day_words(day: dt.date, *, made: bool, year: bool = True) -> str:
    """A day: "9 June 2018", in made weather "9 June of year 12"; without its year "9 June"."""
    words = f"{day.day} {MONTH_NAMES[day.month - 1]}"
    if not year:
        return words
    return f"{words} of year {day.year}" if made else f"{words} {day.year}"


def year_words(year: int, *, made: bool) -> str:
    """A year: "1996", in made weather "year 12"."""
    return f"year {year}" if made else f"{year}"


def span_words(weather: Weather) -> str:
    """From when to when: "1 January 1980 to 31 December 2019, 40 whole years"; "30 years, made"."""
    whole = len(weather.years)
    years = "1 whole year" if whole == 1 else f"{whole} whole years"
    if weather.made:
        return f"{whole} years, made from monthly figures"
    return f"{day_words(weather.start, made=False)} to {day_words(weather.last, made=False)}, {years}"


def look_words(look: WeatherLook, weather: Weather, system: UnitSystem) -> tuple[str, ...]:
    """A look in sentences: years, spells, the driest months."""
    made = weather.made
    words = [_year_sentence(look, system, made=made)]
    if look.dry_spell is not None:
        words.append(f"Longest dry spell: {_spell_words(look.dry_spell, made=made)}.")
    if look.wet_spell is not None:
        words.append(f"Longest wet spell: {_spell_words(look.wet_spell, made=made)}.")
    return (*words, *(_run_sentence(run, system, made=made) for run in look.driest_runs))


def _year_sentence(look: WeatherLook, system: UnitSystem, *, made: bool) -> str:
    if look.driest is None or look.middle is None or look.wettest is None:
        return NO_WHOLE_YEAR
    rain = dict(zip(look.years, look.rain_year_mm.tolist(), strict=True))

    def told(name: str, year: int) -> str:
        return f"{name} {year_words(year, made=made)} with {text(rain[year], Quantity.RAIN_MM, system)}"

    mean = text(float(look.rain_year_mm.mean()), Quantity.RAIN_MM, system)
    if len(rain) == 1:
        return f"Rain in {year_words(look.driest, made=made)}: {mean}."
    years = (("driest", look.driest), ("middle", look.middle), ("wettest", look.wettest))
    return f"Rain in a mean year: {mean}; {', '.join(told(*each) for each in years)}."


def _spell_words(spell: Spell, *, made: bool) -> str:
    days = "1 day" if spell.days == 1 else f"{spell.days} days"
    return f"{days}, {_from_to(spell.first, spell.last, made=made)}"


def _from_to(first: dt.date, last: dt.date, *, made: bool) -> str:
    if first == last:
        return day_words(first, made=made)
    same = first.year == last.year
    return f"{day_words(first, made=made, year=not same)} to {day_words(last, made=made)}"


def _run_sentence(run: MonthRun, system: UnitSystem, *, made: bool) -> str:
    fell, usual = (text(each, Quantity.RAIN_MM, system) for each in (run.rain_mm, run.usual_mm))
    first, last = (MONTH_NAMES[day.month - 1] for day in (run.first, run.last))
    same = run.first.year == run.last.year
    begins = first if same else f"{first} {'of ' if made else ''}{year_words(run.first.year, made=made)}"
    when = f"{begins} to {last} {'of ' if made else ''}{year_words(run.last.year, made=made)}"
    return f"Driest {_COUNTS.get(run.months, run.months)} months: {fell}, {when}; {usual} falls in them in the mean."


def lack_words(weather: Weather) -> str:
    """What a record lacks for a run over its days; empty when it lacks nothing."""
    return "" if weather.knows("t_min_c") and weather.knows("t_max_c") else RAIN_ALONE
