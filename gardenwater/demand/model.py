"""What a bed's days are, worked out beforehand: all of the balance that does not depend on its state."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.records_zone import Records
from gardenwater.errors import InputError

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]


class Stage(IntEnum):
    """What stands on a bed on a day: the stages of FAO-56 figure 25, and the time between two crops."""

    NONE = 0
    INITIAL = 1
    DEVELOPMENT = 2
    MIDDLE = 3
    LATE = 4
    DORMANT = 5


@dataclass(frozen=True, slots=True, eq=False)
class Growth:
    """What stands on a bed on each day; float64 (days,), read-only.

    kcb: basal crop coefficient; wetness: what the single one is more. height_m, root_m: of the plants. depletion_p: of
    FAO-56 Table 22, at 5 mm a day. stage: `Stage`, uint8. crop: 0 none, 1 the first, 2 the second crop, uint8.
    """

    kcb: Floats
    wetness: Floats
    height_m: Floats
    root_m: Floats
    depletion_p: Floats
    stage: Bytes
    crop: Bytes


@dataclass(frozen=True, slots=True, eq=False)
class BedDays:
    """A bed's days: what `kernels_zone.day` needs of them, and what people ask of them. All arrays are read-only.

    bed: its id. start: the first day. area_m2: what is watered. table: records `DAY` (days,). soil: record `BED` ().
    state: record `STATE` (), at the start of the first day. et0_mm: reference evapotranspiration in place (shade and
    shelter), covered: share of the soil under leaves; float64 (days,). grown: what stands on it. sources: where the
    figures are from, one for each.
    """

    bed: str
    start: dt.date
    area_m2: float
    table: Records
    soil: Records
    state: Records
    et0_mm: Floats
    covered: Floats
    grown: Growth
    sources: tuple[str, ...] = ()

    @property
    def days(self) -> int:
        """How many days."""
        return int(self.table.size)

    @property
    def available_mm(self) -> Floats:
        """Available water of each day's root zone, mm, float64 (days,)."""
        held: Floats = self.table["available_mm"]
        return held

    @property
    def readily_mm(self) -> Floats:
        """Readily available water of each day's root zone, mm, float64 (days,)."""
        held: Floats = self.table["readily_mm"]
        return held


@dataclass(frozen=True, slots=True, eq=False)
class BedStack:
    """The days of several beds as `kernels_zone` takes them.

    ids: of the beds, in their order. days: records `DAY` (days, beds). beds: `BED` (beds,). state: `STATE` (beds,), at
    the start; a run changes a copy. area_m2: float64 (beds,). All read-only.
    """

    start: dt.date
    ids: tuple[str, ...]
    days: Records
    beds: Records
    state: Records
    area_m2: Floats


def stack(beds: Sequence[BedDays]) -> BedStack:
    """The days of several beds in one block, in their order. Raises InputError where their days differ, or for none."""
    if not beds:
        raise InputError("There is no bed.", where="beds", mend="Give at least one bed.")
    if len({(each.start, each.days) for each in beds}) > 1:
        raise InputError("The beds have different days.", where="beds", mend="Make all of them from one weather.")
    made = BedStack(
        start=beds[0].start,
        ids=tuple(each.bed for each in beds),
        days=np.stack([each.table for each in beds], axis=1),
        beds=np.array([each.soil for each in beds]),
        state=np.array([each.state for each in beds]),
        area_m2=np.array([each.area_m2 for each in beds]),
    )
    for array in (made.days, made.beds, made.state, made.area_m2):
        array.flags.writeable = False
    return made
