"""Runs a system over its days: whole, with every litre of each, or only what each season comes to."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.balance.course import Course, course, runs_off
from gardenwater.balance.model import Floats, System, held
from gardenwater.balance.prepare import joined, wants_of, works_of
from gardenwater.balance.records import OF_BEDS, OF_TANKS, Works
from gardenwater.balance.result import Balance
from gardenwater.site.storing import YieldRule
from gardenwater.weather import Weather
from gardenwater.work import Cancel, Progress, say, stop_if

_CHUNK_DAYS = 4000
_L = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Totals:
    """What the seasons of a run come to: float64 (seasons,) each.

    need_l, met_l, inflow_l, spill_l: litres. wanting_days: days on which water is wanted; short_days: of these, those
    on which some bed is refused some.
    """

    need_l: Floats
    met_l: Floats
    wanting_days: Floats
    short_days: Floats
    inflow_l: Floats
    spill_l: Floats

    @property
    def share_met_volume(self) -> float:
        """Litres given over litres needed, 0 to 1; 1 where nothing is needed."""
        need = float(self.need_l.sum())
        return min(float(self.met_l.sum()) / need, 1.0) if need > 0 else 1.0

    @property
    def share_met_days(self) -> float:
        """Of the days on which water is wanted, the share on which all get it; 1 where none is wanted."""
        wanting = float(self.wanting_days.sum())
        return 1.0 - float(self.short_days.sum()) / wanting if wanting > 0 else 1.0


def run(
    system: System,
    weather: Weather,
    *,
    rule: YieldRule | None = None,
    runoff_mm: ArrayLike | None = None,
    evaporation_mm: ArrayLike | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Balance:
    """The store of a system, day by day over a weather: what comes in, what each bed gets, what spills, all accounted.

    system: tanks, links, downpipes with diverters, beds, rules. weather: its rain is what falls; it must be known each
    day. rule: yield after or before spillage, the system's unless given. runoff_mm: (days,), rain and thaw that run off
    the roofs, the rain unless given. evaporation_mm: (days,), of open water, none unless given.

    The day's order of events is `ORDER` (Jenkins 1978; Fewkes and Butler 2000: V <= S - Y). Linked tanks are
    communicating vessels: only water above a link passes, links that would level within two hours do so at once, and
    thinner ones run in quarters of an hour. Raises InputError for what does not fit, Cancelled.
    """
    if rule is not None:
        system = replace(system, rules=replace(system.rules, yield_rule=rule))
    days = course(system, weather, runoff_mm=runoff_mm, evaporation_mm=evaporation_mm)
    return run_course(system, days, cancel=cancel, progress=progress)


def run_course(
    system: System, days: Course, *, cancel: Cancel | None = None, progress: Progress | None = None
) -> Balance:
    """`run` over days that are at hand."""
    runs = runs_off(system.gathers, days.runoff_mm)
    past = _room_for(system, days.days)

    def told(done: int) -> None:
        say(progress, done / days.days, "Running the years")

    _run(system, days, runs, past, np.zeros((int(days.seasons.max()) + 1, 6)), keep=1, cancel=cancel, told=told)
    return _balance(system, days, runs, past)


def totals_of(system: System, days: Course, *, cancel: Cancel | None = None) -> Totals:
    """What each season of `run_course` comes to, without its days: little memory, for many variants."""
    totals = np.zeros((int(days.seasons.max()) + 1, 6))
    runs = runs_off(system.gathers, days.runoff_mm)
    _run(system, days, runs, _room_for(system, 1), totals, keep=0, cancel=cancel)
    need, met, wanting, short, inflow, spill = totals.T
    return Totals(
        need_l=held(need * _L),
        met_l=held(met * _L),
        wanting_days=held(wanting),
        short_days=held(short),
        inflow_l=held(inflow * _L),
        spill_l=held(spill * _L),
    )


def _start(system: System) -> Floats:
    """What each tank holds before the first day: no more than it can."""
    return np.array([min(tank.start_m3, tank.capacity_m3) for tank in system.tanks], dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class _Past:
    """What the kernel leaves of each day: (7, rows, tanks), (6, rows, beds) as `records` names them; see `Balance`."""

    tanks: Floats
    beds: Floats
    foot: Floats
    link: Floats
    minutes: Floats


def _room_for(system: System, rows: int) -> _Past:
    return _Past(
        np.empty((len(OF_TANKS), rows, len(system.tanks))),
        np.empty((len(OF_BEDS), rows, len(system.beds))),
        np.empty((rows, len(system.gathers))),
        np.empty((rows, len(system.links))),
        np.empty(rows),
    )


def _run(
    system: System,
    days: Course,
    runs: Floats,
    past: _Past,
    totals: Floats,
    *,
    keep: int,
    cancel: Cancel | None,
    told: Callable[[int], None] | None = None,
) -> None:
    from gardenwater.balance.kernels_days import run as kernel

    volume, debt, zone = _start(system), np.zeros(len(system.beds)), days.zone_state.copy()
    wants, given = wants_of(system), days.given_l / _L
    for works, first, last in _stretches(system, days):
        stop_if(cancel)
        kernel(
            works, wants, first, last, runs, days.evaporation_mm, given, days.zones, days.soils, days.seasons,
            volume, debt, zone, past.tanks, past.beds, past.foot, past.link, past.minutes, keep, totals,
        )  # fmt: skip
        if told is not None:
            told(last)


def winter_tanks(system: System) -> frozenset[str]:
    """The tanks that are shut off and drained in winter."""
    return frozenset(tank.id for tank in system.tanks if tank.winter) if system.rules.winter else frozenset()


def _is_winter(system: System, days: Course) -> NDArray[np.bool_]:
    if not winter_tanks(system):
        return np.zeros(days.days, dtype=np.bool_)
    return np.isin(days.months, system.rules.winter)


def _stretches(system: System, days: Course) -> Iterator[tuple[Works, int, int]]:
    """Runs of days with the same tanks in use, cut where it is looked whether the work is still wanted."""
    winter = _is_winter(system, days)
    works = {bool(each): works_of(system, winter_tanks(system) if each else frozenset()) for each in np.unique(winter)}
    turns = np.flatnonzero(np.diff(winter.astype(np.int8))) + 1
    cuts = sorted({0, days.days, *turns.tolist(), *range(0, days.days, _CHUNK_DAYS)})
    for first, last in pairwise(cuts):
        yield works[bool(winter[first])], first, last


def _balance(system: System, days: Course, runs: Floats, past: _Past) -> Balance:
    start = _start(system)
    kept = dict(zip((*OF_TANKS, *OF_BEDS), (*past.tanks, *past.beds), strict=True))
    level = _levels(system, kept["volume_m3"])
    arrays = {
        "start_m3": start,
        "runs_m3": runs,
        "foot_m3": past.foot,
        "level_m": level,
        "link_m3": _through(system, days, past.link, kept.pop("levelled_m3")),
        "link_gap_m": _gaps(system, days, level),
        "round_min": past.minutes,
        **kept,
    }
    for array in arrays.values():
        array.flags.writeable = False
    return Balance(
        start=days.start,
        rain_mm=days.rain_mm,
        tanks=tuple(tank.id for tank in system.tanks),
        beds=tuple(bed.id for bed in system.beds),
        links=tuple(link.id for link in system.links),
        pipes=tuple(gather.id for gather in system.gathers),
        **arrays,
    )


def _levels(system: System, volume: Floats) -> Floats:
    """Where the water of each tank stands, m, (days, tanks)."""
    level = np.empty_like(volume)
    for at, tank in enumerate(system.tanks):
        height, holds = tank.shape.height_m, tank.shape.volume_m3
        if height.size == 2:
            level[:, at] = volume[:, at] * (height[1] / holds[1]) + tank.floor_level_m
        else:
            level[:, at] = np.interp(volume[:, at], holds, height) + tank.floor_level_m
    return level


def _through(system: System, days: Course, link: Floats, levelled: Floats) -> Floats:
    """What passes each link: of links that level at once by what the tanks on one side of them lose by levelling."""
    through = link.copy()
    place = {tank.id: at for at, tank in enumerate(system.tanks)}
    winter = _is_winter(system, days)
    for season in np.unique(winter):
        acts = joined(system, winter_tanks(system) if season else frozenset())
        level_links = [at for at, link in enumerate(system.links) if acts[link.id] == "level"]
        rows = winter == season
        pairs = {at: (place[system.links[at].first], place[system.links[at].second]) for at in level_links}
        for at in _tree(pairs):
            side = _side(pairs[at][0], [pair for other, pair in pairs.items() if other in _tree(pairs) and other != at])
            through[np.ix_(rows, [at])] = -levelled[np.ix_(rows, sorted(side))].sum(axis=1, keepdims=True)
    return through


def _tree(pairs: dict[int, tuple[int, int]]) -> list[int]:
    """The links that join something new; one that closes a ring passes nothing of its own."""
    return [
        at for number, at in enumerate(pairs) if pairs[at][1] not in _side(pairs[at][0], list(pairs.values())[:number])
    ]


def _side(tank: int, pairs: list[tuple[int, int]]) -> set[int]:
    """The tanks that are joined to a tank by these links."""
    found = {tank}
    while True:
        more = {end for pair in pairs if found & set(pair) for end in pair} - found
        if not more:
            return found
        found |= more


def _gaps(system: System, days: Course, level: Floats) -> Floats:
    """How far the levels at the ends of each link differ above it; float valves are no levelling."""
    place = {tank.id: at for at, tank in enumerate(system.tanks)}
    gaps = np.zeros((level.shape[0], len(system.links)))
    winter = _is_winter(system, days)
    for at, link in enumerate(system.links):
        if link.float_level_m is not None:
            continue
        one, other = level[:, place[link.first]], level[:, place[link.second]]
        above = np.maximum(one, other) - np.maximum(np.minimum(one, other), link.level_m)
        shut = {link.first, link.second} & winter_tanks(system)
        gaps[:, at] = np.where(winter & bool(shut), 0.0, np.maximum(above, 0.0))
    return gaps
