"""Every litre of every generated system is accounted for; tanks hold no more than they can, no less than nothing."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gardenwater.balance import (
    Balance,
    BedOrder,
    Feed,
    Gather,
    Pipe,
    Plot,
    Rules,
    Shape,
    Store,
    System,
    TankOrder,
    YieldRule,
    run,
)
from tests.balance.made import one_tank, sky

DAYS = 60
share = st.floats(0.0, 1.0)


@st.composite
def stores(draw: st.DrawFn, at: int, names: list[str]) -> Store:
    """A tank of any form, with anything that a tank may have."""
    high = draw(st.floats(0.3, 2.0))
    make = Shape.lying if draw(st.booleans()) else Shape.straight
    volume = draw(st.floats(0.05, 3.0))
    return Store(
        id=names[at],
        shape=make(volume, high),
        floor_level_m=draw(st.floats(0.0, 2.0)),
        rim_height_m=high * draw(st.floats(0.6, 1.0)),
        outlet_height_m=high * draw(st.floats(0.0, 0.2)),
        can_height_m=draw(st.none() | st.floats(0.0, 0.5)),
        start_m3=volume * draw(share),
        open_m2=draw(st.sampled_from([0.0, 0.5])),
        leak_m3=draw(st.sampled_from([0.0, 0.002])),
        winter=draw(st.integers(0, 5)) == 0,
        overflow_to=draw(st.sampled_from(["", *names])),
    )


@st.composite
def pipes(draw: st.DrawFn, number: int, names: list[str]) -> Pipe:
    """A link of any kind between two tanks: open, thin, or with a float."""
    table: dict[str, Any] = {}
    if draw(st.booleans()):
        heads = np.concatenate(([0.0], np.geomspace(0.001, 5.0, 12)))
        table = {"head_m": heads, "flow_m3_s": draw(st.sampled_from([1e-6, 1e-4, 1e-2])) * np.sqrt(heads)}
    first = draw(st.sampled_from(names))
    return Pipe(
        id=f"link-{number}",
        first=first,
        second=draw(st.sampled_from([name for name in names if name != first])),
        level_m=draw(st.floats(0.0, 3.0)),
        float_level_m=draw(st.none() | st.none() | st.floats(0.0, 3.0)),
        **table,
    )


@st.composite
def gathers(draw: st.DrawFn, number: int, names: list[str]) -> Gather:
    """A downpipe with any number of diverters."""
    feeds = tuple(
        Feed(
            id=f"feed-{number}-{at}",
            tank=draw(st.sampled_from(names)),
            stops=draw(st.booleans()),
            share=draw(share),
            share_after=draw(share),
        )
        for at in range(draw(st.integers(0, 3)))
    )
    flush = draw(st.sampled_from([0.0, 0.02]))
    return Gather(id=f"pipe-{number}", m3_mm=draw(st.floats(0.0, 0.1)), first_flush_m3=flush, feeds=feeds)


@st.composite
def plots(draw: st.DrawFn, number: int, tanks: int, need: np.ndarray) -> Plot:
    levels = [draw(st.just(math.nan) | st.floats(0.0, 4.0)) for _ in range(tanks)]
    return Plot(
        id=f"bed-{number}",
        area_m2=1.0,
        needed_level_m=np.array(levels),
        minutes_per_l=np.full(tanks, 0.1),
        need_l=need * draw(st.floats(0.0, 20.0)),
        by_can=draw(st.booleans()),
    )


@st.composite
def systems(draw: st.DrawFn) -> tuple[System, np.ndarray]:
    """A system of up to five tanks, and the rain over it."""
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    names = [f"tank-{at}" for at in range(draw(st.integers(2, 5)))]
    tanks = tuple(draw(stores(at, names)) for at in range(len(names)))
    need = random.integers(0, 30, DAYS).astype(np.float64)
    beds = tuple(draw(plots(at, len(names), need)) for at in range(draw(st.integers(0, 4))))
    rules = Rules(
        yield_rule=draw(st.sampled_from(YieldRule)),
        tank_order=draw(st.sampled_from(TankOrder)),
        bed_order=draw(st.sampled_from(BedOrder)),
        cans_a_day=draw(st.sampled_from([0.0, 3.0, 50.0])),
        winter=(2,),
    )
    made = System(
        tanks=tanks,
        links=tuple(draw(pipes(at, names)) for at in range(draw(st.integers(0, 5)))),
        gathers=tuple(draw(gathers(at, names)) for at in range(draw(st.integers(0, 3)))),
        beds=beds,
        rules=rules,
    )
    wet = random.random(DAYS) < 0.4
    return made, np.where(wet, random.gamma(0.7, 9.0, DAYS), 0.0)


def check(system: System, found: Balance) -> None:
    """What holds of any balance, recomputed from what it reports."""
    tolerance = 1e-9 * max(found.moved_m3, 1.0)
    assert found.residual_m3 < 1e-9 * max(found.moved_m3, 1e-3)
    capacity = np.array([tank.capacity_m3 for tank in system.tanks])
    assert (found.volume_m3 >= -tolerance).all()
    assert (found.volume_m3 <= capacity + tolerance).all()
    for name in ("inflow_m3", "spill_m3", "drawn_m3", "lost_m3", "foot_m3", "met_gravity_l", "met_can_l", "short_l"):
        assert (getattr(found, name) >= -tolerance).all(), name
    assert (found.met_l <= found.wanted_l + 1e-6).all()
    assert found.met_can_l.sum(axis=1).max(initial=0.0) <= system.rules.cans_a_day * system.rules.can_l + 1e-6
    # What tanks pass to each other leaves none of it on the way, but for what runs from a rim into another tank.
    carried = found.passed_m3.sum(axis=1)
    assert (carried >= -tolerance).all()
    assert (carried <= found.spill_m3.sum(axis=1) + tolerance).all()
    whole = found.start_m3.sum() + found.inflow_m3.sum() + found.passed_m3.sum()
    gone = (found.spill_m3 + found.drawn_m3 + found.lost_m3).sum()
    assert whole == pytest.approx(gone + found.volume_m3[-1].sum(), abs=tolerance)


@given(systems())
@settings(max_examples=60)
def test_every_litre_is_accounted_for(made: tuple[System, np.ndarray]) -> None:
    system, rain = made
    check(system, run(system, sky(rain.tolist()), evaporation_mm=np.full(DAYS, 3.0)))


@given(systems())
@settings(max_examples=25)
def test_a_run_does_not_depend_on_the_order_in_which_links_are_named(made: tuple[System, np.ndarray]) -> None:
    system, rain = made
    levels = [link.level_m for link in system.links]
    if len(set(levels)) < len(levels):
        return
    turned = System(
        tanks=system.tanks,
        links=tuple(link for link in reversed(system.links) if link.float_level_m is None and link.head_m is None),
        gathers=system.gathers,
        beds=system.beds,
        rules=system.rules,
    )
    straight = System(
        tanks=system.tanks,
        links=tuple(reversed(turned.links)),
        gathers=system.gathers,
        beds=system.beds,
        rules=system.rules,
    )
    one, other = (run(each, sky(rain.tolist())) for each in (straight, turned))
    assert one.volume_m3 == pytest.approx(other.volume_m3, abs=1e-9)


@given(
    rain=st.lists(st.floats(0.0, 40.0), min_size=40, max_size=40),
    need=st.lists(st.floats(0.0, 200.0), min_size=40, max_size=40),
    capacity_l=st.floats(50.0, 3000.0),
    m2=st.floats(1.0, 80.0),
    more=st.floats(1.0, 3.0),
    rule=st.sampled_from(YieldRule),
)
@settings(max_examples=60)
def test_with_a_fixed_need_more_rain_roof_or_tank_never_gives_less(
    rain: list[float], need: list[float], capacity_l: float, m2: float, more: float, rule: YieldRule
) -> None:
    def share_met(rain_mm: list[float], l_now: float, area_m2: float) -> float:
        system = one_tank(need, capacity_l=l_now, m2=area_m2, rules=Rules(yield_rule=rule))
        return run(system, sky(rain_mm)).share_met_volume

    now = share_met(rain, capacity_l, m2) - 1e-12
    assert share_met(rain, capacity_l, m2 * more) >= now
    assert share_met(rain, capacity_l * more, m2) >= now
    assert share_met([depth * more for depth in rain], capacity_l, m2) >= now
    assert share_met([depth + more for depth in rain], capacity_l, m2) >= now
