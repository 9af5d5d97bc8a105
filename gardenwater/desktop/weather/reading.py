"""Reading a file of weather for the sheet: what it is taken for, its rows, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from gardenwater.weather import Choices, LookedOver, look_over
from gardenwater.work import Cancel, Progress

if TYPE_CHECKING:
    from gardenwater.files import DaysSeen
    from gardenwater.weather import DayRows


@dataclass(frozen=True, slots=True)
class Draft:
    """A file with what was answered about it so far.

    columns: for a column of weather the heading it is taken from, empty for none. units: the key of its unit.
    day_order: empty until it is chosen. station: empty for the only one. choices: what to do about anomalies.
    """

    path: Path
    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    day_order: str = ""
    station: str = ""
    choices: Choices = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """A draft as it was read.

    rows, looked: None while no column is taken for the rain. rows are kept, so that another choice about anomalies
    reads nothing anew.
    """

    draft: Draft
    seen: DaysSeen
    rows: DayRows | None
    looked: LookedOver | None


def read_job(draft: Draft, rows: Reading | None = None) -> Callable[[Cancel, Progress], Reading]:
    """The work of reading a draft; `rows`: a reading of the same file and columns, whose rows are looked over anew.

    It raises what `files.read_days` raises, NeedsAnswer for several stations among it; units and dates that are not
    sure are taken as likeliest, and shown.
    """

    def job(_cancel: Cancel, _progress: Progress) -> Reading:
        if rows is not None and rows.rows is not None:
            return Reading(draft, rows.seen, rows.rows, look_over(rows.rows, draft.choices))
        from gardenwater.files import days_seen, read_days

        seen = days_seen(draft.path, columns=draft.columns)
        if not seen.has_rain:
            return Reading(draft, seen, None, None)
        units = {each.column: each.unit for each in seen.columns if each.column} | dict(draft.units)
        found = read_days(
            draft.path,
            day_order=draft.day_order or seen.day_order or "day-first",
            columns=draft.columns,
            units=units,
            station=draft.station or None,
        )
        return Reading(draft, seen, found, look_over(found, draft.choices))

    return job
