"""Linked tanks: communicating vessels against an ODE, two levels by closed form, and each way a link can lie."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from gardenwater.balance import Feed, Pipe, Shape, Store, System, run
from gardenwater.balance.prepare import AT_ONCE_H, joined, levels_in_h
from tests.balance.made import bed, pipe, sky, tank

NAN = float("nan")


def weir_table(constant: float) -> dict[str, np.ndarray]:
    """What flows at each head: q = constant x sqrt(head), m3/s, closely tabled."""
    heads = np.concatenate(([0.0], np.geomspace(1e-5, 3.0, 400)))
    return {"head_m": heads, "flow_m3_s": constant * np.sqrt(heads)}


def pair(level_m: float = 0.0, **link: object) -> System:
    """Two tanks on level ground, 2 m2 and 0.5 m2 wide, the first with a metre of water."""
    wide = Store(id="wide", shape=Shape.straight(4.0, 2.0), floor_level_m=0.0, rim_height_m=2.0, start_m3=2.0)
    slim = Store(id="slim", shape=Shape.straight(1.0, 2.0), floor_level_m=0.0, rim_height_m=2.0)
    one = Pipe(id="link", first="wide", second="slim", level_m=level_m, **link)  # type: ignore[arg-type]
    return System(tanks=(wide, slim), links=(one,))


def test_two_tanks_stand_level_by_the_end_of_the_day() -> None:
    found = run(pair(), sky([0.0]))
    assert found.level_m[0] == pytest.approx([0.8, 0.8])  # 2 m3 over 2.5 m2
    assert found.link_m3[0, 0] == pytest.approx(0.4)
    assert found.passed_m3[0] == pytest.approx([-0.4, 0.4])
    assert found.link_gap_m[0, 0] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("level_m", "slim_m"), [(0.5, 0.8), (0.9, 0.4), (1.0, 0.0), (1.5, 0.0)])
def test_a_link_shares_only_what_stands_above_it(level_m: float, slim_m: float) -> None:
    # above 0.8 m the wide one keeps what is under the link: 2 x (1 - 0.9) = 0.2 m3 make 0.4 m in the slim one
    found = run(pair(level_m), sky([0.0]))
    assert found.level_m[0, 1] == pytest.approx(slim_m)
    assert found.volume_m3[0].sum() == pytest.approx(2.0)


@pytest.mark.parametrize("constant", [2e-6, 6e-6, 2e-5])
@pytest.mark.parametrize("level_m", [0.0, 0.45])
def test_a_thin_link_follows_the_ode_of_communicating_vessels(constant: float, level_m: float) -> None:
    """The day's end of each of ten days, to a fiftieth of the greatest difference of levels."""
    system = pair(level_m, **weir_table(constant))
    assert joined(system) == {"link": "thin"}
    areas = np.array([2.0, 0.5])

    def change(_: float, levels: np.ndarray) -> np.ndarray:
        high, low = max(levels), max(min(levels), level_m)
        flow = constant * np.sqrt(max(high - low, 0.0)) * np.sign(levels[0] - levels[1])
        return np.array([-flow, flow]) / areas

    days = 10
    exact = solve_ivp(
        change, (0.0, days * 86_400.0), [1.0, 0.0], t_eval=86_400.0 * np.arange(1, days + 1), rtol=1e-8, max_step=600.0
    )
    found = run(system, sky([0.0] * days))
    assert found.level_m == pytest.approx(exact.y.T, abs=0.02)
    if constant < 1e-5:
        assert found.link_gap_m[0, 0] > 0.01
    assert found.residual_m3 < 1e-12


def test_a_square_root_link_levels_in_its_closed_form_time() -> None:
    # h(t) = (sqrt(h0) - k t / 2)^2 with k = c / A, 1/A = 1/2 + 1/0.5: down to 1 cm in 2 (1.414 - 0.1) / k, h0 = 2 m
    constant = 2e-5
    system = pair(**weir_table(constant))
    k = constant * (1 / 2.0 + 1 / 0.5)
    hours = 2 * (np.sqrt(2.0) - 0.1) / k / 3600
    assert levels_in_h(system.links[0], *system.tanks) == pytest.approx(hours, rel=0.01)
    assert hours > AT_ONCE_H


def test_a_two_tank_group_on_two_levels_empties_by_closed_form() -> None:
    """The upper tank stands 1 m higher; a link at its floor runs down to the lower one, which alone is drawn from.

    1000 L over 1 m each. 100 L a day from full: the group stands level while both are wet, from 2 m to 1 m above the
    lower floor, over both widths where both have water: the lower tank is full up to its rim, at 1 m, so all of the
    upper one comes down first: 10 days of the upper, then 10 days of the lower.
    """
    high, low = tank("high", floor_level_m=1.0, start_m3=1.0), tank("low", rim_height_m=2.0, start_m3=1.0)
    low = replace(low, shape=Shape.straight(2.0, 2.0))
    system = System(
        tanks=(high, low),
        links=(Pipe(id="link", first="high", second="low", level_m=1.0),),
        beds=(bed([100.0] * 21, [NAN, 0.0]),),
    )
    found = run(system, sky([0.0] * 21))
    # at the start the upper metre is shared over 1 + 1 m2: both at 1.5 m; then 20 days of 100 L
    days = np.arange(1, 21)
    left = 2.0 - 0.1 * days
    lower_m = np.where(left >= 1.0, 1.0 + (left - 1.0) / 2.0, left)
    assert found.level_m[:20, 1] == pytest.approx(lower_m)
    assert found.level_m[:20, 0] == pytest.approx(np.maximum(lower_m, 1.0))
    assert found.met_l[:, 0] == pytest.approx([100.0] * 20 + [0.0])


def test_water_is_drawn_at_one_tank_from_all_that_stand_level_with_it() -> None:
    # 0.9 m3 in each of two tanks; the bed needs 0.5 m at the first: 0.4 m3 of each comes
    system = System(
        tanks=(tank("one", start_m3=0.9), tank("two", start_m3=0.9)),
        links=(Pipe(id="link", first="one", second="two", level_m=0.0),),
        beds=(bed([1000.0], [0.5, NAN]),),
    )
    found = run(system, sky([0.0]))
    assert found.met_gravity_l[0, 0] == pytest.approx(800.0)
    assert found.level_m[0] == pytest.approx([0.5, 0.5])
    assert found.drawn_m3[0] == pytest.approx([0.8, 0.0])


def test_below_the_link_the_tank_gives_its_own_water_alone() -> None:
    system = System(
        tanks=(tank("one", start_m3=0.9), tank("two", start_m3=0.9)),
        links=(Pipe(id="link", first="one", second="two", level_m=0.6),),
        beds=(bed([2000.0], [0.0, NAN]),),
    )
    found = run(system, sky([0.0]))
    assert found.met_gravity_l[0, 0] == pytest.approx(300.0 + 300.0 + 600.0)
    assert found.level_m[0] == pytest.approx([0.0, 0.6])


def test_the_lower_rim_spills_for_both() -> None:
    # rims at 1.0 m and 0.7 m: both stand at 0.7 m and the second spills, whichever is fed
    low = tank("low", rim_height_m=0.7)
    system = System(
        tanks=(tank("one"), low),
        links=(Pipe(id="link", first="one", second="low", level_m=0.1),),
        gathers=(pipe(Feed(id="d", tank="one"), m2=2000.0),),
    )
    found = run(system, sky([1.0]))
    assert found.level_m[0] == pytest.approx([0.7, 0.7])
    # the float of the diverter is in the higher tank, which never is full: it does not stop
    assert 1000 * found.spill_m3[0] == pytest.approx([0.0, 600.0])
    assert found.foot_m3.sum() == 0.0


def test_a_link_above_the_other_rim_runs_over_into_it() -> None:
    system = System(
        tanks=(tank("one", start_m3=0.0), tank("low", rim_height_m=0.5)),
        links=(Pipe(id="link", first="low", second="one", level_m=0.8),),
        gathers=(pipe(Feed(id="d", tank="one"), m2=1500.0),),
    )
    assert joined(system) == {"link": "over"}
    found = run(system, sky([1.0]))
    assert 1000 * found.volume_m3[0] == pytest.approx([800.0, 500.0])
    assert 1000 * found.spill_m3[0] == pytest.approx([0.0, 200.0])
    assert 1000 * found.link_m3[0, 0] == pytest.approx(-700.0)


def test_a_link_above_both_rims_is_dry() -> None:
    system = pair(2.5)
    assert joined(system) == {"link": "dry"}
    assert run(system, sky([0.0])).volume_m3[0] == pytest.approx([2.0, 0.0])


def test_three_tanks_in_a_ring_stand_level_and_pass_through_the_lowest_links() -> None:
    tanks = tuple(tank(name, start_m3=start) for name, start in (("a", 0.9), ("b", 0.0), ("c", 0.3)))
    links = tuple(
        Pipe(id=f"{one}{two}", first=one, second=two, level_m=level)
        for one, two, level in (("a", "b", 0.0), ("b", "c", 0.1), ("c", "a", 0.2))
    )
    found = run(System(tanks=tanks, links=links), sky([0.0]))
    assert found.level_m[0] == pytest.approx([0.4, 0.4, 0.4])
    assert found.link_m3[0] == pytest.approx([0.5, 0.1, 0.0])


def test_a_chain_of_links_at_rising_levels_fills_one_tank_after_another() -> None:
    # the first keeps what is below 0.5 m, the second gets the rest until both stand at 0.6 m, then the third fills
    tanks = tuple(tank(name) for name in ("a", "b", "c"))
    links = (
        Pipe(id="ab", first="a", second="b", level_m=0.5),
        Pipe(id="bc", first="b", second="c", level_m=0.6),
    )
    fed = System(tanks=tanks, links=links, gathers=(pipe(Feed(id="d", tank="a"), m2=100.0),))
    found = run(fed, sky([4.0, 4.0, 4.0, 4.0, 4.0]))
    assert 10 * found.level_m == pytest.approx(
        10 * np.array([[0.4, 0, 0], [0.5, 0.3, 0], [0.6, 0.6, 0], [0.6, 0.6, 0.4], [2 / 3, 2 / 3, 2 / 3]])
    )


def test_a_lying_tank_shares_by_its_own_table() -> None:
    lying = Store(id="lying", shape=Shape.lying(1.0, 1.0), floor_level_m=0.0, rim_height_m=1.0, start_m3=1.0)
    system = System(tanks=(lying, tank("box")), links=(Pipe(id="link", first="lying", second="box", level_m=0.0),))
    found = run(system, sky([0.0]))
    # half of the whole: a lying cylinder is half full at half its height, as the box is
    assert found.level_m[0] == pytest.approx([0.5, 0.5], abs=1e-4)


def test_a_float_valve_fills_the_lower_tank_as_far_as_its_float() -> None:
    high = tank("high", floor_level_m=3.0, start_m3=0.8)
    valve = Pipe(id="valve", first="high", second="low", level_m=3.1, float_level_m=0.4)
    system = System(tanks=(high, tank("low")), links=(valve,), beds=(bed([300.0] * 3, [NAN, 0.0]),))
    assert joined(system) == {"valve": "float"}
    found = run(system, sky([0.0] * 3))
    # 400 L on the first evening; 300 are drawn and made up next day; then what stands above the outlet is gone
    assert 1000 * found.link_m3[:, 0] == pytest.approx([400.0, 300.0, 0.0])
    assert 1000 * found.volume_m3 == pytest.approx(np.array([[400.0, 400.0], [100.0, 400.0], [100.0, 100.0]]))
    assert found.link_gap_m.sum() == 0.0


def test_a_float_valve_passes_no_more_than_its_bore() -> None:
    table = {"head_m": np.array([0.0, 10.0]), "flow_m3_s": np.array([0.0, 1e-5])}
    high = tank("high", floor_level_m=3.0, start_m3=0.8)
    valve = Pipe(id="valve", first="high", second="low", level_m=3.0, float_level_m=0.4, **table)
    found = run(System(tanks=(high, tank("low")), links=(valve,)), sky([0.0]))
    assert found.link_m3[0, 0] == pytest.approx(1e-5 * (3.8 - 0.4) / 10.0 * 86_400.0)
