"""What can be wrong with a record of days, and what can be done about it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

NAN: Final = float("nan")


class Kind(StrEnum):
    """What is wrong."""

    UNITS = "units"
    UNREADABLE = "unreadable"
    STRAY = "stray"
    ORDER = "order"
    TWICE = "twice"
    FLAGGED = "flagged"
    NEGATIVE = "negative"
    IMPOSSIBLE = "impossible"
    UNLIKELY_RAIN = "unlikely-rain"
    UNLIKELY_TEMPERATURE = "unlikely-temperature"
    CROSSED = "crossed"
    STUCK = "stuck"
    RAIN_UNKNOWN = "rain-unknown"
    TEMPERATURE_UNKNOWN = "temperature-unknown"


class Mend(StrEnum):
    """What is done about it.

    DROP: the figure is taken as not known, and then as the choice for unknown figures has it. LEAVE_OUT: it stays
    unknown, and its year is not counted.
    """

    KEEP = "keep"
    DROP = "drop"
    ZERO = "zero"
    TENTH = "tenth"
    INCHES = "inches"
    FIRST = "first"
    LAST = "last"
    MEAN = "mean"
    SWAP = "swap"
    SORT = "sort"
    LEAVE_OUT = "leave-out"
    MONTH_MEAN = "month-mean"
    BETWEEN = "between"


CHOICES: Final[Mapping[Kind, tuple[Mend, ...]]] = {
    Kind.UNITS: (Mend.KEEP, Mend.TENTH, Mend.INCHES),
    Kind.UNREADABLE: (Mend.DROP,),
    Kind.STRAY: (Mend.DROP,),
    Kind.ORDER: (Mend.SORT,),
    Kind.TWICE: (Mend.DROP, Mend.FIRST, Mend.LAST, Mend.MEAN),
    Kind.FLAGGED: (Mend.DROP, Mend.KEEP),
    Kind.NEGATIVE: (Mend.DROP, Mend.ZERO),
    Kind.IMPOSSIBLE: (Mend.DROP, Mend.TENTH),
    Kind.UNLIKELY_RAIN: (Mend.KEEP, Mend.DROP, Mend.TENTH),
    Kind.UNLIKELY_TEMPERATURE: (Mend.KEEP, Mend.DROP),
    Kind.CROSSED: (Mend.DROP, Mend.SWAP),
    Kind.STUCK: (Mend.KEEP, Mend.DROP),
    Kind.RAIN_UNKNOWN: (Mend.LEAVE_OUT, Mend.ZERO, Mend.MONTH_MEAN),
    Kind.TEMPERATURE_UNKNOWN: (Mend.LEAVE_OUT, Mend.BETWEEN, Mend.MONTH_MEAN),
}
"""What can be done about each kind; the first is done unless another is chosen: nothing is filled by itself."""

Choices = Mapping[Kind, Mend]
"""What was chosen for some of the kinds."""


@dataclass(frozen=True, slots=True)
class Anomaly:
    """One thing noticed.

    column: one of `COLUMNS`, or empty for the whole day. first, last: the days, both included; None for a row whose
    day could not be read. value, other: the figures it is about, in the column's unit, NaN where there are none.
    line: where it stands in the file, 0 where it stands nowhere. words: what stands there that is no figure.
    """

    kind: Kind
    column: str
    first: dt.date | None
    last: dt.date | None
    value: float = NAN
    other: float = NAN
    line: int = 0
    words: str = ""

    @property
    def days(self) -> int:
        """How many days it is about."""
        return 0 if self.first is None or self.last is None else (self.last - self.first).days + 1
