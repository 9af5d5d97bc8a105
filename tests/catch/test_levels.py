"""The chain of levels by hand, and the capacities of gutters and pipes against published tables."""

from __future__ import annotations

import math

import pytest
from affine import Affine
from shapely import box

from gardenwater.catch import capacities, chain, effective_area_m2, gutter_carries_l_s, pipe_carries_l_s
from gardenwater.catch.levels import Rung
from gardenwater.errors import EditError
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, head_loss_m
from gardenwater.site.model import Site
from gardenwater.site.things import GutterProfile, RoofForm
from tests.catch.made import diverter, gutter, pipe, roof, site_of, tank

# Ground at 100.00 m, but for 99.50 m where x < -1: the tank stands half a metre lower than the pipe.
GROUND = Ground([[99.5] * 4 + [100.0] * 12], Affine(1, 0, -5, 0, -12, 6))


def a_site(**tank_fields: object) -> Site:
    held = {
        "overflow_height_m": 1.2,
        "inlet_height_m": 1.3,
        "outlet_height_m": 0.1,
        "capacity_l": 1200.0,
        "water_l": 600.0,
    }
    return site_of(
        roof(eaves_height_m=2.8),
        pipe(1, 0, 0),
        diverter(1, 0, 0, height_m=1.5, most_l_min=20.0, feeder_bore_mm=32.0),
        tank(1, -3, 0, width_m=1.0, stand_height_m=0.3, **(held | tank_fields)),
    )


def test_the_levels_of_a_chain_in_order() -> None:
    (found,) = chain(a_site(), GROUND, "tank-1")
    assert [step.rung for step in found.steps] == list(Rung)
    # Floor at 99.5 + 0.3; eaves and diverter over the pipe's foot at 100.0.
    assert [step.level_m for step in found.steps] == pytest.approx([102.8, 101.5, 101.1, 101.0, 100.4, 99.9])
    assert [step.drop_m for step in found.steps[1:]] == pytest.approx([1.3, 0.4, 0.1, 0.6, 0.5])
    assert math.isnan(found.steps[0].drop_m)
    assert found.breaks == ()
    assert (found.diverter, found.downpipe, found.roof) == ("diverter-1", "downpipe-1", "roof-1")
    assert found.length_m == pytest.approx(2.5)
    assert found.fall_m == pytest.approx(0.4)


def test_the_feed_level_is_the_diverter_less_what_the_feeder_loses() -> None:
    (found,) = chain(a_site(), GROUND, "tank-1")
    loss = float(head_loss_m(20.0, 2.5, Line(bore_mm=32.0, fittings_k=1.5)))
    assert found.feed_level_m == pytest.approx(101.5 - loss)
    assert found.over_overflow_m == pytest.approx(0.5 - loss)
    # Under the 0.4 m down to the inlet the feeder passes just so much that it loses 0.4 m.
    feeder = Line(bore_mm=32.0, fittings_k=1.5)
    assert float(head_loss_m(found.most_l_min, 2.5, feeder)) == pytest.approx(0.4, rel=1e-6)


def test_each_break_is_a_negative_drop() -> None:
    (high,) = chain(a_site(inlet_height_m=1.82, overflow_height_m=1.75), GROUND, "tank-1")
    assert [(step.rung, round(step.drop_m, 6)) for step in high.breaks] == [(Rung.INLET, -0.12)]
    assert high.most_l_min == 0.0
    (dry,) = chain(a_site(water_l=50.0), GROUND, "tank-1")
    assert [(step.rung, round(step.drop_m, 6)) for step in dry.breaks] == [(Rung.OUTLET, -0.05)]


def test_a_drowned_inlet_is_no_break() -> None:
    (found,) = chain(a_site(inlet_height_m=0.5), GROUND, "tank-1")
    assert found.breaks == ()
    assert next(step for step in found.steps if step.rung is Rung.OVERFLOW).drop_m == pytest.approx(-0.7)


def test_a_diverter_above_the_eaves_breaks_the_chain() -> None:
    low = roof(eaves_height_m=1.4)
    site = Site(things=(low, *a_site().things[1:]))
    (found,) = chain(site, GROUND, "tank-1")
    assert [step.rung for step in found.breaks] == [Rung.DIVERTER]


def test_a_tank_without_a_feed_has_its_own_levels_and_one_with_two_has_two_chains() -> None:
    site = a_site()
    alone = Site(things=(site.things[0], site.things[-1]))
    (found,) = chain(alone, GROUND, "tank-1")
    assert [step.rung for step in found.steps] == [Rung.INLET, Rung.OVERFLOW, Rung.WATER, Rung.OUTLET]
    assert math.isnan(found.feed_level_m)
    both = Site(things=(*site.things, diverter(2, 0, 0, height_m=2.0, tank="tank-1")))
    assert [each.diverter for each in chain(both, GROUND, "tank-1")] == ["diverter-2", "diverter-1"]


def test_off_the_ground_levels_are_not_known_and_break_nothing() -> None:
    site = Site(things=tuple(thing if thing.kind != "tank" else tank(1, -90, 0) for thing in a_site().things))
    with_tank = Site(things=(*site.things[:2], diverter(1, 0, 0, tank="tank-1"), site.things[-1]))
    (found,) = chain(with_tank, GROUND, "tank-1")
    assert found.breaks == ()
    assert math.isnan(found.over_overflow_m)
    with pytest.raises(EditError):
        chain(with_tank, GROUND, "tank-7")


def test_capacity_is_by_the_area_that_driven_rain_falls_on() -> None:
    # R14: Approved Document H3 table 1, from memory: 1.29, 1.50, 1.87.
    assert [effective_area_m2(1.0, pitch) for pitch in (30, 45, 60)] == pytest.approx([1.29, 1.50, 1.87], abs=0.005)
    assert effective_area_m2(37.0, 0.0) == 37.0


def test_half_round_gutters_carry_what_the_table_says() -> None:
    # G01: Approved Document H table 2: 18, 37, 53, 65, 103 m2 at 0.021 L/s/m2 (EN 12056-3:2000 5.1.2).
    areas = [gutter_carries_l_s(width, GutterProfile.HALF_ROUND) / 0.021 for width in (75, 100, 115, 125, 150)]
    assert areas == pytest.approx([18, 37, 53, 65, 103], abs=1.0)
    assert gutter_carries_l_s(100, GutterProfile.BOX) > gutter_carries_l_s(100, GutterProfile.HALF_ROUND)


def test_downpipes_carry_what_the_table_says() -> None:
    # G03 and G04: EN 12056-3:2000 table 8, filling 0.33 and 0.20.
    bores = (50, 65, 75, 80, 100, 110, 150)
    third = [pipe_carries_l_s(bore) for bore in bores]
    fifth = [pipe_carries_l_s(bore, filling=0.2) for bore in bores]
    assert third == pytest.approx([1.7, 3.4, 5.0, 5.9, 10.7, 13.8, 31.6], abs=0.06)
    assert fifth == pytest.approx([0.7, 1.5, 2.2, 2.6, 4.6, 6.0, 13.7], abs=0.06)


def test_each_pipe_and_gutter_is_held_against_its_part_of_the_roof() -> None:
    front = gutter(1, (10, 0), (0, 0), downpipe="downpipe-1", width_mm=75.0)
    found = capacities(site_of(roof(pitch_deg=45.0), pipe(1, 0, 0, bore_mm=65.0), front))
    # 30 m2 of plan at 45 degrees: 45 m2, 0.945 L/s. A 75 mm gutter takes 18 m2, a 65 mm pipe 3.4 L/s.
    assert found.pipes["downpipe-1"].sends_l_s == pytest.approx(45 * 0.021)
    assert found.pipes["downpipe-1"].enough
    assert found.gutters["gutter-1"].effective_m2 == pytest.approx(45.0)
    assert not found.gutters["gutter-1"].enough


def test_the_pitch_of_a_flat_roof_counts_for_nothing() -> None:
    flat = capacities(site_of(roof(box(0, 0, 5, 5), form=RoofForm.FLAT, pitch_deg=60.0), pipe(1, 0, 0)))
    assert flat.pipes["downpipe-1"].effective_m2 == pytest.approx(25.0)
