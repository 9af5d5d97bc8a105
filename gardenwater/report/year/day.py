"""One day of a year as the plan and the cards show it: what each tank holds and each bed wants."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from gardenwater.assess.answers import Answers, LastingAnswer, ReachAnswer
from gardenwater.balance import Balance
from gardenwater.report.year.days import LEAST_L
from gardenwater.report.year.years import DRIEST

SOON_DAYS = 3
"""A bed that will want water within so many days is told of beforehand."""

_L = 1000.0
_LEAST_SPILL_L = 1.0


class Dryness(StrEnum):
    """How dry a bed is, moist first: by when its readily available water is used up and watering is due.

    DRY: it wanted water that day and was refused some.
    """

    MOIST = "moist"
    SOON = "soon"
    TODAY = "today"
    DRY = "dry"


_ROLES = {Dryness.MOIST: "bed_1", Dryness.SOON: "bed_2", Dryness.TODAY: "bed_3", Dryness.DRY: "bed_4"}


@dataclass(frozen=True, slots=True, kw_only=True)
class TankDay:
    """One tank at a day's end. serves: ids of the beds that it reaches by gravity at its level then."""

    tank: str
    volume_l: float
    level_m: float
    inflow_l: float
    drawn_l: float
    spill_l: float
    serves: tuple[str, ...]

    @property
    def spills(self) -> bool:
        """Whether its overflow runs."""
        return self.spill_l >= _LEAST_SPILL_L


@dataclass(frozen=True, slots=True, kw_only=True)
class BedDay:
    """One bed on a day.

    depletion_mm: what is missing in its root zone to be full, at the day's end; NaN where that is not known.
    next_day: the next day on which it wants water, that day among them, or None till the year's end; next_l: how much.
    within: ids of the tanks that reach it by gravity at their levels then.
    """

    bed: str
    dryness: Dryness
    depletion_mm: float
    wanted_l: float
    met_gravity_l: float
    met_can_l: float
    short_l: float
    next_day: dt.date | None
    next_l: float
    within: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayState:
    """A day of a year: tanks and beds by id. Equal where all is equal, so that a drawing of it can be kept."""

    date: dt.date
    can_l: float
    tanks: Mapping[str, TankDay]
    beds: Mapping[str, BedDay]


def day_of(answers: Answers | None, key: str, date: dt.date | None) -> DayState | None:
    """The state of a day; None where Lasting is not answered, or the day is not in that year.

    key: of the year, empty for the driest.
    """
    lasting = None if answers is None else answers.lasting
    if answers is None or lasting is None or date is None or (key and key not in lasting.keys):
        return None
    balance = lasting.of(key or DRIEST).balance
    if not balance.start <= date <= balance.last:
        return None
    return _state(lasting, balance, answers.reach, date)


def _state(lasting: LastingAnswer, balance: Balance, reach: ReachAnswer | None, date: dt.date) -> DayState:
    at = balance.index(date)
    levels = dict(zip(balance.tanks, balance.level_m[at].tolist(), strict=True))
    volumes = dict(zip(balance.tanks, (balance.volume_m3[at] * _L).tolist(), strict=True))
    ways = _gravity(reach, levels, volumes)
    tanks = {
        tank: TankDay(
            tank=tank,
            volume_l=volumes[tank],
            level_m=levels[tank],
            inflow_l=float(balance.inflow_m3[at, place]) * _L,
            drawn_l=float(balance.drawn_m3[at, place]) * _L,
            spill_l=float(balance.spill_m3[at, place]) * _L,
            serves=tuple(bed for bed in balance.beds if (tank, bed) in ways),
        )
        for place, tank in enumerate(balance.tanks)
    }
    beds = {bed: _bed_day(balance, at, place, ways) for place, bed in enumerate(balance.beds)}
    return DayState(date=date, can_l=lasting.can_l, tanks=tanks, beds=beds)


def _gravity(
    reach: ReachAnswer | None, levels: Mapping[str, float], volumes: Mapping[str, float]
) -> frozenset[tuple[str, str]]:
    """Which tank reaches which bed at these levels: those above the bed's needed level."""
    if reach is None:
        return frozenset()
    return frozenset(
        (tank.tank, bed.bed)
        for tank in reach.tanks
        for bed in tank.beds
        if volumes.get(tank.tank, 0.0) > LEAST_L
        and levels.get(tank.tank, -math.inf) > max(bed.needed_level_m, tank.outlet_level_m)
    )


def _bed_day(balance: Balance, at: int, place: int, ways: frozenset[tuple[str, str]]) -> BedDay:
    bed = balance.beds[place]
    wanted, short = float(balance.wanted_l[at, place]), float(balance.short_l[at, place])
    ahead = np.flatnonzero(balance.wanted_l[at:, place] > LEAST_L)
    days = int(ahead[0]) if ahead.size else None
    return BedDay(
        bed=bed,
        dryness=_dryness(days, short),
        depletion_mm=float(balance.depletion_mm[at, place]),
        wanted_l=wanted,
        met_gravity_l=float(balance.met_gravity_l[at, place]),
        met_can_l=float(balance.met_can_l[at, place]),
        short_l=short,
        next_day=None if days is None else balance.start + dt.timedelta(days=at + days),
        next_l=0.0 if days is None else float(balance.wanted_l[at + days, place]),
        within=tuple(tank for tank in balance.tanks if (tank, bed) in ways),
    )


def _dryness(days: int | None, short_l: float) -> Dryness:
    if short_l > LEAST_L:
        return Dryness.DRY
    if days is None or days > SOON_DAYS:
        return Dryness.MOIST
    return Dryness.TODAY if days == 0 else Dryness.SOON


def bed_roles(state: DayState) -> dict[str, str]:
    """The colour of each bed by how dry it is, by id; the stronger, the moister."""
    return {bed: _ROLES[each.dryness] for bed, each in state.beds.items()}


def running(state: DayState) -> frozenset[str]:
    """Ids of the tanks that run over that day."""
    return frozenset(tank for tank, each in state.tanks.items() if each.spills)
