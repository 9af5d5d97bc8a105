"""What one tank does for all beds at once, read off its map: `beds.bed_reach` without following ways, by arrays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.answers import BedReach, Status
from gardenwater.assess.beds import Place, Store
from gardenwater.ground import Ground
from gardenwater.hydraulics import Drive
from gardenwater.reach import LevelError, Needed, ReachMap, Reason
from gardenwater.site.things import Bed, Tank

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_DRY = {Reason.IN_REACH: Reason.TOO_HIGH, Reason.SLOW: Reason.TOO_HIGH}


@dataclass(frozen=True, slots=True, eq=False)
class BedCells:
    """Beds on a grid, in the site's order.

    spots: where each is served, x and y, m. cell: intp (beds,), flat index of that spot, -1 off the ground. raised_m:
    float64 (beds,), of the soil. inside: intp, flat indices of the cells of all beds; owner: the bed of each of them.
    """

    beds: tuple[Bed, ...]
    spots: tuple[Place, ...]
    cell: NDArray[np.intp] = field(repr=False)
    raised_m: Floats = field(repr=False)
    inside: NDArray[np.intp] = field(repr=False)
    owner: NDArray[np.intp] = field(repr=False)

    @classmethod
    def of(cls, ground: Ground, beds: Sequence[Bed], spots: Sequence[Place], cells: Sequence[NDArray[np.intp]]) -> Self:
        """Beds on a grid. spots: where each is served. cells: flat indices of those that lie in each."""
        found = [ground.cell_at(*spot) for spot in spots]
        counts = [each.size for each in cells]
        return cls(
            beds=tuple(beds),
            spots=tuple(spots),
            cell=np.array([-1 if at is None else at[0] * ground.shape[1] + at[1] for at in found], dtype=np.intp),
            raised_m=np.array([bed.raised_m for bed in beds], dtype=np.float64),
            inside=np.concatenate(cells) if cells else np.empty(0, dtype=np.intp),
            owner=np.repeat(np.arange(len(counts)), counts),
        )


@dataclass(frozen=True, slots=True, eq=False)
class BedNeeds:
    """The needed level of each bed everywhere; None for one whose spot has no level."""

    of_beds: tuple[Needed | None, ...] = field(repr=False)

    def here(self, cell: tuple[int, int] | None) -> tuple[Floats, Floats]:
        """What the beds ask of a tank in a cell: the level, how far off the point is that asks for it; NaN: nothing."""
        levels, tights = np.full((2, len(self.of_beds)), np.nan)
        for index, needed in enumerate(self.of_beds):
            if needed is not None and cell is not None:
                levels[index], tights[index] = needed.level_m[cell], needed.tight_m[cell]
        return levels, tights


class _Spots(NamedTuple):
    """What the map says of the beds' spots, by bed; NaN where it says nothing."""

    reason: NDArray[np.uint8]
    level_m: Floats
    head_m: Floats
    minutes: Floats
    margin_m: Floats
    sure_m: Floats
    distance_m: Floats


def bed_rows(
    cells: BedCells,
    tank: Tank,
    store: Store,
    reach: ReachMap,
    *,
    needed: tuple[Floats, Floats],
    errors: LevelError,
    before: Drive | None = None,
) -> tuple[BedReach, ...]:
    """What a tank does for each bed today, in the order of `cells`; see `beds.bed_reach`.

    needed: what the beds ask of it, see `BedNeeds.here`.
    The margin is that of the map, nothing is said of the tightest point nor of the time that the litres take, and slow
    water has no distance.
    """
    spots = _spots(cells, reach)
    in_reach = spots.reason == Reason.IN_REACH
    needed_m, tight_m = needed
    if before is not None:
        needed_m = np.maximum(needed_m, before.level_for(reach.line.flow_l_min))
    margin_m = np.where(in_reach, spots.margin_m, store.water_level_m - needed_m)
    off_m = np.where(np.isnan(tight_m), _away_m(cells, reach), tight_m)
    error_m = np.where(in_reach, spots.margin_m - spots.sure_m, errors.relative_m(off_m, _errors(cells, errors)))
    known_m = np.where(in_reach & ~(needed_m <= store.water_level_m), store.water_level_m - margin_m, needed_m)
    status = _status(store, spots.reason, margin_m, error_m)
    lacks_m = np.where(np.isnan(margin_m), np.nan, np.minimum(margin_m, 0.0))
    spare_m = np.where(np.isnan(spots.head_m), lacks_m, spots.head_m - cells.raised_m)
    shares = _shares(cells, reach, in_reach) if store.gives else np.zeros(len(cells.beds))
    return tuple(
        _row(bed, tank, store, *figures)
        for bed, *figures in zip(
            cells.beds, cells.spots, status, spots.reason.tolist(), spots.minutes.tolist(), spare_m.tolist(),
            margin_m.tolist(), error_m.tolist(), known_m.tolist(), shares.tolist(), spots.distance_m.tolist(),
            strict=True,
        )
    )  # fmt: skip


def _spots(cells: BedCells, reach: ReachMap) -> _Spots:
    """What the map says; a raised bed whose soil lies over the head is out of reach though its ground is not."""
    known = cells.cell >= 0
    at = np.where(known, cells.cell, 0)
    reason = np.where(known, reach.reason.ravel()[at], np.uint8(Reason.NO_DATA))
    arrives = (reason == Reason.IN_REACH) | (reason == Reason.SLOW)

    def read(grid: NDArray[np.float32], where: Mask) -> Floats:
        return np.where(where, grid.ravel()[at].astype(np.float64), np.nan)

    level_m, head_m = read(reach.ground.level_m, known), read(reach.residual_head_m, arrives)
    low = (reason == Reason.IN_REACH) & (head_m < cells.raised_m)
    static_m = reach.water_level_m - level_m - reach.line.held_back_m - cells.raised_m
    reason = np.where(low, np.where(static_m > 0, np.uint8(Reason.SLOW), np.uint8(Reason.TOO_HIGH)), reason)
    return _Spots(
        reason=reason,
        level_m=level_m,
        head_m=head_m,
        minutes=read(reach.minutes_per_can, arrives),
        margin_m=read(reach.margin_m, arrives),
        sure_m=read(reach.sure_m, arrives),
        distance_m=read(reach.distance_m, arrives),
    )


def _away_m(cells: BedCells, reach: ReachMap) -> Floats:
    """How far each spot lies from where the map begins, m."""
    away_m: Floats = np.hypot(*(np.array(cells.spots).reshape(-1, 2) - np.array(reach.start)).T)
    return away_m


def _errors(cells: BedCells, errors: LevelError) -> Floats:
    """One standard error of the level at each spot by itself, m; that at the tank where it is not known."""
    if isinstance(errors.level_m, int | float):
        return np.full(len(cells.beds), float(errors.level_m))
    own = np.where(cells.cell >= 0, errors.level_m.ravel()[np.maximum(cells.cell, 0)], np.nan).astype(np.float64)
    return np.where(np.isnan(own), errors.tank_m, own)


def _status(store: Store, reason: NDArray[np.uint8], margin_m: Floats, error_m: Floats) -> list[Status]:
    """By the margin against the error; water that arrives slowly is called so, not marginal."""
    in_reach, slow, known = reason == Reason.IN_REACH, reason == Reason.SLOW, ~np.isnan(margin_m) & store.gives
    sure = known & in_reach & (margin_m >= error_m)
    marginal = known & ~sure & (in_reach | (~slow & (margin_m >= -error_m)))
    names = np.select([sure, marginal, known & slow], [0, 1, 2], 3)
    kinds = (Status.SURE, Status.MARGINAL, Status.SLOW, Status.OUT)
    return [kinds[name] for name in names.tolist()]


def _shares(cells: BedCells, reach: ReachMap, in_reach: Mask) -> Floats:
    """Share of each bed's cells in reach; of a bed smaller than a cell, whether its spot is."""
    inside, owner, count = cells.inside, cells.owner, len(cells.beds)
    served = (reach.residual_head_m.ravel()[inside] >= cells.raised_m[owner]) & (
        reach.reason.ravel()[inside] == Reason.IN_REACH
    )
    whole = np.bincount(owner, minlength=count)
    part = np.bincount(owner[served], minlength=count)
    share: Floats = np.where(whole > 0, part / np.maximum(whole, 1), in_reach)
    return share


def _row(
    bed: Bed,
    tank: Tank,
    store: Store,
    at: Place,
    status: Status,
    reason: int,
    minutes: float,
    spare_m: float,
    margin_m: float,
    error_m: float,
    needed_m: float,
    share: float,
    distance_m: float,
) -> BedReach:
    least_m = max(needed_m, store.outlet_level_m)
    serves = not math.isnan(needed_m) and least_m < store.overflow_level_m
    under_l = tank.volume_at_m(least_m - store.floor_level_m) if serves else math.inf
    over_outlet_l = tank.water_l - tank.volume_at_m(store.outlet_level_m - store.floor_level_m)
    usable_l = max(0.0, tank.water_l - under_l)
    wanted_m = least_m if status is Status.OUT else needed_m
    return BedReach(
        bed=bed.id,
        tank=tank.id,
        status=status,
        at=at,
        minutes_per_can=minutes if status is not Status.OUT else math.nan,
        spare_head_m=spare_m,
        margin_m=margin_m,
        error_m=error_m,
        needed_level_m=needed_m,
        share_in_reach=share,
        usable_l=usable_l,
        usable_full_l=max(0.0, tank.capacity_l - under_l),
        cans_l=max(0.0, over_outlet_l - usable_l),
        too_high_m=math.nan if math.isnan(needed_m) else max(0.0, wanted_m - store.water_level_m),
        distance_m=distance_m,
        reason=Reason(reason) if store.gives else _DRY.get(Reason(reason), Reason(reason)),
    )
