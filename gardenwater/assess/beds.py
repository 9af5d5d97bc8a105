"""What one tank does for one bed, at the bed's delivery spot."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from gardenwater.assess.answers import BedReach, Status
from gardenwater.assess.relative_error import relative_error_m
from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, flow_l_min
from gardenwater.reach import Prepared, ReachMap, Reason, Spot, delivery_spot
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Errors:
    """How wrong levels are. level_m: one standard error at the tank and at the spot; length_m: alike within it."""

    tank_m: float
    spot_m: float
    length_m: float

    def relative_m(self, distance_m: float) -> float:
        """One standard error of the spot relative to the tank."""
        distance = np.array([distance_m], dtype=np.float32)
        error = relative_error_m(distance, error_m=self.spot_m, at_tank_m=self.tank_m, length_m=self.length_m)
        return float(error[0])


def bed_reach(
    bed: Bed,
    tank: Tank,
    store: Store,
    reach: ReachMap,
    *,
    at: Place,
    cells: NDArray[np.intp],
    needed_level_m: float,
    errors: Errors,
) -> BedReach:
    """What a tank does for a bed today.

    cells: of the bed, see `cells_of`. needed_level_m: at the tank, for the bed as raised; NaN without a way.
    """
    spot = _spot(reach, at, bed)
    straight_m = math.dist((tank.shape.x, tank.shape.y), at)
    distance_m = spot.distance_m if not math.isnan(spot.distance_m) else straight_m
    margin_m = _margin(store, spot, bed, needed_level_m)
    needed_level_m = store.water_level_m - margin_m
    error_m = errors.relative_m(distance_m)
    status = _status(store, margin_m, error_m, spot.reason)
    return BedReach(
        bed=bed.id,
        tank=tank.id,
        status=status,
        at=at,
        minutes_per_can=_minutes(reach, spot, bed) if status is not Status.OUT else math.nan,
        spare_head_m=_spare(spot, bed, margin_m),
        margin_m=margin_m,
        error_m=error_m,
        needed_level_m=needed_level_m,
        share_in_reach=_share(reach, bed, cells, spot) if store.gives else 0.0,
        usable_l=_usable_l(tank, store, tank.water_l, needed_level_m),
        usable_full_l=_usable_l(tank, store, tank.capacity_l, needed_level_m),
        too_high_m=_too_high(store, needed_level_m, status),
        distance_m=spot.distance_m,
        reason=spot.reason if store.gives else _dry(spot.reason),
    )


def _margin(store: Store, spot: Spot, bed: Bed, needed_level_m: float) -> float:
    """Water level less needed level. Where that says out and the map says in reach, the margin of the map's way.

    The two passes agree but for a hair (0.5 % of the loss and 5 mm); what the map shows as reached is called reached.
    """
    margin_m = store.water_level_m - needed_level_m
    if spot.reason is not Reason.IN_REACH or margin_m >= 0:
        return margin_m
    on_way_m = min(spot.margin_m, spot.residual_head_m - bed.raised_m)
    return on_way_m if math.isnan(margin_m) else max(margin_m, on_way_m)


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


def _status(store: Store, margin_m: float, error_m: float, reason: Reason) -> Status:
    """By the margin against the error; water that arrives slowly is called so, not marginal."""
    if not store.gives or math.isnan(margin_m):
        return Status.OUT
    if reason is Reason.IN_REACH:
        return Status.SURE if margin_m >= error_m else Status.MARGINAL
    if reason is Reason.SLOW:
        return Status.SLOW
    return Status.MARGINAL if margin_m >= -error_m else Status.OUT


def _dry(reason: Reason) -> Reason:
    """A tank without water above its outlet is too low for everything."""
    return Reason.TOO_HIGH if reason in (Reason.IN_REACH, Reason.SLOW) else reason


def _minutes(reach: ReachMap, spot: Spot, bed: Bed) -> float:
    """Minutes for a can at the spot with the line full open; for a raised bed by the head that is left for it."""
    if not bed.raised_m or math.isnan(spot.flow_l_min):
        return spot.minutes_per_can
    line = reach.line
    head_m = reach.water_level_m - spot.level_m - line.held_back_m - bed.raised_m
    at_end = float(flow_l_min(head_m, spot.distance_m, line)) if head_m > 0 else 0.0
    flow = min(spot.flow_l_min, at_end)
    return reach.can_l / flow if flow > 0 else math.nan


def _spare(spot: Spot, bed: Bed, margin_m: float) -> float:
    """Head left at the spot at the wanted flow; out of reach, what is missing."""
    if math.isnan(spot.residual_head_m):
        return min(margin_m, 0.0) if not math.isnan(margin_m) else math.nan
    return spot.residual_head_m - bed.raised_m


def _usable_l(tank: Tank, store: Store, holds_l: float, needed_level_m: float) -> float:
    """Litres of `holds_l` that stand above both the needed level and the outlet; 0 without a way."""
    if math.isnan(needed_level_m):
        return 0.0
    least_m = max(needed_level_m, store.outlet_level_m)
    return (
        max(0.0, holds_l - tank.volume_at_m(least_m - store.floor_level_m)) if least_m < store.overflow_level_m else 0.0
    )


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
