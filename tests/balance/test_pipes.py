"""Rain in the pipes: first flush by event, diverters in their order, overflows into other tanks, losses, winter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gardenwater.balance import Feed, Rules, System, run, runs_off
from tests.balance.made import pipe, sky, tank


def test_what_a_roof_yields() -> None:
    # R01: 1 mm on 1 m2 is 1 L. R05 (enHealth 2011, app. B): 0.8 x 200 m2 x (750 - 24) mm = 116,160 L
    runs = runs_off((pipe(m2=1.0), pipe(m2=0.8 * 200.0)), np.array([1.0, 726.0]))
    assert 1000 * runs[0, 0] == pytest.approx(1.0)
    assert 1000 * runs[1, 1] == pytest.approx(116_160.0)


def test_a_first_flush_device_fills_once_in_a_run_of_wet_days() -> None:
    # 10 m2, 20 L: 1 mm and 3 mm fill it in two days; it stays full while it rains, and runs empty on a dry day
    rain = np.array([1.0, 3.0, 5.0, 0.0, 5.0, 0.1, 1.0])
    runs = 1000 * runs_off((pipe(m2=10.0, flush_l=20.0),), rain)[:, 0]
    # the 0.1 mm of a day that counts as dry go into the device, and out of it
    assert runs == pytest.approx([0.0, 20.0, 50.0, 0.0, 30.0, 0.0, 0.0])


def two_on_a_pipe(**upper: object) -> System:
    feeds = (
        Feed(id="upper", tank="one", share=0.6, **upper),  # type: ignore[arg-type]
        Feed(id="lower", tank="two", share=0.5, share_after=0.8),
    )
    return System(tanks=(tank("one", 100.0), tank("two", 1000.0)), gathers=(pipe(*feeds, m2=100.0),))


def test_diverters_lead_aside_in_their_order() -> None:
    # 100 L come down, 60 go to the first tank, half of the other 40 to the second, 20 to the foot
    found = run(two_on_a_pipe(), sky([1.0]))
    assert 1000 * found.inflow_m3[0] == pytest.approx([60.0, 20.0])
    assert 1000 * found.foot_m3[0, 0] == pytest.approx(20.0)


def test_what_a_stopped_diverter_lets_pass_comes_to_the_next() -> None:
    # 400 L: 240 for a tank of 100, so 140 pass on, and 0.8 of these go to the second tank, on top of half of 160
    found = run(two_on_a_pipe(), sky([4.0]))
    assert 1000 * found.inflow_m3[0] == pytest.approx([100.0, 80.0 + 112.0])
    assert 1000 * found.foot_m3[0, 0] == pytest.approx(80.0 + 28.0)
    assert found.spill_m3.sum() == pytest.approx(0.0, abs=1e-12)


def test_a_feeding_diverter_lets_nothing_pass() -> None:
    found = run(two_on_a_pipe(stops=False), sky([4.0]))
    assert 1000 * found.inflow_m3[0] == pytest.approx([240.0, 80.0])
    assert 1000 * found.spill_m3[0] == pytest.approx([140.0, 0.0])


def test_a_tank_with_both_kinds_is_filled_by_both_in_proportion() -> None:
    # A tank of 100 L gets 120 L from one that stops and 80 L from one that feeds: it is full half way through
    system = System(
        tanks=(tank("one", 100.0),),
        gathers=(
            pipe(Feed(id="a", tank="one", share=1.0), name="p", m2=120.0),
            pipe(Feed(id="b", tank="one", share=1.0, stops=False), name="q", m2=80.0),
        ),
    )
    found = run(system, sky([1.0]))
    assert 1000 * found.foot_m3[0] == pytest.approx([60.0, 0.0])
    assert 1000 * found.spill_m3[0] == pytest.approx([40.0])


def test_an_overflow_runs_into_the_tank_below_and_on() -> None:
    top = tank("top", 100.0, floor_level_m=4.0, overflow_to="middle")
    middle = tank("middle", 100.0, floor_level_m=2.0, overflow_to="low")
    feed = Feed(id="d", tank="top", stops=False)
    system = System(tanks=(tank("low", 100.0), middle, top), gathers=(pipe(feed, m2=350.0),))
    found = run(system, sky([1.0]))
    assert 1000 * found.volume_m3[0] == pytest.approx([100.0, 100.0, 100.0])
    assert 1000 * found.spill_m3[0] == pytest.approx([50.0, 150.0, 250.0])
    assert 1000 * found.passed_m3[0] == pytest.approx([150.0, 250.0, 0.0])
    assert found.residual_m3 < 1e-15


def test_an_overflow_does_not_run_uphill() -> None:
    low = tank("low", 100.0, overflow_to="high")
    high = tank("high", 100.0, floor_level_m=2.0)
    system = System(tanks=(low, high), gathers=(pipe(Feed(id="d", tank="low", stops=False), m2=150.0),))
    assert 1000 * run(system, sky([1.0])).volume_m3[0] == pytest.approx([100.0, 0.0])


def test_leaks_and_open_water_lose_no_more_than_there_is() -> None:
    store = tank(start_m3=0.05, leak_m3=0.01, open_m2=2.0)
    found = run(System(tanks=(store,)), sky([0.0] * 4), evaporation_mm=[5.0, 0.0, 5.0, 5.0])
    assert 1000 * found.lost_m3[:, 0] == pytest.approx([20.0, 10.0, 20.0, 0.0])


def test_a_tank_that_is_drained_in_winter_stands_empty_and_lets_its_water_pass() -> None:
    feeds = (Feed(id="a", tank="frail", share=1.0), Feed(id="b", tank="hardy", share=0.5, share_after=0.9))
    frail = tank("frail", winter=True, start_m3=0.4)
    system = System(tanks=(frail, tank("hardy")), gathers=(pipe(*feeds, m2=1.0),), rules=Rules(winter=(1,)))
    found = run(system, sky([1.0] * 40))
    assert 1000 * found.lost_m3[0, 0] == pytest.approx(400.0)
    assert (found.volume_m3[:31, 0] == 0.0).all()
    assert 1000 * found.inflow_m3[5] == pytest.approx([0.0, 0.9])
    assert 1000 * found.inflow_m3[35] == pytest.approx([1.0, 0.0])
    assert found.residual_m3 < 1e-12


def test_runoff_that_is_given_counts_and_not_the_rain() -> None:
    system = System(tanks=(tank(),), gathers=(pipe(Feed(id="d", tank="tank"), m2=10.0),))
    found = run(system, sky([5.0, 0.0]), runoff_mm=[0.0, 5.0])
    assert 1000 * found.inflow_m3[:, 0] == pytest.approx([0.0, 50.0])
    assert found.rain_mm.tolist() == [5.0, 0.0]


def test_a_pipe_without_a_diverter_runs_out_at_its_foot() -> None:
    system = System(tanks=(tank(),), gathers=(replace(pipe(m2=10.0)),))
    assert 1000 * run(system, sky([5.0])).foot_m3[0, 0] == pytest.approx(50.0)
