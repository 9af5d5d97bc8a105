"""What one tank does for one bed, at the bed's delivery spot."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from gardenwater.assess.answers import BedReach, Status
from gardenwater.assess.bed_way import BedWay, Tight, draw_s, tightest, way_to
from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.hydraulics import Drive, Line
from gardenwater.reach import LevelError, Prepared, ReachMap, Reason, Spot, delivery_spot
from gardenwater.site.things import Bed, Tank

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Store:
    """The water of a tank, m above the datum: its floor, and what stands or can stand over it."""

    floor_level_m: float
    outlet_level_m: float
    water_level_m: float
    overflow_level_m: float

    @property
    def gives(self) -> bool:
        """Whether any water stands above the outlet."""
        return self.water_level_m > self.outlet_level_m


def spot_of(ground: Ground | Prepared, bed: Bed) -> Place:
    """Where a bed is served, x and y: as given, else its highest cell; a spot well inside it where it has no level."""
    if bed.deliver_x_m is not None and bed.deliver_y_m is not None:
        return bed.deliver_x_m, bed.deliver_y_m
    try:
        return delivery_spot(ground, bed.shape)
    except InputError:
        inside = bed.shape.representative_point()
        return inside.x, inside.y


def cells_of(ground: Ground, bed: Bed) -> NDArray[np.intp]:
    """Flat indices of the cells whose centre lies in a bed."""
    west, south, east, north = bed.shape.bounds
    rows, cols = ground.shape
    left = max(int((west - ground.transform.c) / ground.cell_x_m), 0)
    right = min(int((east - ground.transform.c) / ground.cell_x_m) + 1, cols)
    top = max(int((ground.transform.f - north) / ground.cell_y_m), 0)
    bottom = min(int((ground.transform.f - south) / ground.cell_y_m) + 1, rows)
    x = ground.transform.c + (np.arange(left, max(right, left)) + 0.5) * ground.cell_x_m
    y = ground.transform.f - (np.arange(top, max(bottom, top)) + 0.5) * ground.cell_y_m
    inside = shapely.contains_xy(bed.shape, *np.meshgrid(x, y))
    row, col = np.nonzero(inside)
    return (row + top) * cols + col + left


def line_to(bed: Bed, line: Line) -> Line:
    """The line as it delivers to a bed: a raised bed's soil is so much higher than the ground."""
    return replace(line, lift_m=line.lift_m + bed.raised_m) if bed.raised_m else line


@dataclass(frozen=True, slots=True)
class Here:
    """What a bed asks of a tank where it stands, m: the water level, and how far off the point is that asks for it.

    NaN without a way.
    """

    needed_level_m: float
    tight_m: float = math.nan


def bed_reach(
    bed: Bed,
    tank: Tank,
    store: Store,
    reach: ReachMap,
    *,
    at: Place,
    cells: NDArray[np.intp],
    here: Here,
    errors: LevelError,
    before: Drive | None = None,
    ways: bool = True,
) -> BedReach:
    """What a tank does for a bed today.

    cells: of the bed, see `cells_of`. here: what the bed, as raised, asks of the tank. before: what the pieces that are
    laid up to where the map begins let through. ways: follow the way, for its tightest point and how long
    the litres take to be drawn; else the margin is that of the map, and nothing is said of the time.
    """
    spot = _spot(reach, at, bed)
    way = None
    if ways and spot.reason in (Reason.IN_REACH, Reason.SLOW):
        way = way_to(reach, at, line=line_to(bed, reach.line), end_level_m=spot.level_m, before=before)
    tight = _tight(store, reach, spot, way, at, here, errors)
    needed_level_m = _needed_level_m(store, spot, tight, here)
    status = _status(store, tight, spot.reason)
    times = _Drawing(tank, store, way, needed_level_m)
    return BedReach(
        bed=bed.id,
        tank=tank.id,
        status=status,
        at=at,
        minutes_per_can=_minutes(reach, way, spot, bed) if status is not Status.OUT else math.nan,
        spare_head_m=_spare(spot, bed, tight.margin_m),
        margin_m=tight.margin_m,
        error_m=tight.error_m,
        tight_at=tight.at,
        needed_level_m=needed_level_m,
        share_in_reach=_share(reach, bed, cells, spot) if store.gives else 0.0,
        usable_l=times.usable_l(tank.water_l),
        usable_full_l=times.usable_l(tank.capacity_l),
        cans_l=times.cans_l,
        draw_s=times.draw_s(tank.water_l, store.water_level_m),
        draw_full_s=times.draw_s(tank.capacity_l, store.overflow_level_m),
        too_high_m=_too_high(store, needed_level_m, status),
        distance_m=spot.distance_m,
        reason=spot.reason if store.gives else _dry(spot.reason),
    )


def _tight(
    store: Store, reach: ReachMap, spot: Spot, way: BedWay | None, at: Place, here: Here, errors: LevelError
) -> Tight:
    """The tightest point of the way to a bed in reach; else the point that asks for the needed level."""
    if way is not None and spot.reason is Reason.IN_REACH:
        found = tightest(way, water_level_m=store.water_level_m, errors=errors)
        # the passes allow for 0.5 % of the loss and 5 mm: what the map shows as reached is called reached
        return replace(found, margin_m=max(found.margin_m, 0.0))
    if spot.reason is Reason.IN_REACH:
        return Tight(spot.margin_m, spot.margin_m - spot.sure_m)
    off_m = math.dist(reach.start, at) if math.isnan(here.tight_m) else here.tight_m
    own_m = errors.at(reach.ground, *at)
    error_m = float(errors.relative_m(np.array([off_m]), errors.tank_m if math.isnan(own_m) else own_m)[0])
    return Tight(store.water_level_m - here.needed_level_m, error_m)


def _needed_level_m(store: Store, spot: Spot, tight: Tight, here: Here) -> float:
    """The least water level for the bed; of one that the map reaches, never over the water that does it."""
    if spot.reason is not Reason.IN_REACH or here.needed_level_m <= store.water_level_m:
        return here.needed_level_m
    return store.water_level_m - tight.margin_m


def _spot(reach: ReachMap, at: Place, bed: Bed) -> Spot:
    """What the map says of the spot; off the ground there is no level. What bars the way is not looked for here."""
    cell = reach.ground.cell_at(*at)
    if cell is None:
        return Spot(reason=Reason.NO_DATA, level_m=math.nan)
    reason = Reason(reach.reason[cell])
    level_m = float(reach.ground.level_m[cell])
    if reason not in (Reason.IN_REACH, Reason.SLOW):
        return Spot(reason=reason, level_m=level_m)
    found = reach.at(*at)
    if reason is Reason.IN_REACH and found.residual_head_m < bed.raised_m:
        return replace(found, reason=_raised_reason(reach, level_m, bed))
    return found


def _raised_reason(reach: ReachMap, level_m: float, bed: Bed) -> Reason:
    """Why a bed is out of reach though its ground is not: standing water comes up to it, or it does not."""
    static_m = reach.water_level_m - level_m - reach.line.held_back_m - bed.raised_m
    return Reason.SLOW if static_m > 0 else Reason.TOO_HIGH


def _status(store: Store, tight: Tight, reason: Reason) -> Status:
    """By the margin against the error; water that arrives slowly is called so, not marginal."""
    if not store.gives or math.isnan(tight.margin_m):
        return Status.OUT
    if reason is Reason.IN_REACH:
        return Status.SURE if tight.margin_m >= tight.error_m else Status.MARGINAL
    if reason is Reason.SLOW:
        return Status.SLOW
    return Status.MARGINAL if tight.margin_m >= -tight.error_m else Status.OUT


def _dry(reason: Reason) -> Reason:
    """A tank without water above its outlet is too low for everything."""
    return Reason.TOO_HIGH if reason in (Reason.IN_REACH, Reason.SLOW) else reason


def _minutes(reach: ReachMap, way: BedWay | None, spot: Spot, bed: Bed) -> float:
    """Minutes for a can at the spot with the line full open; for a raised bed by the head that is left for it."""
    if not bed.raised_m or way is None:
        return spot.minutes_per_can
    flow = min(spot.flow_l_min, float(way.drive.flow_at(reach.water_level_m)))
    return reach.can_l / flow if flow > 0 else math.nan


def _spare(spot: Spot, bed: Bed, margin_m: float) -> float:
    """Head left at the spot at the wanted flow; out of reach, what is missing."""
    if math.isnan(spot.residual_head_m):
        return min(margin_m, 0.0) if not math.isnan(margin_m) else math.nan
    return spot.residual_head_m - bed.raised_m


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Litres of a tank that serve a bed by gravity, and how long they take."""

    tank: Tank
    store: Store
    way: BedWay | None
    needed_level_m: float

    @property
    def _least_m(self) -> float:
        return max(self.needed_level_m, self.store.outlet_level_m)

    def usable_l(self, holds_l: float) -> float:
        """Litres of `holds_l` that stand above both the needed level and the outlet; 0 without a way."""
        if math.isnan(self.needed_level_m) or not self._least_m < self.store.overflow_level_m:
            return 0.0
        return max(0.0, holds_l - self.tank.volume_at_m(self._least_m - self.store.floor_level_m))

    @property
    def cans_l(self) -> float:
        """Litres now in the tank that stand above the outlet, but under the needed level: for cans at the tank."""
        over_outlet_l = self.tank.water_l - self.tank.volume_at_m(self.store.outlet_level_m - self.store.floor_level_m)
        return max(0.0, over_outlet_l - self.usable_l(self.tank.water_l))

    def draw_s(self, holds_l: float, level_m: float) -> float:
        """How long the usable litres of so many take to be drawn; NaN where there are none, or no way is known."""
        if self.way is None or not self.usable_l(holds_l) > 0.0:
            return math.nan
        floor_level_m = self.store.floor_level_m
        least_m = max(self._least_m, self.way.drive.least_level_m)
        return draw_s(self.way, self.tank, floor_level_m=floor_level_m, from_level_m=level_m, to_level_m=least_m)


def _too_high(store: Store, needed_level_m: float, status: Status) -> float:
    """How much higher the water would have to stand; 0 when it stands high enough."""
    if math.isnan(needed_level_m):
        return math.nan
    least_m = max(needed_level_m, store.outlet_level_m) if status is Status.OUT else needed_level_m
    return max(0.0, least_m - store.water_level_m)


def _share(reach: ReachMap, bed: Bed, cells: NDArray[np.intp], spot: Spot) -> float:
    """Share of the bed's cells in reach; of a bed smaller than a cell, whether its spot is."""
    if not cells.size:
        return float(spot.reason is Reason.IN_REACH)
    served = reach.residual_head_m.ravel()[cells] >= bed.raised_m
    return float(np.count_nonzero(served & (reach.reason.ravel()[cells] == Reason.IN_REACH)) / cells.size)
