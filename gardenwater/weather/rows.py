"""Rows of days as a file has them: in its order, with its gaps, before anything is put right."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gardenwater.weather.model import Days


@dataclass(frozen=True, slots=True)
class Unread:
    """A cell, or a whole row, that could not be read: its line, its day (None: not that either), column and words."""

    line: int
    day: dt.date | None
    column: str
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class DayRows:
    """What a file says, row by row; at least one row.

    day: datetime64[D] (rows,). line: where each row stands in the file, int64 (rows,), the first line is 1. columns:
    some of `COLUMNS`, float64 (rows,), in their units, NaN = no figure. flagged: for some of them, bool (rows,): set
    aside by the station's own checks. source: the file's name, and its station. notices: what was done on reading.
    """

    day: NDArray[np.datetime64]
    line: NDArray[np.int64]
    columns: Mapping[str, Days]
    flagged: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)
    unread: tuple[Unread, ...] = ()
    source: str = ""
    notices: tuple[str, ...] = ()
