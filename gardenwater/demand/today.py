"""What a bed needs on a day, in cans, and when it will next need some."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gardenwater.demand.model import BedDays
from gardenwater.demand.records_zone import Asks
from gardenwater.units import Quantity, UnitSystem, text

_LOOK_AHEAD_DAYS = 60
_CAN_SLACK = 0.1
"""A tenth of a can over is not carried as one more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BedNeed:
    """What a bed needs on a day.

    stands: whether a crop in season stands on it. litres: asked for today, and cans that make: 0 when nothing is.
    wait_days: dry days until it asks next, 0 when it asks today, NaN when it does not within two months.
    later_litres: what it asks for then. used: share of the root zone's available water that is used.
    """

    stands: bool
    litres: float
    cans: int
    wait_days: float
    later_litres: float
    later_cans: int
    used: float


def _cans(litres: float, can_l: float) -> int:
    return max(math.ceil(litres / can_l - _CAN_SLACK), 1) if litres > 0.0 else 0


def _asked_mm(days: BedDays, at: int, depletion_mm: float) -> float:
    """What `kernels_zone.need` says for a day that starts with this depletion of the root zone, mm."""
    asks = days.table["asks"][at]
    if asks == Asks.FIXED:
        return float(days.soil["fixed_mm"])
    if asks == Asks.NOTHING or (asks == Asks.WHEN_DRY and depletion_mm < days.readily_mm[at]):
        return 0.0
    return depletion_mm


def need_today(days: BedDays, at: int, *, depletion_mm: float, can_l: float = 10.0) -> BedNeed:
    """What a bed needs on day `at` of its days, when its root zone starts it with this depletion.

    Later need is told as if no rain came and the crop used what FAO-56's single crop coefficient says.
    """
    litres = _asked_mm(days, at, depletion_mm) * days.area_m2
    here = slice(at, min(at + _LOOK_AHEAD_DAYS, days.days))
    uses_mm = (days.grown.kcb[here] + days.grown.wetness[here]) * days.et0_mm[here]
    ahead_mm = np.minimum(depletion_mm + np.cumsum(uses_mm) - uses_mm, days.available_mm[here])
    asked = [_asked_mm(days, at + ahead, float(mm)) * days.area_m2 for ahead, mm in enumerate(ahead_mm)]
    wait = next((ahead for ahead, asked_l in enumerate(asked) if asked_l > 0.0), None)
    later_l = 0.0 if wait is None else asked[wait]
    return BedNeed(
        stands=bool(days.table["asks"][here].any()),
        litres=litres,
        cans=_cans(litres, can_l),
        wait_days=math.nan if wait is None else float(wait),
        later_litres=later_l,
        later_cans=_cans(later_l, can_l),
        used=min(depletion_mm / float(days.available_mm[at]), 1.0),
    )


def _can_words(cans: int) -> str:
    return "1 can" if cans == 1 else f"{cans} cans"


def need_words(need: BedNeed, system: UnitSystem) -> str:
    """What a bed needs, in a few words: "3 cans today (31 L)", "4 cans in about 5 days", "nothing, no crop stands"."""
    if need.cans:
        return f"{_can_words(need.cans)} today ({text(need.litres, Quantity.VOLUME_L, system)})"
    if not need.stands:
        return "nothing, no crop stands"
    if math.isnan(need.wait_days):
        return "nothing for two months"
    day = "tomorrow" if need.wait_days == 1.0 else f"in about {need.wait_days:.0f} days"
    return f"{_can_words(need.later_cans)} {day}"
