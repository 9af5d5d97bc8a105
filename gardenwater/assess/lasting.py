"""What Lasting says, as values: years of a balance, what they come to, and what other sizes would."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gardenwater.errors import InputError

if TYPE_CHECKING:
    from gardenwater.balance import Balance, YearFigures


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class YearAnswer:
    """One year that can be looked at: its key, its figures, and every litre of its days.

    key: "2003" of a year on record, "driest", "middle", or "made" (the driest of the made years).
    figures: what it comes to. balance: its days, views of the whole run. made: not on record.
    """

    key: str
    figures: YearFigures
    balance: Balance
    made: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreCurve:
    """How the share met grows with the store, with the roofs or with the beds, all else as it is.

    what: "tanks", "tanks with more roof" (half as much again), "roofs" or "beds". factors: of today's size, rising.
    sizes: what that is: litres of tank in all, m2 of roof that leads to tanks, or m2 of beds. share_volume,
    share_days: met, 0 to 1, over all years.
    """

    what: str
    factors: tuple[float, ...]
    sizes: tuple[float, ...]
    share_volume: tuple[float, ...]
    share_days: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TankLoss:
    """What is left without one tank (it leaks, or its water is foul): the others as they are, its inlet led nowhere.

    missing_l: litres more that are missing in a mean year. short_days: days more in a mean year. share_volume: what is
    met then.
    """

    tank: str
    missing_l: float
    short_days: float
    share_volume: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreSizes:
    """The long runs of Lasting: many variants of the site over all years.

    curves: see `StoreCurve`. wanted_share: share of the need that the store should meet, as the settings say.
    least_store_l: litres of tank in all that meet it with these roofs, all tanks grown alike; NaN where none of any
    size does. losses: one for each tank, in the site's order.
    """

    curves: tuple[StoreCurve, ...]
    wanted_share: float
    least_store_l: float
    losses: tuple[TankLoss, ...]

    def curve(self, what: str) -> StoreCurve | None:
        """The curve of this name."""
        return next((curve for curve in self.curves if curve.what == what), None)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LastingAnswer:
    """Whether the store lasts, day by day, over all years of the weather.

    source: where the weather is from. made: no record, years made from monthly figures. trust: how far to trust it, one
    sentence each. order: the day's order of events, as people read it.
    years: the figures of each whole year, in order. record: every litre of all days. driest, middle: keys into
    `answers`, by dryness of the warm half of the year (which no change of the site alters). figures: of the driest.
    answers: the years that have a key of their own ("driest", "middle" and "made" where there are made years besides
    a record); any other year by `of`.
    days_left: days that what stands in the tanks now lasts at `draw_l_day` a day without rain; inf when nothing is
    drawn.
    draw_l_day: what is drawn a day now: as the settings say, else what the beds want in the month of greatest need.
    usable_l: litres now above the outlets. store_l: litres that all tanks hold.
    dry_days: days short in a mean year. turnover_days: for each tank, in the site's order, how old its water gets on
    the average day and at most, with water that comes in taken to mix: (mean, most).
    limited: of the days short of the driest year, those on which water was left that no way brings to the bed: neither
    gravity nor the cans a day that one will carry.
    sizes: the long runs; None until they are worked out (the question was another one).
    """

    source: str
    made: bool
    trust: tuple[str, ...]
    order: tuple[str, ...]
    tanks: tuple[str, ...]
    beds: tuple[str, ...]
    years: tuple[YearFigures, ...]
    record: Balance
    answers: Mapping[str, YearAnswer]
    days_left: float
    draw_l_day: float
    usable_l: float
    store_l: float
    can_l: float
    dry_days: float
    turnover_days: tuple[tuple[float, float], ...]
    limited: int
    sizes: StoreSizes | None = None

    @property
    def keys(self) -> tuple[str, ...]:
        """All years that can be looked at: driest, middle, made where there is one, then each year, newest first."""
        named = tuple(key for key in ("driest", "middle", "made") if key in self.answers)
        return (*named, *(str(each.year) for each in reversed(self.years)))

    def of(self, key: str) -> YearAnswer:
        """A year by its key. Raises InputError for a key that is not in `keys`."""
        if key in self.answers:
            return self.answers[key]
        found = next((each for each in self.years if str(each.year) == key), None)
        if found is None:
            raise InputError(f"No year is called {key!r}.", where="key", mend=f"Take one of {', '.join(self.keys)}.")
        days = self.record.slice(found.first, found.last)
        return YearAnswer(key=key, figures=found, balance=days, made=self.made)

    @property
    def figures(self) -> YearFigures:
        """The figures of the driest year: those of the headline."""
        return self.answers["driest"].figures

    @property
    def first_dry(self) -> dt.date | None:
        """The first day short of the driest year; None when it lasts."""
        return self.figures.first_short

    @property
    def driest_day(self) -> dt.date | None:
        """The day of the driest year on which most is refused; None when it lasts."""
        return self.figures.driest_day

    @property
    def days_short(self) -> int:
        """Days short in the driest year."""
        return self.figures.short_days

    @property
    def longest_dry_run(self) -> int:
        """The longest run of days short in the driest year."""
        return self.figures.longest_short

    @property
    def cans_missing(self) -> int:
        """Cans that the driest year is short of, whole ones."""
        return math.ceil(self.figures.missing_l / self.can_l - 1e-9)

    @property
    def share_met_volume(self) -> float:
        """Litres given over litres needed, over all years."""
        need = sum(each.need_l for each in self.years)
        return min(sum(each.met_l for each in self.years) / need, 1.0) if need > 0 else 1.0

    @property
    def share_met_days(self) -> float:
        """Of the days on which water is wanted, the share on which all get it, over all years."""
        wanting = sum(each.wanting_days for each in self.years)
        return 1.0 - sum(each.short_days for each in self.years) / wanting if wanting else 1.0

    @property
    def dry_years(self) -> int:
        """How many of the years are short on any day."""
        return sum(each.short_days > 0 for each in self.years)
