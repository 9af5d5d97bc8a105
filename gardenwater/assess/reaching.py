"""Reach of one tank with its error, and the best of all tanks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.answers import AtLevel, BedReach, BestReach, Status, Sureness, TankChain, TankReach
from gardenwater.assess.beds import Store
from gardenwater.ground import Ground, GroundAnswer
from gardenwater.reach import ReachMap, Reason
from gardenwater.reach import best_of as best_of_maps
from gardenwater.site.things import Tank

_STATUS_ORDER = (Status.SURE, Status.MARGINAL, Status.SLOW, Status.OUT)


def store_of(chain: TankChain) -> Store:
    """The water of a tank, from its levels."""
    return Store(
        floor_level_m=chain.floor_level_m,
        outlet_level_m=chain.outlet_level_m,
        water_level_m=chain.water_level_m,
        overflow_level_m=chain.overflow_level_m,
    )


def dry_map(reach: ReachMap) -> ReachMap:
    """The map of a tank without water above its outlet: nothing is in reach, and what was is too high."""
    import dataclasses

    empty = np.full(reach.ground.shape, np.nan, dtype=np.float32)
    empty.flags.writeable = False
    arrives = (reach.reason == Reason.IN_REACH) | (reach.reason == Reason.SLOW)
    reason = np.where(arrives, np.uint8(Reason.TOO_HIGH), reach.reason)
    reason.flags.writeable = False
    return dataclasses.replace(
        reach,
        distance_m=empty,
        residual_head_m=empty,
        flow_l_min=empty,
        minutes_per_can=empty,
        margin_m=empty,
        sure_m=empty,
        reason=reason,
    )


Errors = float | NDArray[np.float32]
"""One standard error of each level, or one for all, m."""


def cell_errors(answer: GroundAnswer, ground: Ground) -> Errors:
    """One standard error of each level on the grid of `ground`, or one figure for all, m.

    On a thinned ground the error of a block is that of its middle cell.
    """
    if answer.uncertainty_m is None:
        return answer.level_error_m
    fine, coarse = answer.ground.shape, ground.shape
    if fine == coarse:
        return answer.uncertainty_m
    factor = math.ceil(fine[0] / coarse[0])
    half = factor // 2
    rows = np.minimum(np.arange(coarse[0]) * factor + half, fine[0] - 1)
    cols = np.minimum(np.arange(coarse[1]) * factor + half, fine[1] - 1)
    errors: NDArray[np.float32] = answer.uncertainty_m[np.ix_(rows, cols)]
    return errors


def error_at(errors: Errors, ground: Ground, at: tuple[float, float], usual_m: float) -> float:
    """The error of the level at a spot, m; the usual one off the ground."""
    if isinstance(errors, float):
        return errors
    cell = ground.cell_at(*at)
    error = float(errors[cell]) if cell is not None else math.nan
    return usual_m if math.isnan(error) else error


def sureness_of(reach: ReachMap) -> NDArray[np.uint8]:
    """Of each cell whether it is surely in reach, see `Sureness`. A margin of exactly the error is sure."""
    sureness = np.where(reach.reason == Reason.IN_REACH, np.uint8(Sureness.MARGINAL), np.uint8(Sureness.OUT))
    sureness[reach.sure_m >= 0.0] = Sureness.SURE
    sureness.flags.writeable = False
    return sureness


_LEVELS = (1.0, 0.5, 0.1)


def at_levels(tank: Tank, store: Store, beds: Iterable[BedReach]) -> tuple[AtLevel, ...]:
    """What a tank does for the beds when it is full, half full and nearly empty (a tenth), by their needed levels."""
    rows = tuple(beds)
    found = []
    for share in _LEVELS:
        water_l = share * tank.capacity_l
        level_m = store.floor_level_m + tank.height_at_l(water_l)
        served = tuple(row.bed for row in rows if level_m > store.outlet_level_m and level_m >= row.needed_level_m)
        found.append(AtLevel(share, water_l, level_m, served))
    return tuple(found)


def best_bed(rows: Iterable[BedReach]) -> BedReach:
    """The tank that serves a bed best: surest first, then soonest, then with the most margin."""

    def order(row: BedReach) -> tuple[int, float, float]:
        return (_STATUS_ORDER.index(row.status), _last(row.minutes_per_can), -_least(row.margin_m))

    return min(rows, key=order)


def _last(minutes: float) -> float:
    return math.inf if math.isnan(minutes) else minutes


def _least(margin_m: float) -> float:
    return -math.inf if math.isnan(margin_m) else margin_m


def best_of(ground: Ground, tanks: Sequence[TankReach]) -> BestReach:
    """At each cell the tank that fills a can soonest of those that reach it; slow water where none does."""
    best = best_of_maps(ground, [tank.map for tank in tanks], [tank.sureness for tank in tanks])
    return BestReach(
        minutes_per_can=best.minutes,
        residual_head_m=best.head,
        distance_m=best.distance,
        flow_l_min=best.flow,
        reason=best.reason,
        tank_index=best.tank,
        sureness=best.sureness,
    )
