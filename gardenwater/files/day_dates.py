"""Days as tables write them: the usual forms, and whether the day or the month stands first."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from enum import StrEnum
from itertools import pairwise
from typing import Final

_TIME = r"(?:[T\s]\s*\d{1,2}(?::?\d{2}){0,2}(?:\.\d+)?\s*(?:Z|[ap]\.?m\.?|UTC|GMT|[+-]\d{2}:?\d{2})?)?"
_YEAR_FIRST: Final = re.compile(rf"(\d{{4}})[-/. ](\d{{1,2}})[-/. ](\d{{1,2}})\.?{_TIME}$", re.IGNORECASE)
_TOGETHER: Final = re.compile(r"(\d{4})(\d{2})(\d{2})(?:\.0)?$")
_YEAR_LAST: Final = re.compile(
    rf"(\d{{1,2}})\s*[-/. ]\s*(\d{{1,2}})\s*[-/. ]\s*(\d{{4}}|\d{{2}}){_TIME}$", re.IGNORECASE
)
_NAMED_DAY_FIRST: Final = re.compile(
    rf"(\d{{1,2}})(?:st|nd|rd|th)?[-/. ]*([^\W\d_]{{3,}})\.?[-/., ]*(\d{{4}}|\d{{2}}){_TIME}$", re.IGNORECASE
)
_NAMED_MONTH_FIRST: Final = re.compile(
    rf"([^\W\d_]{{3,}})\.?[- ]*(\d{{1,2}})(?:st|nd|rd|th)?[,. ]+(\d{{4}}){_TIME}$", re.IGNORECASE
)
_MONTHS: Final = (
    ("jan", "ene", "gen"), ("feb", "fev", "fév"), ("mar", "mär", "mrt", "maa"), ("apr", "avr", "abr"),
    ("may", "mai", "mei", "mag"), ("jun", "juin", "giu"), ("jul", "juil", "lug"), ("aug", "aoû", "aou", "ago"),
    ("sep", "set"), ("oct", "okt", "out", "ott"), ("nov",), ("dec", "dez", "dic", "déc"),
)  # fmt: skip
"""The first letters of the months in English, Spanish, Italian, French, German, Dutch and Portuguese."""
_CENTURY_TURNS: Final = 50  # two digits under it are of this century
_EARLIEST, _LATEST = 1700, 2200


class DayOrder(StrEnum):
    """What stands first in 03/04/2020."""

    DAY_FIRST = "day-first"
    MONTH_FIRST = "month-first"

    @property
    def words(self) -> str:
        """In words, with the example."""
        return "the day first: 3 April" if self is DayOrder.DAY_FIRST else "the month first: March 4"


def day_of(words: str, order: DayOrder = DayOrder.DAY_FIRST) -> dt.date | None:
    """The day that the words are, or None."""
    cleaned = words.strip().strip('"')
    numbers = _YEAR_LAST.match(cleaned)
    if numbers:
        first, second, year = (int(part) for part in numbers.groups())
        day, month = (first, second) if order is DayOrder.DAY_FIRST else (second, first)
        return made_day(_whole_year(year), month, day)
    for pattern in (_YEAR_FIRST, _TOGETHER):
        found = pattern.match(cleaned)
        if found:
            return made_day(*(int(part) for part in found.groups()))
    return _named(cleaned)


def _named(cleaned: str) -> dt.date | None:
    for pattern, day_at, month_at in ((_NAMED_DAY_FIRST, 1, 2), (_NAMED_MONTH_FIRST, 2, 1)):
        found = pattern.match(cleaned)
        month = _month_called(found.group(month_at)) if found else None
        if found and month:
            return made_day(_whole_year(int(found.group(3))), month, int(found.group(day_at)))
    return None


def _month_called(name: str) -> int | None:
    lower = name.lower()
    return next((number for number, starts in enumerate(_MONTHS, 1) if lower.startswith(starts)), None)


def _whole_year(year: int) -> int:
    if year >= 100:
        return year
    return year + (2000 if year < _CENTURY_TURNS else 1900)


def made_day(year: int, month: int, day: int) -> dt.date | None:
    """The day, or None where there is no such day, or it is of no weather record."""
    if not _EARLIEST <= year <= _LATEST:
        return None
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def order_of(cells: Sequence[str]) -> DayOrder | None:
    """Which stands first in these days; None where both can be, and the days follow each other as well either way.

    A first number over 12 must be a day. Where none is, the order counts in which more days follow the one before.
    Days in a form that leaves no doubt give day first, which they do not use.
    """
    pairs = [found.groups() for cell in cells if (found := _YEAR_LAST.match(cell.strip().strip('"')))]
    if not pairs:
        return DayOrder.DAY_FIRST
    if any(int(first) > 12 for first, _, _ in pairs):
        return DayOrder.DAY_FIRST
    if any(int(second) > 12 for _, second, _ in pairs):
        return DayOrder.MONTH_FIRST
    steps = {order: _followed(cells, order) for order in DayOrder}
    if steps[DayOrder.DAY_FIRST] == steps[DayOrder.MONTH_FIRST]:
        return None
    return max(steps, key=lambda order: steps[order])


def _followed(cells: Sequence[str], order: DayOrder) -> int:
    """How many days follow the one before, in this order."""
    days = [day_of(cell, order) for cell in cells]
    one = dt.timedelta(days=1)
    return sum(a is not None and b is not None and abs(b - a) == one for a, b in pairwise(days))


def looks_like_day(words: str) -> bool:
    """Whether the words are a day in some order."""
    return day_of(words) is not None or day_of(words, DayOrder.MONTH_FIRST) is not None
