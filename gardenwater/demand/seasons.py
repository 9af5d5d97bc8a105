"""When a crop stands on a bed, in each year of the weather."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise

from gardenwater.demand.figures import CropFigures, crops_of
from gardenwater.site.calendar import day_words, year_day
from gardenwater.site.things import Bed
from gardenwater.tables import table

_PLAIN_YEARS = dt.date(2021, 1, 1)
"""The start of a year with no 29 February in it, nor in the next."""
CLEARING_DAYS = 7
"""Days between clearing a bed and sowing it anew: judgement, no source."""
_HALF_YEAR = 6


@dataclass(frozen=True, slots=True)
class Season:
    """One season of one crop.

    crop: 1 the first, 2 the second of a bed. first: its first day, counted from the first day of the weather; it may be
    before it. last: the day after its last, cut short where another season begins.
    """

    crop: int
    first: int
    last: int


_DAYS_IN_400_YEARS = 146_097


def usual_day(sow_month: float, latitude_deg: float) -> dt.date:
    """The day of the year on which a crop is usually sown: half a year later in the south."""
    month, part = divmod(sow_month - 1.0 + (_HALF_YEAR if latitude_deg < 0.0 else 0), 1.0)
    return dt.date(2023, int(month) % 12 + 1, 1 + round(part * 30.0) if part < 1.0 else 28)


def _each_year(start: dt.date, days: int, day: dt.date, length: int, crop: int) -> list[Season]:
    """The seasons that have a day in the weather, the first from before it."""
    found = []
    for year in range(start.year - 2, (start + dt.timedelta(days=days)).year + 1):
        # Made years are numbered from 1 and dates begin there: 400 years on, the calendar is the same.
        first = (day.replace(year=year + 400) - start).days - _DAYS_IN_400_YEARS
        if first + length > 0 and first < days:
            found.append(Season(crop, first, first + length))
    return found


def _sown(words: str, crop: CropFigures, latitude_deg: float) -> dt.date:
    return year_day(words) if words else usual_day(crop.sow_month, latitude_deg)


def seasons_of(
    bed: Bed,
    crops: tuple[CropFigures | None, CropFigures | None],
    *,
    start: dt.date,
    days: int,
    latitude_deg: float,
) -> tuple[Season, ...]:
    """The seasons of a bed's crops in the order of their beginning, none over another: the later one clears the bed.

    Where no day is given, the first crop is sown in its usual month and the second a week after the first is cleared.
    """
    first, second = crops
    found: list[Season] = []
    free = None
    if first is not None:
        sown = _sown(bed.sown, first, latitude_deg)
        free = sown + dt.timedelta(days=first.length + CLEARING_DAYS)
        found += _each_year(start, days, sown, first.length, 1)
    if second is not None:
        sown = free if free is not None and not bed.second_sown else _sown(bed.second_sown, second, latitude_deg)
        found += _each_year(start, days, _in_plain_year(sown), second.length, 2)
    found.sort(key=lambda season: (season.first, season.crop))
    cut = [Season(a.crop, a.first, min(a.last, b.first)) for a, b in pairwise(found)]
    return tuple(season for season in (*cut, *found[-1:]) if season.last > max(season.first, 0))


def _in_plain_year(day: dt.date) -> dt.date:
    """The same day of the year where 29 February does not come."""
    return day.replace(day=28) if (day.month, day.day) == (2, 29) else day


def season_words(bed: Bed, *, latitude_deg: float) -> tuple[tuple[str, str], ...]:
    """Which crops stand on a bed, from when to when: ("Lettuce", "16 April to 29 June"), in the order of a year."""
    crops = crops_of(bed)
    start = _PLAIN_YEARS
    told = []
    for season in seasons_of(bed, crops, start=start, days=365, latitude_deg=latitude_deg):
        crop = crops[season.crop - 1]
        if season.first >= 0 and crop is not None:
            first, last = (start + dt.timedelta(days=day) for day in (season.first, season.last - 1))
            told.append((table("crops").row(crop.key).name, f"{day_words(first)} to {day_words(last)}"))
    return tuple(told)
