"""The answer of `stand_map`: where a tank could stand, and what can be read off it at a spot."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.reach.feeding import FeedPoint

Floats = NDArray[np.float32]

HAIR_M = 1e-4
"""Levels are float32: less than this is no difference."""


class WhyNot(IntEnum):
    """Class of a cell in `StandMap.reason`, the first that holds from above.

    STANDS: a tank can stand here, fed from a roof, and serves at least one of the beds.
    NO_LEVEL: the ground has no level. TAKEN: something stands or lies here. OFF_SITE: beyond the boundary.
    TOO_FAR: no feeder of the longest length allowed comes here from a downpipe.
    TOO_STEEP: the ground falls too much across the base.
    NO_WAY: no line leads from here to any of the beds.
    FEED_LOW: on the stand that serves the nearest to it of the beds, the inlet is over the feed.
    STAND_HIGH: the feed would do, but the stand would be higher than is allowed.
    """

    STANDS = 0
    NO_LEVEL = 1
    TAKEN = 2
    OFF_SITE = 3
    TOO_FAR = 4
    TOO_STEEP = 5
    NO_WAY = 6
    FEED_LOW = 7
    STAND_HIGH = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class TankMeasure:
    """What matters of a tank for where it can stand.

    half_width_m: of the circle round its outline. inlet_height_m: above its floor. serving_height_m: above its floor,
    how high the water stands when the share of its litres that is to serve the beds has been drawn.
    """

    half_width_m: float
    inlet_height_m: float
    serving_height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StandLimits:
    """What is taken. Slopes are m/m.

    most_stand_m: highest stand. most_feeder_m: longest feeder (common practice, no source). feeder_fall: least fall of
    a feeder, 1 in 100 (common practice, no source). steepest: of the ground across the base, 1 in 6 (judgement).
    """

    most_stand_m: float = 1.5
    most_feeder_m: float = 16.0
    feeder_fall: float = 0.01
    steepest: float = 1.0 / 6.0

    def __post_init__(self) -> None:
        for name in ("most_stand_m", "most_feeder_m", "feeder_fall", "steepest"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0.0):
                raise InputError(f"{value!r} is no limit.", where=name, mend="Give a number of 0 or more.")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BedNeed:
    """What a bed asks for. needed_level_m: from `reach.needed_level`, on the prepared ground's grid."""

    key: str
    area_m2: float
    needed_level_m: Floats = field(repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class BedChance:
    """Whether some spot serves a bed, over all spots that are free, near enough and level enough.

    spots: how many cells do. why: STANDS where some does, else what is in the way at the cell that comes nearest.
    short_m: by how much the feed is too low, or the stand too high, there; 0 where some does. stand_m: the least stand
    that would serve it on any of them, whatever its feed; NaN without a way.
    """

    key: str
    spots: int
    why: WhyNot
    short_m: float
    stand_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedAt:
    """What a feeder brings to a spot. key: of its feed point; feeder_m: its length; level_m: of its water there."""

    key: str
    feeder_m: float
    level_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FeederField:
    """How far the feeders of one feed point come. feed: index into `StandMap.feeds`. window: its rows and columns.

    feeder_m, level_m: float32, m, on the window: length of the feeder to the tank's side, level that it brings water
    to; NaN beyond the longest feeder.
    """

    feed: int
    window: tuple[slice, slice]
    feeder_m: Floats = field(repr=False)
    level_m: Floats = field(repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class StandSpot:
    """What a stand map says of one spot. NaN: nothing to say.

    stand_m: least height of the stand. clears_m: how far the feed is above the inlet there. feed: key of the nearest
    feed point that does; feeder_m: how far it is. beds: keys of the beds that are served; share: of the beds' area.
    short_m: for FEED_LOW and STAND_HIGH, how much is missing.
    """

    at: tuple[float, float]
    reason: WhyNot
    stand_m: float = math.nan
    clears_m: float = math.nan
    feeder_m: float = math.nan
    feed: str = ""
    feed_level_m: float = math.nan
    beds: tuple[str, ...] = ()
    share: float = 0.0
    short_m: float = math.nan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StandMap:
    """Where a tank could stand. Arrays are (rows, cols) on `ground`'s grid, float32 unless said; NaN: cannot.

    stand_m: m, least height of the stand with which the asked share of the tank's litres serves all the beds that can
    be served from there. share: of the beds' area that is served so, 0 to 1. clears_m: m, by how much the feed is above
    the inlet on that stand. feeder_m: m, length of the feeder from the nearest feed point that is high enough.
    feed: int16, index into `feeds`, -1 without one. short_m: m, for FEED_LOW and STAND_HIGH what is missing.
    feed_level_m: m, the highest that a feeder brings water to, NaN beyond the longest feeder.
    reason: uint8, see `WhyNot`. base_m: m, level that a tank without a stand stands on. chances: one for each bed, in
    the order asked. feeders: one for each feed point from which feeders come to some cell.
    """

    ground: Ground
    tank: TankMeasure
    limits: StandLimits
    needs: tuple[BedNeed, ...] = field(repr=False)
    feeds: tuple[FeedPoint, ...]
    stand_m: Floats = field(repr=False)
    share: Floats = field(repr=False)
    clears_m: Floats = field(repr=False)
    feeder_m: Floats = field(repr=False)
    feed_level_m: Floats = field(repr=False)
    short_m: Floats = field(repr=False)
    feed: NDArray[np.int16] = field(repr=False)
    reason: NDArray[np.uint8] = field(repr=False)
    base_m: Floats = field(repr=False)
    chances: tuple[BedChance, ...]
    feeders: tuple[FeederField, ...] = field(repr=False)

    @property
    def best_share(self) -> float:
        """The largest share of the beds' area that any spot serves."""
        return float(self.share.max(initial=0.0))

    def feeds_at(self, x: float, y: float) -> tuple[FeedAt, ...]:
        """What each feed point in reach of a feeder brings to a spot, the nearest first; none off the grid."""
        cell = self.ground.cell_at(x, y)
        found = []
        for each in self.feeders if cell is not None else ():
            rows, cols = each.window
            if cell is None or not (rows.start <= cell[0] < rows.stop and cols.start <= cell[1] < cols.stop):
                continue
            inside = (cell[0] - rows.start, cell[1] - cols.start)
            length_m = float(each.feeder_m[inside])
            if not math.isnan(length_m):
                level_m = float(each.level_m[inside])
                found.append(FeedAt(key=self.feeds[each.feed].key, feeder_m=length_m, level_m=level_m))
        return tuple(sorted(found, key=lambda feed: feed.feeder_m))

    def at(self, x: float, y: float) -> StandSpot:
        """What the map says of a spot. Raises InputError off the grid."""
        cell = self.ground.cell_at(x, y) if math.isfinite(x) and math.isfinite(y) else None
        if cell is None:
            raise InputError(f"The spot {x:g}, {y:g} lies off the ground.", where="x, y", mend="Take one on the grid.")
        return self.at_cell(*cell)

    def at_cell(self, row: int, col: int) -> StandSpot:
        """What the map says of a cell."""
        cell = (row, col)
        reason, at = WhyNot(self.reason[cell]), self.ground.centre_of(row, col)
        feed = self.feeds[self.feed[cell]] if self.feed[cell] >= 0 else None
        if reason is not WhyNot.STANDS:
            return StandSpot(
                at=at, reason=reason, short_m=float(self.short_m[cell]), feed_level_m=float(self.feed_level_m[cell])
            )
        stand_m, serving_m = float(self.stand_m[cell]), self.tank.serving_height_m
        level_m = float(self.base_m[cell]) + stand_m + serving_m + HAIR_M
        return StandSpot(
            at=at,
            reason=reason,
            stand_m=stand_m,
            clears_m=float(self.clears_m[cell]),
            feeder_m=float(self.feeder_m[cell]),
            feed="" if feed is None else feed.key,
            feed_level_m=float(self.feed_level_m[cell]),
            beds=tuple(need.key for need in self.needs if need.needed_level_m[cell] <= level_m),
            share=float(self.share[cell]),
        )
