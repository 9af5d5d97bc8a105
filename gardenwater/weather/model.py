"""Weather: a run of days, immutable and shared."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.errors import InputError

Days = NDArray[np.float64]
"""One figure a day, float64 (days,), read-only; NaN = not known that day."""

COLUMNS: Final = (
    "rain_mm",
    "t_min_c",
    "t_max_c",
    "radiation_mj_m2",
    "wind_m_s",
    "humidity_mean_pct",
    "dew_point_c",
)
"""What may be known of a day: the names of the arrays, in the order in which they are stored."""


class Weather:
    """A run of days without a break, from `start` on.

    rain_mm, t_min_c, t_max_c, radiation_mj_m2 (short-wave, MJ/m2 a day), wind_m_s (mean of the day at 2 m),
    humidity_mean_pct, dew_point_c: float64 (days,), read-only, NaN = not known that day; what is not given is NaN all
    through. made: made from monthly figures, not recorded. source: where it is from, in words. notices: what was done
    to it, one sentence each. left_out: bool (days,): True where a figure only stands in for one that is not known, so
    that a run can go on (`ready`); no year with such a day is in `years`.

    Equal when all figures, the start, `left_out` and `made` are equal. Raises InputError for arrays of different
    lengths, of no days, or for infinite figures.
    """

    __slots__ = (
        "_digest",
        "dew_point_c",
        "humidity_mean_pct",
        "left_out",
        "made",
        "notices",
        "radiation_mj_m2",
        "rain_mm",
        "source",
        "start",
        "t_max_c",
        "t_min_c",
        "wind_m_s",
    )

    def __init__(
        self,
        *,
        start: dt.date,
        rain_mm: ArrayLike,
        t_min_c: ArrayLike | None = None,
        t_max_c: ArrayLike | None = None,
        radiation_mj_m2: ArrayLike | None = None,
        wind_m_s: ArrayLike | None = None,
        humidity_mean_pct: ArrayLike | None = None,
        dew_point_c: ArrayLike | None = None,
        left_out: ArrayLike | None = None,
        made: bool = False,
        source: str = "",
        notices: tuple[str, ...] = (),
    ) -> None:
        self.start = start
        self.rain_mm: Days = _held(rain_mm, "rain_mm", None)
        days = self.rain_mm.size
        self.t_min_c: Days = _held(t_min_c, "t_min_c", days)
        self.t_max_c: Days = _held(t_max_c, "t_max_c", days)
        self.radiation_mj_m2: Days = _held(radiation_mj_m2, "radiation_mj_m2", days)
        self.wind_m_s: Days = _held(wind_m_s, "wind_m_s", days)
        self.humidity_mean_pct: Days = _held(humidity_mean_pct, "humidity_mean_pct", days)
        self.dew_point_c: Days = _held(dew_point_c, "dew_point_c", days)
        self.left_out: NDArray[np.bool_] = _held_flags(left_out, days)
        self.made = made
        self.source = source
        self.notices = notices
        self._digest = ""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Weather) and (self is other or self.digest == other.digest)

    def __hash__(self) -> int:
        return hash(self.digest)

    def __repr__(self) -> str:
        return f"Weather({self.start} to {self.last}, {self.days} days{', made' if self.made else ''})"

    @property
    def days(self) -> int:
        """How many days."""
        return int(self.rain_mm.size)

    @property
    def last(self) -> dt.date:
        """The last day."""
        return self.start + dt.timedelta(days=self.days - 1)

    def dates(self) -> NDArray[np.datetime64]:
        """The days, datetime64[D] (days,)."""
        return np.datetime64(self.start, "D") + np.arange(self.days)

    def months(self) -> NDArray[np.int64]:
        """The month of each day, 1 to 12, int64 (days,)."""
        months: NDArray[np.int64] = self.dates().astype("datetime64[M]").astype(np.int64) % 12 + 1
        return months

    def day_of_year(self) -> NDArray[np.int64]:
        """The number of each day in its year, from 1, int64 (days,)."""
        dates = self.dates()
        days: NDArray[np.int64] = (dates - dates.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.int64) + 1
        return days

    def index(self, day: dt.date) -> int:
        """The place of a day in the arrays. Raises InputError for a day that is not in it."""
        at = (day - self.start).days
        if not 0 <= at < self.days:
            raise InputError(
                f"{day} is not in the weather.", where="day", mend=f"It runs from {self.start} to {self.last}."
            )
        return at

    @property
    def years(self) -> tuple[int, ...]:
        """The calendar years that are whole in it: all days there, rain known, none left out.

        Temperatures must be known too, where any are.
        """
        return tuple(year for year in self._calendar_years() if self._is_whole(year))

    def _calendar_years(self) -> Iterator[int]:
        """The years whose first and last days are in it."""
        for year in range(self.start.year, self.last.year + 1):
            if self.start <= dt.date(year, 1, 1) and dt.date(year, 12, 31) <= self.last:
                yield year

    def _is_whole(self, year: int) -> bool:
        at = self._of_year(year)
        needed = ("rain_mm", *(name for name in ("t_min_c", "t_max_c") if self.knows(name)))
        return not (self.left_out[at].any() or any(np.isnan(getattr(self, name)[at]).any() for name in needed))

    def _of_year(self, year: int) -> slice:
        return slice((dt.date(year, 1, 1) - self.start).days, (dt.date(year, 12, 31) - self.start).days + 1)

    def year(self, year: int) -> Weather:
        """The days of one calendar year; of a year that is not wholly in it, those that are.

        Raises InputError for a year with no day in it.
        """
        return self.slice(dt.date(year, 1, 1), dt.date(year, 12, 31))

    def slice(self, first: dt.date, last: dt.date) -> Weather:
        """The days from `first` to `last`, both included, as far as they are in it; InputError for none."""
        start, end = max(first, self.start), min(last, self.last)
        if start > end:
            raise InputError(
                f"No day from {first} to {last} is in the weather.",
                where="first, last",
                mend=f"It runs from {self.start} to {self.last}.",
            )
        at = slice((start - self.start).days, (end - self.start).days + 1)
        return self.replaced(
            start=start, left_out=self.left_out[at], columns={n: getattr(self, n)[at] for n in COLUMNS}
        )

    def replaced(
        self,
        *,
        start: dt.date | None = None,
        left_out: ArrayLike | None = None,
        made: bool | None = None,
        source: str | None = None,
        notices: tuple[str, ...] | None = None,
        columns: Mapping[str, ArrayLike] | None = None,
    ) -> Weather:
        """A copy with some of it changed; `columns` by their names."""
        held = {name: (columns or {}).get(name, getattr(self, name)) for name in COLUMNS}
        return Weather(
            start=self.start if start is None else start,
            left_out=self.left_out if left_out is None else left_out,
            made=self.made if made is None else made,
            source=self.source if source is None else source,
            notices=self.notices if notices is None else notices,
            **held,
        )

    def knows(self, column: str) -> bool:
        """Whether any day of a column is known."""
        return not bool(np.isnan(getattr(self, column)).all())

    @property
    def digest(self) -> str:
        """SHA-256 of start, figures, `left_out` and `made`; worked out once."""
        if not self._digest:
            sha = hashlib.sha256(repr((self.start.isoformat(), self.days, self.made)).encode())
            for name in COLUMNS:
                sha.update(getattr(self, name).tobytes())
            sha.update(self.left_out.tobytes())
            self._digest = sha.hexdigest()
        return self._digest


def _held(values: ArrayLike | None, name: str, days: int | None) -> Days:
    """The values as they are held: one NaN and one zero for all, so that equal weather has equal bytes; read-only."""
    held = np.full(days or 0, np.nan) if values is None else np.array(values, dtype=np.float64, copy=True) + 0.0
    if held.ndim != 1 or held.size == 0:
        raise InputError("There are no days in it.", where=name, mend="Give one figure for each day.")
    if days is not None and held.size != days:
        raise InputError(
            f"It has {held.size} days and the rain has {days}.", where=name, mend="Give one figure for each day."
        )
    if np.isinf(held).any():
        raise InputError("A figure is infinite.", where=name, mend="Give NaN for a day that is not known.")
    held[np.isnan(held)] = np.nan
    held.flags.writeable = False
    return held


def _held_flags(values: ArrayLike | None, days: int) -> NDArray[np.bool_]:
    held = np.zeros(days, dtype=np.bool_) if values is None else np.array(values, dtype=np.bool_, copy=True)
    if held.shape != (days,):
        raise InputError("It has not one flag for each day.", where="left_out", mend="Give True or False for each day.")
    held.flags.writeable = False
    return held
