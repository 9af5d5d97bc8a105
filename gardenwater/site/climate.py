"""The sky over a site: a record of days, twelve monthly figures, and how the climate may change."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.site.fault import Fault
from gardenwater.units import Quantity, UnitSystem, exact_text, range_text

MONTHS = 12
MONTH_DAYS = (31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0)
"""Days of each month; February by its mean."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherHandle:
    """A record of days, held by its content: equal when the digest is equal.

    digest: SHA-256 of start and figures. made: made from monthly figures, not recorded.
    notices: what was done on reading (units, days filled or left out), one sentence each.
    payload: a `gardenwater.weather.Weather`.
    """

    digest: str
    source: str
    start: dt.date
    days: int
    made: bool = False
    notices: tuple[str, ...] = ()
    payload: Any = field(compare=False, repr=False)


def _twelve(values: Iterable[float] | None) -> tuple[float, ...] | None:
    return None if values is None else tuple(float(value) for value in values)


@dataclass(frozen=True, slots=True)
class Monthly:
    """Twelve monthly figures, January first, as weather offices print them.

    rain_mm: mean rain of the month. wet_days: mean number of days with rain; None where it is not known.
    t_min_c, t_max_c: mean of the days' lowest and highest temperatures; None where they are not known.
    source: where they are from. Any sequences are taken and held as tuples.
    """

    rain_mm: Sequence[float]
    wet_days: Sequence[float] | None = None
    t_min_c: Sequence[float] | None = None
    t_max_c: Sequence[float] | None = None
    source: str = ""

    def __post_init__(self) -> None:
        for name in ("rain_mm", "wet_days", "t_min_c", "t_max_c"):
            object.__setattr__(self, name, _twelve(getattr(self, name)))

    @property
    def rain_year_mm(self) -> float:
        """Rain in a year, mm."""
        return math.fsum(self.rain_mm)


@dataclass(frozen=True, slots=True)
class ChangedClimate:
    """What the weather is changed by, month by month, January first.

    rain_factor: the rain is multiplied by it. t_shift_c: the temperatures rise by it, K. source: whose projection.
    """

    rain_factor: Sequence[float] = (1.0,) * MONTHS
    t_shift_c: Sequence[float] = (0.0,) * MONTHS
    source: str = ""

    def __post_init__(self) -> None:
        for name in ("rain_factor", "t_shift_c"):
            object.__setattr__(self, name, _twelve(getattr(self, name)))

    @property
    def is_none(self) -> bool:
        """Whether it changes nothing."""
        return all(factor == 1.0 for factor in self.rain_factor) and not any(self.t_shift_c)


@dataclass(frozen=True, slots=True)
class MonthlyColumn:
    """One column of twelve figures: what it is called, its quantity and its range, ends included."""

    name: str
    label: str
    quantity: Quantity
    least: float
    most: float


MONTHLY_COLUMNS = (
    MonthlyColumn("rain_mm", "Rain", Quantity.RAIN_MM, 0.0, 10_000.0),
    MonthlyColumn("wet_days", "Wet days", Quantity.NUMBER, 0.0, 31.0),
    MonthlyColumn("t_min_c", "Lowest", Quantity.AIR_C, -70.0, 50.0),
    MonthlyColumn("t_max_c", "Highest", Quantity.AIR_C, -60.0, 60.0),
)
"""The columns of `Monthly`. The wettest month on record had 9,300 mm (Cherrapunji, July 1861); from memory."""
CHANGE_COLUMNS = (
    MonthlyColumn("rain_factor", "Rain times", Quantity.NUMBER, 0.0, 5.0),
    MonthlyColumn("t_shift_c", "Warmer by", Quantity.WARMING_K, -15.0, 15.0),
)
"""The columns of `ChangedClimate`."""


def _column_fault(column: MonthlyColumn, values: Any, system: UnitSystem) -> Fault | None:
    if not isinstance(values, tuple) or len(values) != MONTHS:
        return Fault(column.label, f"{column.label} has not twelve figures.", "Give one for each month, January first.")
    for month, value in zip(MONTH_NAMES, values, strict=True):
        if not math.isfinite(value) or not column.least <= value <= column.most:
            shown = exact_text(value, column.quantity, system)
            limits = range_text(column.least, column.most, column.quantity, system)
            return Fault(f"{column.label}, {month}", f"It is {shown}.", f"Give {limits}.")
    return None


def _wet_days_fault(wet_days: Sequence[float]) -> Fault | None:
    for month, days, most in zip(MONTH_NAMES, wet_days, MONTH_DAYS, strict=True):
        if days > math.ceil(most):
            return Fault(f"Wet days, {month}", f"{month} has not {days:g} days.", "Give at most its days.")
    return None


def _temperature_fault(monthly: Monthly) -> Fault | None:
    if monthly.t_min_c is None or monthly.t_max_c is None:
        return None
    for month, low, high in zip(MONTH_NAMES, monthly.t_min_c, monthly.t_max_c, strict=True):
        if low > high:
            return Fault(
                f"Lowest, {month}",
                "The lowest temperature is above the highest.",
                "They may stand the wrong way round.",
            )
    return None


def monthly_faults(
    monthly: Monthly, system: UnitSystem = UnitSystem.METRIC, *, optional: Sequence[str] = ("wet_days",)
) -> Iterator[Fault]:
    """What keeps twelve monthly figures from being taken: missing, out of range, the wrong way round.

    optional: the columns that may be None. A site needs its temperatures.
    """
    for column in MONTHLY_COLUMNS:
        values = getattr(monthly, column.name)
        if column.name in optional and values is None:
            continue
        fault = _column_fault(column, values, system)
        if fault is not None:
            yield fault
            return
    fault = _temperature_fault(monthly) or (_wet_days_fault(monthly.wet_days) if monthly.wet_days else None)
    if fault is not None:
        yield fault


def change_faults(change: ChangedClimate, system: UnitSystem = UnitSystem.METRIC) -> Iterator[Fault]:
    """What keeps monthly factors from being taken."""
    for column in CHANGE_COLUMNS:
        fault = _column_fault(column, getattr(change, column.name), system)
        if fault is not None:
            yield fault
            return
