"""What the engines say about a site, as values: read by the window, the report and the command line alike.

Everything is frozen and may be read from any thread. Arrays are on the grid of `ReachAnswer.ground` (or of
`GroundAnswer.ground`) and read-only. There is no text in here: findings and short answers get theirs in
`findings.wording`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gardenwater.assess.lasting import LastingAnswer, StoreCurve, StoreSizes, TankLoss, YearAnswer
from gardenwater.assess.overflow_answer import OverflowAnswer, SourceEnd, WaterAccount
from gardenwater.assess.reach_answer import (
    AtLevel,
    BedReach,
    BestReach,
    EndFlow,
    ReachAnswer,
    Status,
    Sureness,
    TankReach,
)
from gardenwater.findings import Finding, Question, ShortAnswer

if TYPE_CHECKING:
    from gardenwater.assess.mud import MudAnswer
    from gardenwater.assess.needing import NeedAnswer
    from gardenwater.assess.stand_answer import StandAnswer
    from gardenwater.catch import Capacities, RoofPart, Spills, Wiring, Yields
    from gardenwater.ground import GroundAnswer
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answers:
    """All that was worked out for a site. What the question did not need, and was not at hand, is None.

    coarse: reach and overflow are on a thinned ground (while something is dragged). own: they are exact, but only what
    one question needs was worked out, and all is to follow. chains: one for each tank, in the site's order. need: what
    beds and ponds want, of any site with weather and latitude. stand: where a tank could stand, where that was asked.
    findings: by severity, then by what is at stake. words: the short answer of each of the questions.
    """

    site: Site
    coarse: bool
    own: bool = False
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
