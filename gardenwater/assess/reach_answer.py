"""What the engines say of Reach: what each tank does for each bed, and the best of all tanks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from gardenwater.assess.lines import Laying
    from gardenwater.ground import Ground
    from gardenwater.hydraulics import Line
    from gardenwater.reach import ReachMap, Reason


class Status(StrEnum):
    """How a tank serves a bed.

    SURE: the tightest margin of the way is at least the error of the ground. MARGINAL: it lies within the error, on
    either side. SLOW: water arrives, but less than the wanted flow. OUT: it does not arrive.
    """

    SURE = "sure"
    MARGINAL = "marginal"
    SLOW = "slow"
    OUT = "out"


class Sureness(IntEnum):
    """How sure the reach of a cell is, in the `sureness` arrays."""

    OUT = 0
    MARGINAL = 1
    SURE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class BedReach:
    """What one tank does for one bed, at the bed's delivery spot.

    at: the delivery spot, x and y, m. minutes_per_can: NaN where water does not arrive.
    spare_head_m: head left at the spot at the wanted flow; negative by so much as the water is too low.
    margin_m: at the tightest point of the whole way; out of reach the water level less the needed level, negative.
    error_m: one standard error of the level there relative to the tank, which the margin is held against; the tightest
    point is where the margin less the error is least. tight_at: where it is, x and y, m; None out of reach.
    needed_level_m: least water level in this tank that serves the bed.
    share_in_reach: share of the bed's area that this tank reaches, 0 to 1.
    usable_l: litres now in the tank that stand above the needed level (and above the outlet); usable_full_l: the same
    of a full tank. cans_l: litres now above the outlet that do not serve the bed: for cans at the tank. draw_s,
    draw_full_s: how long the usable litres take to be drawn with the line full open, s, now and from a full tank, along
    the way that the water takes now; NaN where there are none or no way is known.
    too_high_m: how much the bed is too high for the tank's water, 0 when reached.
    distance_m: length of the line to the spot; NaN when out. Where no way leads there all levels and heads are NaN.
    """

    bed: str
    tank: str
    status: Status
    at: tuple[float, float]
    minutes_per_can: float
    spare_head_m: float
    margin_m: float
    error_m: float
    needed_level_m: float
    share_in_reach: float
    usable_l: float
    usable_full_l: float
    too_high_m: float
    distance_m: float
    reason: Reason
    tight_at: tuple[float, float] | None = None
    cans_l: float = 0.0
    draw_s: float = math.nan
    draw_full_s: float = math.nan

    @property
    def reached(self) -> bool:
        """Whether the bed gets the wanted flow by the best estimate of the levels."""
        return self.status is Status.SURE or (self.status is Status.MARGINAL and self.margin_m >= 0)


@dataclass(frozen=True, slots=True)
class AtLevel:
    """What a tank does for the beds when it holds a share of its capacity.

    water_level_m: m above the datum. beds: ids of those that get the wanted flow then.
    """

    share: float
    water_l: float
    water_level_m: float
    beds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EndFlow:
    """What one drawn line gives at its end, full open, L/min: alone, and with all others of its tank open too."""

    line: str
    at: tuple[float, float]
    alone_l_min: float
    together_l_min: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TankReach:
    """What one tank reaches with the water that it holds now.

    line_id: the watering line that is drawn from it; empty when the site's usual line was taken.
    water_level_m, floor_level_m, outlet_level_m, overflow_level_m: levels, m above the datum.
    sureness: uint8 (rows, cols), see `Sureness`: sure and marginal lie in reach, marginal where at the tightest point
    of the way the margin is under the error. laying: where the last piece of the line begins; the map begins there.
    beds: one for each bed, in the site's order. at_levels: full, half full and nearly empty.
    together: what the lines drawn from the tank give with all ends open at once; empty without a line.
    """

    tank: str
    map: ReachMap
    line: Line
    line_id: str
    water_level_m: float
    floor_level_m: float
    outlet_level_m: float
    overflow_level_m: float
    sureness: NDArray[np.uint8]
    laying: Laying
    beds: tuple[BedReach, ...]
    at_levels: tuple[AtLevel, ...] = ()
    together: tuple[EndFlow, ...] = ()

    @property
    def beds_reached(self) -> int:
        """How many beds it reaches."""
        return sum(bed.reached for bed in self.beds)

    def bed(self, bed_id: str) -> BedReach | None:
        """What it does for this bed."""
        return next((bed for bed in self.beds if bed.bed == bed_id), None)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BestReach:
    """The best of all tanks at each cell: the one that fills a can soonest.

    All (rows, cols). minutes_per_can, residual_head_m, distance_m, flow_l_min: float32, NaN = out.
    reason: uint8 (`reach.Reason`); where no tank reaches, that of the tank that comes nearest to it.
    tank_index: int16, into `ReachAnswer.tanks`; -1 where no tank reaches. sureness: uint8 (`Sureness`), of the surest.
    """

    minutes_per_can: NDArray[np.float32]
    residual_head_m: NDArray[np.float32]
    distance_m: NDArray[np.float32]
    flow_l_min: NDArray[np.float32]
    reason: NDArray[np.uint8]
    tank_index: NDArray[np.int16]
    sureness: NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReachAnswer:
    """What the tanks reach. ground: the grid of all arrays (a thinned one when coarse).

    tanks: in the site's order. beds: for each bed the tank that serves it best (surest first, then soonest), in the
    site's order. beds_reached: how many beds at least one tank reaches.
    """

    ground: Ground
    tanks: tuple[TankReach, ...]
    best: BestReach
    beds: tuple[BedReach, ...]
    beds_reached: int

    def tank(self, tank_id: str) -> TankReach | None:
        """The reach of this tank."""
        return next((tank for tank in self.tanks if tank.tank == tank_id), None)

    def bed(self, bed_id: str) -> BedReach | None:
        """How this bed is served best."""
        return next((bed for bed in self.beds if bed.bed == bed_id), None)
