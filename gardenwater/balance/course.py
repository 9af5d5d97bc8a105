"""The days that a system is run over: rain that runs off, evaporation, root zones."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.balance.model import Floats, Gather, System, held
from gardenwater.balance.records import Records
from gardenwater.errors import InputError
from gardenwater.weather import Weather

DRY_DAY_MM = 0.2
"""A day with less is dry: a first-flush device runs empty on it (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """What the sky brings on each day, the same for all variants of a system.

    start: the first day. rain_mm: as measured; runoff_mm: rain and thaw that run off roofs; evaporation_mm: of open
    water; float64 (days,). given_l: (days, beds), needs that are given, 0 for the beds that have a root zone.
    zones, soils, zone_state: `demand.BedStack` of the beds that have one. seasons: (days,), int64, the row of the
    totals that a day counts in. months: (days,), 1 to 12.
    """

    start: dt.date
    rain_mm: Floats
    runoff_mm: Floats
    evaporation_mm: Floats
    given_l: Floats
    zones: Records
    soils: Records
    zone_state: Records
    seasons: NDArray[np.int64]
    months: NDArray[np.int64]

    @property
    def days(self) -> int:
        """How many days."""
        return int(self.rain_mm.size)


def course(
    system: System,
    weather: Weather,
    *,
    runoff_mm: ArrayLike | None = None,
    evaporation_mm: ArrayLike | None = None,
    seasons: NDArray[np.int64] | None = None,
) -> Course:
    """The days of a weather for a system; see `Course`.

    runoff_mm: the rain unless given. evaporation_mm: none unless given. seasons: the calendar years unless given.
    Raises InputError where rain is not known, or an array has another length than the weather.
    """
    days = weather.days
    rain = _of_length(weather.rain_mm, days, "rain_mm")
    if np.isnan(rain).any():
        raise InputError(
            "The rain of some days is not known.", where="weather", mend="Fill the gaps, or leave the days out."
        )
    years = weather.dates().astype("datetime64[Y]").astype(np.int64)
    stacked = _stacked(system, weather)
    return Course(
        start=weather.start,
        rain_mm=rain,
        runoff_mm=rain if runoff_mm is None else _of_length(runoff_mm, days, "runoff_mm"),
        evaporation_mm=_of_length(np.zeros(days) if evaporation_mm is None else evaporation_mm, days, "evaporation_mm"),
        given_l=_given(system, days),
        zones=stacked[0],
        soils=stacked[1],
        zone_state=stacked[2],
        seasons=years - years[0] if seasons is None else seasons,
        months=weather.months(),
    )


def _of_length(values: ArrayLike, days: int, where: str) -> Floats:
    array = held(values)
    if array.shape != (days,):
        raise InputError(f"There must be one figure for each of the {days} days.", where=where)
    return array


def _given(system: System, days: int) -> Floats:
    given = np.zeros((days, len(system.beds)))
    for at, bed in enumerate(system.beds):
        if bed.days is None:
            given[:, at] = _of_length(np.zeros(days) if bed.need_l is None else bed.need_l, days, f"{bed.id}.need_l")
    if not (given >= 0).all():
        raise InputError("A need is negative or not known.", where="need_l", mend="Give 0 where nothing is wanted.")
    return given


def _stacked(system: System, weather: Weather) -> tuple[Records, Records, Records]:
    """The root zones of those beds that have one, as the kernels take them."""
    from gardenwater.demand import stack
    from gardenwater.demand.records_zone import BED, DAY, STATE

    zones = [bed.days for bed in system.beds if bed.days is not None]
    if not zones:
        return np.zeros((weather.days, 0), DAY), np.zeros(0, BED), np.zeros(0, STATE)
    if any((each.start, each.days) != (weather.start, weather.days) for each in zones):
        raise InputError("The beds' days are not those of the weather.", where="beds", mend="Make them from it.")
    stacked = stack(zones)
    return stacked.days, stacked.beds, stacked.state


def runs_off(gathers: Sequence[Gather], runoff_mm: Floats) -> Floats:
    """What runs down each pipe each day, m3, float64 (days, pipes), first flush taken off.

    A device keeps what it holds of each run of wet days, and runs empty on a dry one (under 0.2 mm).
    """
    runs = runoff_mm[:, None] * np.array([gather.m3_mm for gather in gathers])[None, :]
    if any(gather.first_flush_m3 > 0 and gather.m3_mm > 0 for gather in gathers):
        fallen, before = _of_event(runoff_mm)
        for at, gather in enumerate(gathers):
            if gather.first_flush_m3 > 0 and gather.m3_mm > 0:
                holds_mm = gather.first_flush_m3 / gather.m3_mm
                runs[:, at] -= gather.m3_mm * (np.minimum(fallen, holds_mm) - np.minimum(before, holds_mm))
    sent: Floats = runs
    return sent


def _of_event(runoff_mm: Floats) -> tuple[Floats, Floats]:
    """Depth of this run of wet days up to each day's end, and up to its beginning; a dry day is a run of its own."""
    dry = runoff_mm < DRY_DAY_MM
    total = np.cumsum(runoff_mm)
    before = total - runoff_mm
    begins = np.concatenate(([True], dry[1:] | dry[:-1]))
    first = np.maximum.accumulate(np.where(begins, np.arange(dry.size), 0))
    return total - before[first], before - before[first]
