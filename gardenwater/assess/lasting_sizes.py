"""The long runs of Lasting: how the share met grows with tanks, roofs and beds, and what the loss of a tank costs."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np

from gardenwater.assess.lasting import StoreCurve, StoreSizes, TankLoss
from gardenwater.balance import Course, Gather, System, Totals, totals_of
from gardenwater.work import Cancel, Progress, say, stop_if

FACTORS = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0)
MORE_ROOF = 1.5
_L = 1000.0
_THREADS = 2
_CLOSE = 0.01
_ROUNDS = 12

Sized = Callable[[System, float], System]


def with_tanks(system: System, factor: float) -> System:
    """All tanks as high, and `factor` times as wide."""
    tanks = tuple(
        replace(tank, shape=tank.shape.scaled(factor), start_m3=tank.start_m3 * factor, open_m2=tank.open_m2 * factor)
        for tank in system.tanks
    )
    return replace(system, tanks=tanks)


def with_roofs(system: System, factor: float) -> System:
    """All roofs that lead to a pipe, `factor` times as large."""
    return replace(system, gathers=tuple(replace(each, m3_mm=each.m3_mm * factor) for each in system.gathers))


def with_beds(system: System, factor: float) -> System:
    """All beds `factor` times as large; what one will carry stays as it is."""
    return replace(system, beds=tuple(replace(bed, area_m2=bed.area_m2 * factor) for bed in system.beds))


def without_tank(system: System, tank_id: str) -> System:
    """The system without a tank: what led to it goes on down its pipe, what it was linked to stands alone."""
    kept = [at for at, tank in enumerate(system.tanks) if tank.id != tank_id]
    return replace(
        system,
        tanks=tuple(
            replace(system.tanks[at], overflow_to="") if system.tanks[at].overflow_to == tank_id else system.tanks[at]
            for at in kept
        ),
        links=tuple(link for link in system.links if tank_id not in (link.first, link.second)),
        gathers=tuple(_without_feeds(gather, tank_id) for gather in system.gathers),
        beds=tuple(
            replace(
                bed,
                needed_level_m=bed.needed_level_m[kept],
                minutes_per_l=None if bed.minutes_per_l is None else bed.minutes_per_l[kept],
            )
            for bed in system.beds
        ),
    )


def _without_feeds(gather: Gather, tank_id: str) -> Gather:
    feeds = []
    lost_above = False
    for feed in gather.feeds:
        if feed.tank == tank_id:
            lost_above = True
            continue
        feeds.append(replace(feed, share=feed.share_after) if lost_above else feed)
        lost_above = False
    return replace(gather, feeds=tuple(feeds))


def many_totals(
    systems: Sequence[System], course: Course, *, cancel: Cancel | None = None, progress: Progress | None = None
) -> Iterator[Totals]:
    """What each of many variants comes to over the same days, in their order; two at a time, no day of them kept."""
    with ThreadPoolExecutor(_THREADS) as pool:
        runs = pool.map(lambda system: totals_of(system, course, cancel=cancel), systems)
        for done, totals in enumerate(runs, start=1):
            stop_if(cancel)
            say(progress, done / len(systems), "Trying other sizes")
            yield totals


def sizes_of(
    system: System,
    course: Course,
    *,
    roof_m2: float,
    wanted_share: float,
    whole: Sequence[int],
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> StoreSizes:
    """Curves, least store and losses; see `StoreSizes`. roof_m2: that leads to tanks. whole: rows of whole years."""
    store_l, beds_m2 = system.capacity_m3 * _L, sum(bed.area_m2 for bed in system.beds)
    kinds: tuple[tuple[str, Sized, float], ...] = (
        ("tanks", with_tanks, store_l),
        ("tanks with more roof", lambda each, factor: with_roofs(with_tanks(each, factor), MORE_ROOF), store_l),
        ("roofs", with_roofs, roof_m2),
        ("beds", with_beds, beds_m2),
    )
    variants = [sized(system, factor) for _, sized, _ in kinds for factor in FACTORS]
    variants += [without_tank(system, tank.id) for tank in system.tanks]
    totals = list(many_totals(variants, course, cancel=cancel, progress=progress))
    count = len(FACTORS)
    curves = tuple(
        _curve(what, size, totals[at * count : (at + 1) * count]) for at, (what, _, size) in enumerate(kinds)
    )
    now = totals[FACTORS.index(1.0)]
    return StoreSizes(
        curves=curves,
        wanted_share=wanted_share,
        least_store_l=_least_store_l(system, course, curves[0], wanted_share, cancel),
        losses=tuple(
            _loss(tank.id, now, lost, whole)
            for tank, lost in zip(system.tanks, totals[len(kinds) * count :], strict=True)
        ),
    )


def _curve(what: str, size: float, totals: Iterable[Totals]) -> StoreCurve:
    found = list(totals)
    return StoreCurve(
        what=what,
        factors=FACTORS,
        sizes=tuple(size * factor for factor in FACTORS),
        share_volume=tuple(each.share_met_volume for each in found),
        share_days=tuple(each.share_met_days for each in found),
    )


def _loss(tank: str, now: Totals, lost: Totals, whole: Sequence[int]) -> TankLoss:
    rows = np.array(whole, dtype=np.int64)
    missing = (lost.need_l - lost.met_l)[rows].mean() - (now.need_l - now.met_l)[rows].mean()
    short = lost.short_days[rows].mean() - now.short_days[rows].mean()
    return TankLoss(tank=tank, missing_l=float(missing), short_days=float(short), share_volume=lost.share_met_volume)


def _least_store_l(
    system: System, course: Course, curve: StoreCurve, wanted_share: float, cancel: Cancel | None
) -> float:
    """Between the two sizes of the curve that it lies between, to a hundredth, by halving."""
    enough = [at for at, share in enumerate(curve.share_volume) if share >= wanted_share]
    if not enough:
        return math.nan
    high = curve.factors[enough[0]]
    low = curve.factors[enough[0] - 1] if enough[0] else 0.0
    for _ in range(_ROUNDS):
        if high - low <= _CLOSE * high:
            break
        stop_if(cancel)
        half = (low + high) / 2.0
        if totals_of(with_tanks(system, half), course, cancel=cancel).share_met_volume >= wanted_share:
            high = half
        else:
            low = half
    return high * system.capacity_m3 * _L
