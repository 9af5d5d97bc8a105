"""Days in words, in the language of the program whatever that of the system is; and as people write them."""

from __future__ import annotations

import datetime as dt
import re

from gardenwater.errors import InputError

MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_LEAST_LETTERS = 3
_ANY_YEAR = 2023
"""A year without 29 February: a day that comes each year."""


def _month(words: str) -> int:
    found = [at for at, name in enumerate(MONTH_NAMES, 1) if name.lower().startswith(words)]
    return found[0] if len(words) >= _LEAST_LETTERS and len(found) == 1 else 0


def _parts(words: str) -> tuple[int, int]:
    """Month and day; zeros where they are none."""
    numbers = re.fullmatch(r"(\d{1,2})-(\d{1,2})", words)
    if numbers:
        return int(numbers.group(1)), int(numbers.group(2))
    named = re.fullmatch(r"(\d{1,2})\.? *([a-z]+)|([a-z]+) *(\d{1,2})", words)
    if not named:
        return 0, 0
    day, month, month_first, day_last = named.groups()
    return _month(month or month_first), int(day or day_last)


def year_day(words: str) -> dt.date:
    """A day that comes each year, in a year without 29 February. Raises InputError, with examples, for no such day."""
    try:
        return dt.date(_ANY_YEAR, *_parts(" ".join(words.lower().split())))
    except ValueError:
        raise InputError(
            f'"{words.strip()}" is no day of the year.', where="day", mend='Type it as "12 May", or leave it empty.'
        ) from None


def today_words() -> str:
    """Today where the program runs, in words: "12 May 2026"."""
    today = dt.datetime.now().astimezone().date()
    return f"{day_words(today)} {today.year}"


def weekday_word(day: dt.date) -> str:
    """The day of the week: "Thursday"."""
    return WEEKDAY_NAMES[day.weekday()]


def day_words(day: dt.date) -> str:
    """A day of the year in words: "12 May"."""
    return f"{day.day} {MONTH_NAMES[day.month - 1]}"
