"""Beds and what the tanks do for them, one row for each bed."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from shapely import Point, box

import gardenwater as gw
from gardenwater.assess.bed_service import services_of
from gardenwater.site import things as t
from gardenwater.site.model import Site

MakeSite = Callable[..., Site]


@pytest.fixture
def stepped(make_site: MakeSite, slope_of: Callable[..., Any]) -> Site:
    """A slope of 1 in 20 to the south, from 100 m down to 98.5 m: a bed below two tanks, and one above both of them."""
    low = {"stand_height_m": 0.0, "outlet_height_m": 0.05}
    return make_site(
        t.Tank(id="upper", name="Upper", shape=Point(10, 18), water_l=900.0, **low),
        t.Tank(id="lower", name="Lower", shape=Point(20, 12), water_l=900.0, **low),
        t.Bed(id="below", name="Below", shape=box(12, 3, 18, 6)),
        t.Bed(id="above", name="Above", shape=box(12, 28.0, 18, 29.8)),
        ground=slope_of(fall=0.12),
    )


def test_a_bed_below_both_tanks_is_reached_by_both_and_one_above_by_none(stepped: Site) -> None:
    answers = gw.assess(stepped)
    below, above = services_of(answers)
    assert below.reached_by == ("upper", "lower")
    assert below.tanks == 2
    assert below.best.share_in_reach == 1.0
    assert math.isnan(below.carry_m)
    assert below.carry_from == ""
    assert above.reached_by == ()
    assert above.best.share_in_reach == 0.0
    # on foot from the upper tank to the delivery spot, the bed's highest cell at its northern edge, over open ground
    at = above.best.at
    assert above.carry_from == "upper"
    assert above.carry_m == pytest.approx(math.dist(at, (10, 18)), abs=1.0)


def test_the_record_has_the_rows(stepped: Site) -> None:
    answers = gw.assess(stepped)
    below, above = answers.record()["reach"]["beds"]
    assert [tank["name"] for tank in below["reached_by"]] == ["Upper", "Lower"]
    assert below["share_in_reach"] == 1.0
    assert below["carry_m"] is None
    assert above["reached_by"] == []
    assert above["carry_from"] == "upper"
    assert above["carry_m"] == pytest.approx(services_of(answers)[1].carry_m)


def test_there_are_no_rows_before_reach_is_answered(make_site: MakeSite) -> None:
    assert services_of(gw.assess(make_site(t.Bed(id="bed", shape=box(2, 2, 4, 4))))) == ()
