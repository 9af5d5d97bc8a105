"""Water in a tank: heights and litres, by closed form."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point

from gardenwater.site.things import Tank, TankForm

FORMS = list(TankForm)


def tank(form: TankForm = TankForm.UPRIGHT, **fields: float) -> Tank:
    return Tank(id="tank-1", shape=Point(5.0, 7.0), form=form, **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize("form", FORMS)
def test_empty_and_full(form: TankForm) -> None:
    it = tank(form)
    assert it.height_at_l(0.0) == pytest.approx(0.0, abs=1e-12)
    assert it.height_at_l(it.capacity_l) == pytest.approx(it.overflow_height_m)
    assert it.height_at_l(2 * it.capacity_l) == pytest.approx(it.overflow_height_m)
    assert it.volume_at_m(-1.0) == 0.0
    assert it.volume_at_m(99.0) == pytest.approx(it.capacity_l)


@pytest.mark.parametrize("form", FORMS)
def test_half_full_is_half_way_up(form: TankForm) -> None:
    it = tank(form)
    assert it.height_at_l(it.capacity_l / 2) == pytest.approx(it.overflow_height_m / 2)


def test_a_lying_cylinder_follows_the_segment_of_a_circle() -> None:
    """At a quarter of its height: area of the segment of half angle acos(1/2), (pi/3 - sqrt(3)/4)/pi of the circle."""
    it = tank(TankForm.LYING)
    share = (math.pi / 3 - math.sqrt(3) / 4) / math.pi
    assert it.volume_at_m(it.overflow_height_m / 4) == pytest.approx(it.capacity_l * share)


@given(st.sampled_from(FORMS), st.floats(0.0, 1.0))
def test_litres_to_height_and_back(form: TankForm, share: float) -> None:
    it = tank(form)
    litres = share * it.capacity_l
    assert it.volume_at_m(it.height_at_l(litres)) == pytest.approx(litres, abs=1e-6)


def test_water_now() -> None:
    assert tank(water_l=750.0).water_height_m == pytest.approx(0.63)  # half of 1.26 m


def test_footprint() -> None:
    round_one = tank(width_m=1.2).footprint
    # a 64-sided polygon in a circle of 0.6 m: 32 x 0.36 x sin(2 pi / 64)
    assert round_one.area == pytest.approx(32 * 0.36 * math.sin(2 * math.pi / 64))
    assert round_one.centroid.equals_exact(Point(5, 7), 1e-9)
    east = tank(TankForm.BOX, width_m=1.0, length_m=3.0, bearing_deg=90.0).footprint
    assert east.bounds == pytest.approx((3.5, 6.5, 6.5, 7.5))  # its length lies east and west
    north = tank(TankForm.LYING, width_m=1.0, length_m=3.0).footprint
    assert north.bounds == pytest.approx((4.5, 5.5, 5.5, 8.5))
    slant = tank(TankForm.BOX, width_m=0.2, length_m=4.0, bearing_deg=45.0).footprint
    assert slant.covers(Point(5 + 1.3, 7 + 1.3)), "45 degrees is north-east"
