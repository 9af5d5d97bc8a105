"""Yield after and before spillage, by published replays and by hand; who gets water first, and from where."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gardenwater.balance import BedOrder, Feed, Plot, Rules, System, TankOrder, YieldRule, run
from gardenwater.errors import InputError
from tests.balance.made import bed, one_tank, pipe, sky, tank

NAN = float("nan")


def test_a_published_replay_of_yield_after_spillage() -> None:
    # S_YAS: Jenkins 1978; Fewkes and Butler 2000 (V <= S - Y), definitions seen second-hand, the sequence computed
    rain = [0, 120, 30, 0, 0, 400, 15, 0, 0, 60]
    found = run(one_tank([50] * 10, capacity_l=200, start_m3=0.08), sky(rain))
    assert 1000 * found.volume_m3[:, 0] == pytest.approx([30, 120, 100, 50, 0, 200, 150, 100, 50, 60])
    assert found.met_l[:, 0] == pytest.approx([50, 30, 50, 50, 50, 0, 50, 50, 50, 50])
    # The diverter stops by itself: what the tank cannot take runs out at the pipe's foot, 200 L and 15 L.
    assert 1000 * found.foot_m3[:, 0] == pytest.approx([0, 0, 0, 0, 0, 200, 15, 0, 0, 0])
    assert 1000 * found.spill_m3.sum() == pytest.approx(0.0, abs=1e-9)


def test_a_diverter_that_keeps_feeding_makes_its_tank_spill() -> None:
    system = one_tank([50] * 10, capacity_l=200, start_m3=0.08)
    feeds = (Feed(id="diverter", tank="tank", stops=False),)
    system = replace(system, gathers=(replace(system.gathers[0], feeds=feeds),))
    found = run(system, sky([0, 120, 30, 0, 0, 400, 15, 0, 0, 60]))
    assert 1000 * found.spill_m3[:, 0] == pytest.approx([0, 0, 0, 0, 0, 200, 15, 0, 0, 0])
    assert found.foot_m3.sum() == 0.0


def test_yield_before_spillage_by_hand() -> None:
    # Y = min(D, V + Q), V = min(V + Q - Y, S), worked out by hand: 80-50=30; 30+120-50=100; 80; 30; all 30 of 50; ...
    found = run(
        one_tank([50] * 10, capacity_l=200, start_m3=0.08),
        sky([0, 120, 30, 0, 0, 400, 15, 0, 0, 60]),
        rule=YieldRule.BEFORE_SPILL,
    )
    assert 1000 * found.volume_m3[:, 0] == pytest.approx([30, 100, 80, 30, 0, 200, 165, 115, 65, 75])
    assert found.met_l[:, 0] == pytest.approx([50, 50, 50, 50, 30, 50, 50, 50, 50, 50])
    assert 1000 * found.foot_m3[:, 0] == pytest.approx([0, 0, 0, 0, 0, 150, 0, 0, 0, 0])


@pytest.mark.parametrize(
    ("rule", "volume", "steps"),
    [(YieldRule.AFTER_SPILL, 0.357895, 0.583333), (YieldRule.BEFORE_SPILL, 0.919663, 0.833333)],
)
def test_the_monthly_case_that_shows_why_steps_are_days(rule: YieldRule, volume: float, steps: float) -> None:
    # M_YAS, M_YBS: a row for each month stands for its days; computed from the definitions
    rain = [65, 48, 50, 46, 52, 55, 48, 58, 60, 72, 70, 68]
    need = [0, 0, 200, 600, 1200, 2000, 2400, 2000, 900, 200, 0, 0]
    found = run(one_tank(need, capacity_l=1000, m2=40 * 0.8 * 0.9), sky(rain), rule=rule)
    assert found.share_met_volume == pytest.approx(volume, abs=1e-5)
    met = found.met_l[:, 0] >= np.array(need) - 1e-6
    assert met.mean() == pytest.approx(steps, abs=1e-5)
    if rule is YieldRule.BEFORE_SPILL:
        # inflow 19,929.6, yield 8,736.8, spill 10,192.8, end 1,000 L
        assert 1000 * found.runs_m3.sum() == pytest.approx(19_929.6)
        assert found.met_l.sum() == pytest.approx(8736.8)
        assert 1000 * (found.spill_m3.sum() + found.foot_m3.sum()) == pytest.approx(10_192.8)
        assert 1000 * found.volume_m3[-1, 0] == pytest.approx(1000.0)


def test_a_thousand_litres_last_ten_days_at_ten_cans_a_day() -> None:
    # common practice, no source: 1000 L / (10 x 10 L)
    rules = Rules(cans_a_day=10, can_l=10)
    system = replace(one_tank([100.0] * 12, start_m3=1.0, rules=rules), beds=(bed([100.0] * 12, [NAN], by_can=True),))
    found = run(system, sky([0.0] * 12))
    assert found.met_can_l[:, 0] == pytest.approx([100] * 10 + [0, 0])
    assert found.is_short.tolist() == [False] * 10 + [True, True]
    # two minutes a can, ten cans a day
    assert found.round_min[:10] == pytest.approx([20.0] * 10)


def test_cans_carry_only_so_much_in_a_day() -> None:
    rules = Rules(cans_a_day=3, can_l=10)
    system = replace(one_tank([100.0] * 2, start_m3=1.0, rules=rules), beds=(bed([100.0] * 2, [NAN], by_can=True),))
    found = run(system, sky([0.0] * 2))
    assert found.met_can_l[:, 0] == pytest.approx([30, 30])
    assert found.short_l[:, 0] == pytest.approx([70, 70])


def test_gravity_serves_while_the_water_stands_high_enough_and_cans_after_that() -> None:
    # 1000 L over 1 m: the bed needs the water at 0.6 m, so 400 L come by gravity; the outlet at 0.1 m keeps 100 L back
    store = tank(start_m3=1.0, outlet_height_m=0.1)
    system = System(tanks=(store,), beds=(bed([300.0] * 4, [0.6], by_can=True),), rules=Rules(cans_a_day=1000))
    found = run(system, sky([0.0] * 4))
    assert found.met_gravity_l[:, 0] == pytest.approx([300, 100, 0, 0])
    assert found.met_can_l[:, 0] == pytest.approx([0, 200, 300, 0])
    assert found.volume_m3[-1, 0] == pytest.approx(0.1)
    assert found.round_min[0] == pytest.approx(30.0)  # 300 L at a tenth of a minute


def test_a_tap_above_the_outlet_ends_the_cans_sooner() -> None:
    store = tank(start_m3=1.0, outlet_height_m=0.1, can_height_m=0.4)
    system = System(tanks=(store,), beds=(bed([2000.0], [NAN], by_can=True),), rules=Rules(cans_a_day=1000))
    assert run(system, sky([0.0])).met_can_l[0, 0] == pytest.approx(600.0)


@pytest.mark.parametrize(
    ("order", "from_first"), [(TankOrder.LOWEST, 0.0), (TankOrder.LISTED, 100.0), (TankOrder.FULLEST, 100.0)]
)
def test_which_tank_is_drawn_first(order: TankOrder, from_first: float) -> None:
    high, low = tank("high", floor_level_m=2.0, start_m3=0.9), tank("low", start_m3=0.5)
    system = System(tanks=(high, low), beds=(bed([100.0], [0.0, 0.0]),), rules=Rules(tank_order=order))
    assert 1000 * run(system, sky([0.0])).drawn_m3[0] == pytest.approx([from_first, 100.0 - from_first])


@pytest.mark.parametrize(("order", "met"), [(BedOrder.LISTED, [80, 20]), (BedOrder.SMALLEST, [60, 40])])
def test_which_bed_is_served_first(order: BedOrder, met: list[float]) -> None:
    beds = (bed([80.0], name="large"), bed([40.0], name="small"))
    system = System(tanks=(tank(start_m3=0.1),), beds=beds, rules=Rules(bed_order=order))
    assert run(system, sky([0.0])).met_l[0] == pytest.approx(met)


def test_names_that_lead_nowhere_and_arrays_that_do_not_fit_are_refused() -> None:
    with pytest.raises(InputError, match="No tank is called 'well'"):
        System(gathers=(pipe(Feed(id="d", tank="well")),))
    with pytest.raises(InputError, match="needed level"):
        System(tanks=(tank(),), beds=(bed([1.0], [0.0, 0.0]),))
    with pytest.raises(InputError, match="is not known"):
        run(one_tank([1.0, 1.0]), sky([1.0, NAN]))
    with pytest.raises(InputError, match="each of the 2 days"):
        run(one_tank([1.0]), sky([1.0, 1.0]))
    with pytest.raises(InputError, match="negative or not known"):
        run(one_tank([-1.0]), sky([1.0]))


def test_days_can_be_cut_out_and_asked_for() -> None:
    found = run(one_tank([50] * 10, capacity_l=200, start_m3=0.08), sky([0, 120, 30, 0, 0, 400, 15, 0, 0, 60]))
    part = found.slice(found.start.replace(day=3), found.start.replace(day=6))
    assert part.start_m3[0] == found.volume_m3[1, 0]
    assert part.days == 4
    assert part.volume_m3.tolist() == found.volume_m3[2:6].tolist()
    assert part.residual_m3 < 1e-12
    with pytest.raises(InputError, match="not in the balance"):
        found.index(found.start.replace(year=2002))
    with pytest.raises(ValueError, match="read-only"):
        found.volume_m3[0, 0] = 0.0


def test_a_bed_out_of_reach_without_cans_gets_nothing() -> None:
    beds: tuple[Plot, ...] = (bed([10.0], [NAN]),)
    found = run(System(tanks=(tank(start_m3=1.0),), beds=beds), sky([0.0]))
    assert found.met_l.sum() == 0.0
    assert found.share_met_volume == found.share_met_days == 0.0
    assert found.missing_l == 10.0
