"""What a bed needs today, in cans and in words."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from gardenwater.demand import BedDays, kernels_zone, need_today, need_words, stack
from gardenwater.site.things import Bed, WateringRule
from gardenwater.units import UnitSystem
from tests.demand.conftest import bed, days_of, plain_weather

WEATHER = plain_weather(1)
LETTUCE = days_of(bed(crop="lettuce", sown="1 May"), WEATHER)
MIDDLE = int(np.flatnonzero(LETTUCE.grown.stage == 3)[3])


def _words(days: BedDays, at: int, depletion_mm: float, **keywords: Any) -> str:
    return need_words(need_today(days, at, depletion_mm=depletion_mm, **keywords), UnitSystem.METRIC)


def test_a_dry_bed_needs_its_depletion_now() -> None:
    need = need_today(LETTUCE, MIDDLE, depletion_mm=15.0)
    # 15 mm on 10 m²: 150 L in cans of 10 L; lettuce in loam has 1000 x 0.13 x 0.3 mm
    assert (need.litres, need.cans, need.wait_days) == (150.0, 15, 0.0)
    assert need.used == pytest.approx(15.0 / 39.0)
    assert _words(LETTUCE, MIDDLE, 15.0) == "15 cans today (150\u00a0L)"


def test_twenty_millimetres_on_three_square_metres_are_six_cans() -> None:
    # common practice: cans = mm x m² / L
    small = days_of(Bed(id="bed-2", shape=box(0.0, 0.0, 2.0, 1.5), crop="lettuce", sown="1 May"), WEATHER)
    assert need_today(small, MIDDLE, depletion_mm=20.0).cans == 6
    assert need_today(small, MIDDLE, depletion_mm=20.0, can_l=8.0).cans == 8, "7.5 of them"


def test_a_moist_bed_says_when_it_will_need_some() -> None:
    readily = float(LETTUCE.readily_mm[MIDDLE])
    uses = float(((LETTUCE.grown.kcb + LETTUCE.grown.wetness) * LETTUCE.et0_mm)[MIDDLE])
    # two days and a half before the readily available water is used, so on the third
    need = need_today(LETTUCE, MIDDLE, depletion_mm=readily - 2.5 * uses)
    assert (need.litres, need.cans, need.wait_days) == (0.0, 0, 3.0)
    assert need.later_litres == pytest.approx((readily + 0.5 * uses) * 10.0, rel=0.05)
    assert _words(LETTUCE, MIDDLE, readily - 2.5 * uses).endswith("cans in about 3 days")
    assert _words(LETTUCE, MIDDLE, readily - 0.5 * uses).endswith("cans tomorrow")


def test_a_bed_between_crops_needs_nothing() -> None:
    need = need_today(LETTUCE, 330, depletion_mm=15.0)
    assert not need.stands
    assert math.isnan(need.wait_days)
    assert _words(LETTUCE, 330, 15.0) == "nothing, no crop stands"


def test_fixed_cans_are_needed_on_their_days() -> None:
    rule = {"watering": WateringRule.FIXED_CANS, "every_days": 4.0, "cans_each": 1.0}
    days = days_of(bed(crop="lettuce", sown="1 May", **rule), WEATHER)
    first = int(np.flatnonzero(days.table["asks"])[0])
    assert _words(days, first, 0.0) == "1 can today (10\u00a0L)"
    assert _words(days, first + 1, 0.0) == "1 can in about 3 days"


def test_us_units() -> None:
    need = need_today(LETTUCE, MIDDLE, depletion_mm=15.0)
    assert need_words(need, UnitSystem.US) == "15 cans today (39.6\u00a0US\u00a0gal)"


@given(st.integers(0, 364), st.floats(0.0, 1.0), st.sampled_from(list(WateringRule)))
def test_it_is_what_the_kernel_asks_for(at: int, used: float, rule: WateringRule) -> None:
    days = days_of(bed(crop="apples", watering=rule), WEATHER)
    block = stack([days])
    state = block.state.copy()
    # the perennial's roots do not move, so that the depletion is that of the day's start
    state["root_mm"] = used * days.available_mm[at]
    asked = kernels_zone.need(block.days, block.beds, state, at, 0)
    assert need_today(days, at, depletion_mm=float(state["root_mm"][0])).litres == pytest.approx(10.0 * asked)
