"""Where a tank could stand so that it serves beds and is fed from a roof, and how high its stand must be."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn
from gardenwater.ground import Ground
from gardenwater.reach.feeding import FeederWays, FeedPoint, feeder_ways
from gardenwater.reach.prepared import Prepared
from gardenwater.reach.stand_model import (
    HAIR_M,
    BedChance,
    BedNeed,
    FeederField,
    Floats,
    StandLimits,
    StandMap,
    TankMeasure,
    WhyNot,
)
from gardenwater.work import Cancel, Progress, say, stop_if

Mask = NDArray[np.bool_]

ROOM_M = 0.2
"""Room for a hand between a tank and a wall: judgement, no source."""
_WORDS = "looking for places for a tank"


def stand_map(
    prepared: Prepared,
    *,
    needs: Sequence[BedNeed],
    feeds: Sequence[FeedPoint],
    tank: TankMeasure,
    limits: StandLimits = StandLimits(),  # noqa: B008 - frozen
    taken: Iterable[BaseGeometry] = (),
    buildings: Sequence[BaseGeometry] = (),
    within: BaseGeometry | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> StandMap:
    """Where a tank could stand for a set of beds, how high its stand must be, and why not elsewhere.

    prepared: the ground that the needed levels were found on. feeds: where feeders can begin. taken: ground that things
    stand or lie on; the tank's whole outline keeps off it, with room for a hand. buildings: a feeder goes round these.
    within: the site; None for all of the ground.

    At each cell each bed asks for a stand of needed level - ground - serving height, at least 0; it is served when that
    is no higher than the limit and leaves the inlet under the highest feed. The stand is the highest of those beds that
    can be served. The feeder named is the nearest that is high enough for it.
    Raises InputError for needed levels on another grid, or no beds.
    """
    shape = prepared.ground.shape
    if not needs or any(need.needed_level_m.shape != shape for need in needs):
        raise InputError("A stand map needs the needed levels of beds.", where="needs", mend="Give one bed at least.")
    say(progress, 0.0, _WORDS)
    base = prepared.stand_m
    ways = []
    for number, point in enumerate(feeds):
        stop_if(cancel)
        say(progress, 0.5 * number / len(feeds), _WORDS)
        ways.append(feeder_ways(prepared.ground, at=point.at, barriers=buildings, most_m=limits.most_feeder_m))
    fields = tuple(_feeder_fields(feeds, ways, tank, limits))
    highest = np.full(shape, np.nan, dtype=np.float32)
    for each in fields:
        highest[each.window] = np.fmax(highest[each.window], each.level_m)
    stop_if(cancel)
    blocked = _blocked(prepared, tank, limits, taken, within)
    served = _served(needs, base, highest, tank, limits, open_=(blocked == 0) & ~np.isnan(highest))
    stop_if(cancel)
    say(progress, 0.8, _WORDS)
    return _made(prepared, needs, feeds, fields, tank, limits, blocked, highest, served)


def _feeder_fields(
    feeds: Sequence[FeedPoint], ways: Sequence[FeederWays | None], tank: TankMeasure, limits: StandLimits
) -> Iterator[FeederField]:
    """For each feed point on the ground: feeders to the tank's side, and the level that they bring water to."""
    for number, (point, way) in enumerate(zip(feeds, ways, strict=True)):
        if way is not None:
            length = np.maximum(way.length_m - np.float32(tank.half_width_m), np.float32(0.0))
            level = np.float32(point.level_m) - np.float32(limits.feeder_fall) * length
            length.flags.writeable = level.flags.writeable = False
            yield FeederField(feed=number, window=way.window, feeder_m=length, level_m=level)


def _blocked(
    prepared: Prepared, tank: TankMeasure, limits: StandLimits, taken: Iterable[BaseGeometry],
    within: BaseGeometry | None,
) -> NDArray[np.uint8]:  # fmt: skip
    """Why no tank stands on a cell, whatever feeds it: NO_LEVEL, TAKEN, OFF_SITE or TOO_STEEP; else 0."""
    ground = prepared.ground
    keep_off = tank.half_width_m + ROOM_M
    on_things = burn([shape.buffer(keep_off) for shape in taken], ground.transform, ground.shape, leakless=False)
    blocked = np.zeros(ground.shape, dtype=np.uint8)
    with np.errstate(invalid="ignore"):
        blocked[base_fall(ground, tank.half_width_m) > limits.steepest] = WhyNot.TOO_STEEP
    if within is not None:
        inside = burn([within.buffer(-tank.half_width_m)], ground.transform, ground.shape, leakless=False)
        blocked[~inside] = WhyNot.OFF_SITE
    blocked[on_things] = WhyNot.TAKEN
    blocked[np.isnan(prepared.stand_m)] = WhyNot.NO_LEVEL
    return blocked


def base_fall(ground: Ground, half_width_m: float) -> Floats:
    """Slope of the ground across a base, m/m, float32: over a cross from half a metre beyond its outline on each side.

    As the finding of a tank on a slope measures it. At the rim of the ground, and beside ground without a level, over
    what there is; 0 where there is nothing to measure.
    """
    arm_m = max(half_width_m, 0.5) + 0.5
    across = _fall(ground.level_m, max(round(arm_m / ground.cell_x_m), 1), ground.cell_x_m, axis=1)
    down = _fall(ground.level_m, max(round(arm_m / ground.cell_y_m), 1), ground.cell_y_m, axis=0)
    fall: Floats = np.hypot(across, down)
    return fall


def _fall(level: Floats, cells: int, cell_m: float, *, axis: int) -> Floats:
    """Rise per metre between the cells so many before and after, along an axis."""
    count = level.shape[axis]
    at = np.arange(count)
    before, after = np.maximum(at - cells, 0), np.minimum(at + cells, count - 1)
    length = (after - before).astype(np.float32) * np.float32(cell_m)
    rise = np.take(level, after, axis=axis) - np.take(level, before, axis=axis)
    one_sided = np.where(np.isnan(rise), np.float32(0.0), rise)
    fall: Floats = (
        one_sided / np.maximum(length, np.float32(cell_m))[:, None]
        if axis == 0
        else one_sided / np.maximum(length, np.float32(cell_m))
    )
    return fall


@dataclass(frozen=True, slots=True, eq=False)
class _Served:
    """What the beds ask for, cell by cell, whatever stands there.

    cap: highest stand that limit and feed allow. stand: highest asked for by the beds that are served; share: of area.
    short: what is missing for the bed that comes nearest. least: the least stand asked for by any bed.
    """

    cap: Floats
    stand: Floats
    share: Floats
    short: Floats
    least: Floats
    chances: tuple[BedChance, ...]


def _served(
    needs: Sequence[BedNeed], base: Floats, highest: Floats, tank: TankMeasure, limits: StandLimits, *, open_: Mask
) -> _Served:
    by_feed = highest - base - np.float32(tank.inlet_height_m)
    cap = np.fmin(by_feed, np.float32(limits.most_stand_m))
    stand = np.zeros_like(base)
    share = np.zeros(base.shape, dtype=np.float32)
    least = np.full(base.shape, np.inf, dtype=np.float32)
    total = math.fsum(need.area_m2 for need in needs)
    chances = []
    for need in needs:
        asks = np.maximum(need.needed_level_m - base - np.float32(tank.serving_height_m), np.float32(0.0))
        with np.errstate(invalid="ignore"):
            serves = asks <= cap + np.float32(HAIR_M)
        stand = np.where(serves, np.maximum(stand, asks), stand)
        share += np.where(serves, np.float32(need.area_m2 / total), np.float32(0.0))
        least = np.fmin(least, asks)
        chances.append(_chance(need, asks, by_feed, serves, limits, open_))
    return _Served(cap, stand, np.minimum(share, np.float32(1.0)), least - cap, least, tuple(chances))


def _chance(need: BedNeed, asks: Floats, by_feed: Floats, serves: Mask, limits: StandLimits, open_: Mask) -> BedChance:
    """What keeps a bed from being served, at the open cell that comes nearest to it."""
    spots = int(np.count_nonzero(serves & open_))
    possible = open_ & ~np.isnan(asks)
    stand_m = float(asks[possible].min(initial=np.inf))
    if not possible.any():
        return BedChance(key=need.key, spots=0, why=WhyNot.NO_WAY, short_m=math.nan, stand_m=math.nan)
    if spots:
        return BedChance(key=need.key, spots=spots, why=WhyNot.STANDS, short_m=0.0, stand_m=stand_m)
    over_feed = (asks - by_feed)[possible]
    over_limit = (asks - np.float32(limits.most_stand_m))[possible]
    worst = np.maximum(over_feed, over_limit)
    nearest = int(np.argmin(worst))
    why = WhyNot.FEED_LOW if over_feed[nearest] >= over_limit[nearest] else WhyNot.STAND_HIGH
    return BedChance(key=need.key, spots=0, why=why, short_m=float(worst[nearest]), stand_m=stand_m)


def _made(
    prepared: Prepared,
    needs: Sequence[BedNeed],
    feeds: Sequence[FeedPoint],
    fields: tuple[FeederField, ...],
    tank: TankMeasure,
    limits: StandLimits,
    blocked: NDArray[np.uint8],
    highest: Floats,
    served: _Served,
) -> StandMap:
    base = prepared.stand_m
    reason = _reasons(blocked, highest, served, limits)
    stands = reason == WhyNot.STANDS
    nan = np.float32(np.nan)
    stand = np.where(stands, served.stand, nan)
    inlet = base + stand + np.float32(tank.inlet_height_m)
    feeder, feed, level = np.full_like(base, nan), np.full(base.shape, -1, dtype=np.int16), np.full_like(base, nan)
    for each in fields:
        window = each.window
        with np.errstate(invalid="ignore"):
            better = (each.level_m >= inlet[window] - np.float32(HAIR_M)) & ~(feeder[window] <= each.feeder_m)
        feeder[window] = np.where(better, each.feeder_m, feeder[window])
        level[window] = np.where(better, each.level_m, level[window])
        feed[window][better] = each.feed
    short = np.where((reason == WhyNot.FEED_LOW) | (reason == WhyNot.STAND_HIGH), served.short, nan)
    made = (stand, np.where(stands, served.share, np.float32(0.0)), level - inlet, feeder, highest, short, feed, reason)
    for array in made:
        array.flags.writeable = False
    return StandMap(
        ground=prepared.ground,
        tank=tank,
        limits=limits,
        needs=tuple(needs),
        feeds=tuple(feeds),
        stand_m=made[0],
        share=made[1],
        clears_m=made[2],
        feeder_m=made[3],
        feed_level_m=made[4],
        short_m=made[5],
        feed=feed,
        reason=reason,
        base_m=base,
        chances=served.chances,
        feeders=fields,
    )


def _reasons(blocked: NDArray[np.uint8], highest: Floats, served: _Served, limits: StandLimits) -> NDArray[np.uint8]:
    """`WhyNot` of each cell."""
    reason = np.full(blocked.shape, WhyNot.STANDS, dtype=np.uint8)
    none = served.share <= 0
    low = served.cap < np.float32(limits.most_stand_m)
    reason[none] = np.where(low, WhyNot.FEED_LOW, WhyNot.STAND_HIGH)[none]
    reason[none & ~np.isfinite(served.least)] = WhyNot.NO_WAY
    reason[blocked == WhyNot.TOO_STEEP] = WhyNot.TOO_STEEP
    reason[np.isnan(highest)] = WhyNot.TOO_FAR
    hard = (blocked != 0) & (blocked != WhyNot.TOO_STEEP)
    reason[hard] = blocked[hard]
    return reason
