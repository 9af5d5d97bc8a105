"""One year of the balance as the year strip shows it: rain, store, spill, need and what of it was met, by day."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Days = NDArray[np.float64]
"""One figure a day, float64 (days,)."""

LEAST_L = 0.5
"""Less than half a litre is not told: it is rounding."""


@dataclass(frozen=True, kw_only=True, eq=False)
class YearDays:
    """One year, day by day. Arrays are float64 (days,), never NaN; day 0 is `start`.

    name: what the year is called where it is chosen ("driest of 30 on record, 2003"). short_name: the same where room
    is short ("driest of 30"). made: made from monthly figures, not recorded. store_l: in all tanks together at the
    day's end. capacity_l: of all tanks. spill_l: what ran over that day. need_l: what the beds needed anew that day,
    met_l what they got (what was refused and is asked for again is no new need). refused_l: asked for and not given.
    short: bool (days,), days on which some bed was refused some.
    """

    name: str
    short_name: str
    start: dt.date
    made: bool
    rain_mm: Days
    store_l: Days
    spill_l: Days
    need_l: Days
    met_l: Days
    refused_l: Days
    short: NDArray[np.bool_]
    capacity_l: float
    count: int = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "count", len(self.rain_mm))

    @property
    def last(self) -> dt.date:
        """The last day."""
        return self.date(self.count - 1)

    def date(self, day: int) -> dt.date:
        """The date of a day by its number."""
        return self.start + dt.timedelta(days=day)

    def day_of(self, date: dt.date) -> int:
        """The number of the day that a date is; of the nearest day with that month and day where the year is another.

        Without any such day (29 February, a short run) the nearest end of the run.
        """
        number = (date - self.start).days
        if 0 <= number < self.count:
            return number
        for year in (self.start.year, self.last.year):
            leaps = dt.date(year, 3, 1) - dt.date(year, 2, 28) == dt.timedelta(days=2)
            same = date.replace(year=year, day=28 if (date.month, date.day) == (2, 29) and not leaps else date.day)
            if 0 <= (same - self.start).days < self.count:
                return (same - self.start).days
        return 0 if number < 0 else self.count - 1

    @cached_property
    def unmet_l(self) -> Days:
        """What of the day's need was not met; nothing on a day that is not short."""
        unmet: Days = np.where(self.short, np.maximum(self.need_l - self.met_l, 0.0), 0.0)
        return unmet

    @cached_property
    def need_top_l(self) -> float:
        """The greatest need of a day, at least 1 L: the top of the need's row."""
        return max(float(self.need_l.max(initial=0.0)), 1.0)

    @cached_property
    def days_short(self) -> int:
        """How many days were dry."""
        return int(np.count_nonzero(self.short))

    @cached_property
    def first_dry(self) -> int | None:
        """The first dry day, or None."""
        return int(np.argmax(self.short)) if self.days_short else None

    @cached_property
    def driest(self) -> int:
        """The day on which most was refused; where nothing was, the day on which the store was lowest."""
        return (
            int(np.argmax(np.where(self.short, self.refused_l, -1.0)))
            if self.days_short
            else int(np.argmin(self.store_l))
        )

    @property
    def telling(self) -> int:
        """The day that the hand stands on at first: the first dry one, else that of the lowest store."""
        return self.driest if self.first_dry is None else self.first_dry
