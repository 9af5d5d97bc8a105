"""The day of a bed's soil: FAO-56's example, a second version in plain Python, the account, and what more does."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.demand import kernels_zone
from gardenwater.demand.records_zone import BED, DAY, PAST, STATE, Asks
from tests.demand import oracle


def _one(kind: Any, shape: tuple[int, ...], **fields: float) -> Any:
    made = np.zeros(shape, dtype=kind)
    for name, value in fields.items():
        made[name] = value
    return made


def _bed(**fields: float) -> Any:
    usual = {"evaporable_mm": 19.0, "readily_evaporable_mm": 9.0, "by_hand": 1.0}
    return _one(BED, (1,), **(usual | fields))


def _day(days: int = 1, **fields: float) -> Any:
    usual = {"bare": 0.5, "available_mm": 60.0, "readily_mm": 24.0}
    return _one(DAY, (days, 1), **(usual | fields))


def test_a_tomato_dries_out_as_in_the_paper() -> None:
    # FAO-56 example 37 (page 168): silt, roots of 0.8 m, RAW 64 mm, Dr 55 mm, ETo 5, Kc 1.2, p 0.4 throughout; its ten
    # depletions and stress coefficients are seen second-hand, in a public test file
    days = _day(10, transpiration_mm=6.0, available_mm=160.0, readily_mm=64.0)
    beds, state = _bed(), _one(STATE, (1,), root_mm=55.0, wetted=1.0)
    depletion, stress = [], []
    for at in range(10):
        _, transpired, passed = kernels_zone.day(days, beds, state, at, 0, 0.0)
        assert passed == 0.0
        depletion.append(round(float(state[0]["root_mm"]), 1))
        stress.append(transpired / 6.0)
    assert depletion == pytest.approx([61.0, 67.0, 72.8, 78.3, 83.4, 88.2, 92.6, 96.9, 100.8, 104.5], abs=0.1001)
    assert stress == pytest.approx([1.0, 1.0, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62], abs=0.006)


def test_stress_goes_by_the_depletion_at_the_start_of_the_day() -> None:
    days, beds = _day(transpiration_mm=5.0, drying_mm=4.0, drying_bare_mm=6.0, water_mm=30.0), _bed()
    state = _one(STATE, (1,), root_mm=42.0, surface_mm=14.0, wetted=1.0)
    evaporated, transpired, _ = kernels_zone.day(days, beds, state, 0, 0, 0.0)
    # by hand: Ks = (60 - 42) / (60 - 24) = 0.5 and Kr = (19 - 14) / (19 - 9) = 0.5, though the rain fills both
    assert (transpired, evaporated) == (2.5, 2.0)
    assert float(state[0]["root_mm"]) == 42.0 - 30.0 + 2.5 + 2.0
    # of the half that is bare: 14 - 30 below nothing, and 2 / 0.5
    assert float(state[0]["surface_mm"]) == 4.0


def test_what_is_over_fills_the_deep_soil_before_it_is_lost() -> None:
    days, beds = _day(water_mm=50.0), _bed()
    state = _one(STATE, (1,), root_mm=10.0, deep_mm=25.0, wetted=1.0)
    _, _, passed = kernels_zone.day(days, beds, state, 0, 0, 0.0)
    assert passed == 50.0 - 10.0 - 25.0
    assert (float(state[0]["root_mm"]), float(state[0]["deep_mm"])) == (0.0, 0.0)


def test_roots_take_over_what_the_deep_soil_lacks_and_give_it_back() -> None:
    beds = _bed()
    state = _one(STATE, (1,), root_mm=10.0, deep_mm=40.0, wetted=1.0)
    kernels_zone.day(_day(roots_take=0.25), beds, state, 0, 0, 0.0)
    assert (float(state[0]["root_mm"]), float(state[0]["deep_mm"])) == (20.0, 30.0)
    kernels_zone.day(_day(roots_take=-0.5), beds, state, 0, 0, 0.0)
    assert (float(state[0]["root_mm"]), float(state[0]["deep_mm"])) == (10.0, 40.0)


@pytest.mark.parametrize(
    ("asks", "depletion_mm", "need_mm"),
    [
        (Asks.NOTHING, 50.0, 0.0),
        (Asks.WHEN_DRY, 23.9, 0.0),
        (Asks.WHEN_DRY, 24.0, 24.0),
        (Asks.FILL_UP, 7.0, 7.0),
        (Asks.FIXED, 7.0, 12.0),
    ],
)
def test_what_a_bed_asks_for(asks: Asks, depletion_mm: float, need_mm: float) -> None:
    state = _one(STATE, (1,), root_mm=depletion_mm)
    assert kernels_zone.need(_day(asks=asks), _bed(fixed_mm=12.0), state, 0, 0) == need_mm


def test_rain_wets_all_of_the_surface_and_a_dripline_its_share() -> None:
    beds = _bed(by_hand=0.3)
    state = _one(STATE, (1,), wetted=1.0)
    kernels_zone.day(_day(), beds, state, 0, 0, 5.0)
    assert float(state[0]["wetted"]) == 0.3
    kernels_zone.day(_day(water_mm=2.9), beds, state, 0, 0, 0.0)
    assert float(state[0]["wetted"]) == 0.3, "too little rain: FAO-56 page 149 has 3 mm"
    kernels_zone.day(_day(water_mm=3.0), beds, state, 0, 0, 0.0)
    assert float(state[0]["wetted"]) == 1.0


millimetres = st.floats(0.0, 60.0)
shares = st.floats(0.0, 1.0)


@st.composite
def courses(draw: st.DrawFn) -> tuple[Any, Any, Any]:
    """Days, a bed and its state, whatever they may be: root zones down to a pot's, dry and full."""
    evaporable = draw(st.floats(1.0, 30.0))
    available = draw(st.floats(1.0, 200.0))
    count = draw(st.integers(1, 12))
    days = np.zeros((count, 1), dtype=DAY)
    for day in days[:, 0]:
        day["water_mm"] = draw(st.sampled_from([0.0, 0.0, 1.0, 3.0, 45.0]))
        day["transpiration_mm"] = draw(st.floats(0.0, 14.0))
        day["drying_mm"] = draw(st.floats(0.0, 14.0))
        day["drying_bare_mm"] = day["drying_mm"] + day["transpiration_mm"]
        day["bare"] = draw(st.floats(0.01, 1.0))
        day["available_mm"] = available
        day["readily_mm"] = draw(st.floats(0.1, 0.8)) * available
        day["asks"] = draw(st.integers(0, 3))
    bed = _bed(
        evaporable_mm=evaporable,
        readily_evaporable_mm=draw(st.floats(0.0, 0.9)) * evaporable,
        by_hand=draw(st.floats(0.1, 1.0)),
        fixed_mm=draw(st.floats(0.0, 30.0)),
    )
    state = _one(
        STATE,
        (1,),
        surface_mm=draw(shares) * evaporable,
        root_mm=draw(shares) * available,
        deep_mm=draw(st.floats(0.0, 100.0)),
        wetted=1.0,
    )
    return days, bed, state


def _past(days: Any, bed: Any, state: Any) -> tuple[Any, Any]:
    after = state.copy()
    past = np.zeros(days.shape, dtype=PAST)
    kernels_zone.run(days, bed, after, past)
    return past[:, 0], after


@given(courses())
def test_every_drop_is_accounted(course: tuple[Any, Any, Any]) -> None:
    days, bed, state = course
    past, after = _past(days, bed, state)
    came = days["water_mm"].sum() + past["need_mm"].sum()
    went = past["evaporated_mm"].sum() + past["transpired_mm"].sum() + past["passed_mm"].sum()
    kept = state["root_mm"][0] + state["deep_mm"][0] - after["root_mm"][0] - after["deep_mm"][0]
    assert abs(came - went - kept) <= 1e-9 * max(came, 1.0)
    assert min(past[name].min() for name in PAST.names) >= 0.0
    assert (past["depletion_mm"] <= days["available_mm"][:, 0] * (1.0 + 1e-12)).all()
    assert after["surface_mm"][0] <= bed["evaporable_mm"][0] * (1.0 + 1e-12)


@given(courses())
def test_a_second_version_in_plain_python_agrees(course: tuple[Any, Any, Any]) -> None:
    days, bed, state = course
    past, _ = _past(days, bed, state)
    soil = oracle.Soil(
        tew=float(bed["evaporable_mm"][0]),
        rew=float(bed["readily_evaporable_mm"][0]),
        by_hand=float(bed["by_hand"][0]),
        de=float(state["surface_mm"][0]),
        dr=float(state["root_mm"][0]),
        db=float(state["deep_mm"][0]),
    )
    rows = [dict(zip(DAY.names, day.tolist(), strict=True)) for day in days[:, 0]]
    plain = oracle.run(rows, soil, float(bed["fixed_mm"][0]))
    assert np.array([tuple(row) for row in past.tolist()]) == pytest.approx(np.array(plain), abs=1e-9)


@given(courses(), shares)
def test_more_leaves_never_let_more_evaporate_from_the_same_soil(course: tuple[Any, Any, Any], more: float) -> None:
    days, bed, state = course
    leafier = days[:1].copy()
    leafier["bare"] *= more
    little, much = (kernels_zone.day(each, bed, state.copy(), 0, 0, 0.0)[0] for each in (leafier, days[:1]))
    assert little <= much + 1e-12


@given(courses(), shares)
def test_a_mulch_never_lets_more_evaporate_from_the_same_soil(course: tuple[Any, Any, Any], passes: float) -> None:
    days, bed, state = course
    under, soil = days[:1].copy(), bed.copy()
    for name in ("drying_mm", "drying_bare_mm"):
        under[name] *= passes
    # what its surface has lost already it lost under the mulch
    for name in ("evaporable_mm", "readily_evaporable_mm"):
        soil[name] *= max(passes, 0.01)
    held = state.copy()
    held["surface_mm"] = np.minimum(held["surface_mm"], soil["evaporable_mm"])
    little = kernels_zone.day(under, soil, held.copy(), 0, 0, 0.0)[0]
    much = kernels_zone.day(days[:1], bed, held.copy(), 0, 0, 0.0)[0]
    assert little <= much + 1e-12


@given(courses(), millimetres)
def test_more_water_never_leaves_the_root_zone_drier(course: tuple[Any, Any, Any], more_mm: float) -> None:
    days, bed, state = course
    for at in range(days.shape[0]):
        given, watered = state.copy(), state.copy()
        kernels_zone.day(days, bed, given, at, 0, 0.0)
        kernels_zone.day(days, bed, watered, at, 0, more_mm)
        assert watered["root_mm"][0] <= given["root_mm"][0] + 1e-9
        state = given
