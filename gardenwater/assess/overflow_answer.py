"""What the engines say of Overflow: where spilled water ends, and the account of every litre."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gardenwater.catch import SpillSource
    from gardenwater.ground import Ground
    from gardenwater.overflow import End, Spill


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
    itself, where that is asked for. Typed litres stand as rain. off_site_l: off the ground that is
    known. over_boundary_l: what crosses the drawn boundary, wherever it ends; a part of the above, 0 without one.
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
