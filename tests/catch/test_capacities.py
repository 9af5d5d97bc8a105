"""The capacities of gutters and pipes against published tables."""

from __future__ import annotations

import pytest
from shapely import box

from gardenwater.catch import (
    capacities,
    effective_area_m2,
    gutter_carries_l_s,
    outlet_carries_l_s,
    pipe_carries_l_s,
)
from gardenwater.site.things import GutterProfile, RoofForm
from tests.catch.made import gutter, pipe, roof, site_of


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


def test_outlets_pass_what_the_table_says() -> None:
    # G05 and G06: EN 12056-3:2000 table 7; at half the bore of water weir and orifice meet.
    assert outlet_carries_l_s(63, 25) == pytest.approx(1.05, abs=0.001)
    assert outlet_carries_l_s(50, 25) == pytest.approx(0.8333, abs=0.0005)
    assert outlet_carries_l_s(50, 25.001) == pytest.approx(0.8333, abs=0.0005)
    assert outlet_carries_l_s(63, 25, strainer=True) == pytest.approx(1.05 / 2, abs=0.001)


@pytest.mark.parametrize(("long", "share"), [(10, 1.0), (50, 1.0), (100, 0.93), (125, 0.895), (300, 0.73), (900, 0.60)])
def test_a_long_gutter_carries_less(long: float, share: float) -> None:
    # G07: EN 12056-3:2000 table 6, level gutters; straight between the rows. 100 mm half round is 50 mm deep.
    whole = gutter_carries_l_s(100, GutterProfile.HALF_ROUND)
    found = gutter_carries_l_s(100, GutterProfile.HALF_ROUND, length_m=long * 0.05)
    assert found == pytest.approx(share * whole)
    angled = gutter_carries_l_s(100, GutterProfile.HALF_ROUND, length_m=long * 0.05, turns=True)
    assert angled == pytest.approx(0.85 * found)


def test_a_gutter_round_a_corner_and_its_outlet() -> None:
    round_it = gutter(1, (10, 3), (10, 0), (0, 0), downpipe="downpipe-1", width_mm=100.0)
    straight = gutter(1, (10, 0), (5, 0), (0, 0), downpipe="downpipe-1", width_mm=100.0)
    found, plain = (capacities(site_of(roof(), pipe(1, 0, 0), each)) for each in (round_it, straight))
    # 13 m of a gutter 50 mm deep are 260 times its depth: 0.77 - 0.04 / 5; 10 m are 200: 0.80
    assert found.gutters["gutter-1"].carries_l_s == pytest.approx(
        plain.gutters["gutter-1"].carries_l_s * 0.85 * (0.77 - 0.008) / 0.80
    )
    assert plain.outlets["downpipe-1"].carries_l_s == pytest.approx(outlet_carries_l_s(68.0, 23.5))
    guarded = capacities(site_of(roof(), pipe(1, 0, 0, strainer=True, outlet_mm=50.0), straight))
    assert guarded.outlets["downpipe-1"].carries_l_s == pytest.approx(outlet_carries_l_s(50.0, 23.5) / 2)
    assert not capacities(site_of(roof(), pipe(1, 0, 0))).outlets
