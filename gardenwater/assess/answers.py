"""What the engines say about a site, as values: read by the window, the report and the command line alike.

Everything is frozen and may be read from any thread. Arrays are on the grid of `ReachAnswer.ground` (or of
`GroundAnswer.ground`) and read-only. There is no text in here: findings and short answers get theirs in
`findings.wording`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.lasting import LastingAnswer, StoreCurve, StoreSizes, TankLoss, YearAnswer
from gardenwater.findings import Finding, Question, ShortAnswer

if TYPE_CHECKING:
    from gardenwater.assess.lines import Laying
    from gardenwater.assess.mud import MudAnswer
    from gardenwater.assess.needing import NeedAnswer
    from gardenwater.assess.stand_answer import StandAnswer
    from gardenwater.catch import Capacities, RoofPart, Spills, SpillSource, Wiring, Yields
    from gardenwater.ground import Ground, GroundAnswer
    from gardenwater.hydraulics import Line
    from gardenwater.overflow import End, Spill
    from gardenwater.reach import ReachMap, Reason
    from gardenwater.site.model import Site

__all__ = [
    "Answers",
    "AtLevel",
    "BedReach",
    "BestReach",
    "CatchAnswer",
    "EndFlow",
    "Feed",
    "LastingAnswer",
    "OverflowAnswer",
    "ReachAnswer",
    "SourceEnd",
    "Status",
    "StoreCurve",
    "StoreSizes",
    "Sureness",
    "TankChain",
    "TankLoss",
    "TankReach",
    "WaterAccount",
    "YearAnswer",
]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """How one diverter feeds a tank: levels from eaves to inlet, m above the datum; NaN where something is missing.

    length_m: of the feeder, on the plan. fall_m: from the diverter to the tank's inlet, negative when it climbs.
    """

    diverter: str
    downpipe: str
    roof: str
    eaves_level_m: float
    diverter_level_m: float
    length_m: float
    fall_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TankChain:
    """The levels of a tank, m above the datum: what the side view shows. NaN where the ground has no level."""

    tank: str
    ground_level_m: float
    floor_level_m: float
    outlet_level_m: float
    water_level_m: float
    overflow_level_m: float
    inlet_level_m: float
    feeds: tuple[Feed, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CatchAnswer:
    """What the roofs give.

    wires: what leads to what. parts: each downpipe's part of a roof. year: yields of a year's rain, None when the site
    has no figure for it. wet_day: yields of the site's wet day, tanks taken to have room. spills: the wet day with the
    water that the tanks hold now. capacities: whether gutters and pipes carry the design rain. uncaught: ids of the
    downpipes that get water and that nobody catches.
    """

    wires: Wiring
    parts: tuple[RoofPart, ...]
    year: Yields | None
    wet_day: Yields
    spills: Spills
    capacities: Capacities
    uncaught: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceEnd:
    """Where the water of one source goes first: along which route, and what ends it (joined routes followed on).

    source: index into `OverflowAnswer.sources`. route: index into the spill's routes, -1 when it starts in what takes
    it. end: what ends it. taker: id of the taker that it ends in, or empty. pool: index into the spill's pools, or -1.
    at: where that is, x and y, m.
    """

    source: int
    owner: str
    volume_l: float
    route: int
    end: End
    taker: str = ""
    pool: int = -1
    at: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterAccount:
    """Every litre of the event's rain on the roofs, L. The rows add up: see `residual_l`.

    rain_l = stays_on_roofs_l + kept_by_first_flush_l + taken_by_tanks_l + into_drains_l + spilled_l + not_followed_l;
    spilled_l (with what filters turn away) + ground_rain_l = soaked_l + takers_l + pooled_l + off_site_l + residual_l.
    not_followed_l: spilled by others, where the water of one owner is asked for. ground_rain_l: fell on the ground
    itself, where that is asked for. Typed litres stand as rain. off_site_l: off the ground that
    is known. over_boundary_l: what crosses the drawn boundary, wherever it ends; a part of the above, 0 without one.
    """

    rain_l: float
    stays_on_roofs_l: float
    kept_by_first_flush_l: float
    taken_by_tanks_l: float
    into_drains_l: float
    spilled_l: float
    soaked_l: float
    takers_l: float
    pooled_l: float
    off_site_l: float
    residual_l: float
    over_boundary_l: float = 0.0
    not_followed_l: float = 0.0
    ground_rain_l: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OverflowAnswer:
    """Where the spilled water of the site's wet day goes.

    ground: the grid of `spill.pool_depth_m` (a thinned one when coarse). sources: what spills, with its litres and its
    owner (a tank, a downpipe, a roof), in the order of the spill's sources; rain on the ground is the last, without an
    owner. lost: those on ground without a level, which count as off the site. ends: of each source with an owner.
    takers: ids of the takers, in the order of `spill.taken_m3`. account: the event's rain, litre by litre. rooms_m3:
    of each taker, what it can still hold and what leaves it in an hour, m3.
    """

    ground: Ground
    sources: tuple[SpillSource, ...]
    lost: tuple[SpillSource, ...]
    spill: Spill
    ends: tuple[SourceEnd, ...]
    takers: tuple[str, ...]
    account: WaterAccount
    rooms_m3: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answers:
    """All that was worked out for a site. What the question did not need, and was not at hand, is None.

    coarse: reach and overflow are on a thinned ground (while something is dragged). chains: one for each tank, in the
    site's order. need: what beds and ponds want, of any site with weather and latitude. stand: where a tank could
    stand, where that was asked. findings: by severity, then by what is at
    stake. words: the short answer of each of the questions.
    """

    site: Site
    coarse: bool
    ground: GroundAnswer
    chains: tuple[TankChain, ...] = ()
    catch: CatchAnswer | None = None
    reach: ReachAnswer | None = None
    overflow: OverflowAnswer | None = None
    mud: MudAnswer | None = None
    lasting: LastingAnswer | None = None
    need: NeedAnswer | None = None
    stand: StandAnswer | None = None
    findings: tuple[Finding, ...] = ()
    words: Mapping[Question, ShortAnswer] = field(default_factory=dict)
