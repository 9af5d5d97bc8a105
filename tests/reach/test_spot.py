"""What a map says of one spot."""

from __future__ import annotations

import math

import numpy as np
import pytest

from gardenwater.hydraulics import Line, head_loss_m
from gardenwater.reach import Reason, water_reach
from tests.reach.grounds import drawn, ground_of

LINE = Line(19, flow_l_min=2.0, line_height_m=0.1, lift_m=0.3)
LEVELS = {".": 0.0, "r": 1.5, "R": 2.5, "h": 4.0, "?": math.nan}


def test_in_reach_it_has_all_figures() -> None:
    ground, at = drawn(["T.........."], LEVELS)
    spot = water_reach(ground, at=at, water_level_m=1.0, line=LINE).at(7.2, 0.3)
    assert spot.reason is Reason.IN_REACH
    assert spot.level_m == 0.0
    assert spot.distance_m == pytest.approx(7.0)
    assert spot.residual_head_m == pytest.approx(1.0 - 0.3 - float(head_loss_m(2.0, 7.0, LINE)), abs=1e-5)
    # on the way the line is lower than where it delivers: the end is tightest
    assert spot.margin_m == pytest.approx(spot.residual_head_m)
    assert spot.minutes_per_can == pytest.approx(10.0 / spot.flow_l_min)
    assert math.isnan(spot.too_high_m)
    assert spot.climb_at is None


def test_too_high_says_by_how_much() -> None:
    ground, at = drawn(["T.r"], LEVELS)
    spot = water_reach(ground, at=at, water_level_m=1.0, line=LINE).at(2.5, 0.5)
    assert spot.reason is Reason.TOO_HIGH
    assert spot.too_high_m == pytest.approx(1.5 + 0.3 - 1.0)  # lift is more than the line's height
    assert math.isnan(spot.distance_m)


def test_behind_a_ridge_it_says_where_and_to_what_level_the_line_would_climb() -> None:
    ground, at = drawn(
        [
            "......h....",
            "T.....R..r.",
            "......h....",
        ],
        LEVELS,
    )
    answer = water_reach(ground, at=at, water_level_m=1.0, line=LINE)
    spot = answer.at(10.5, 0.5)
    assert spot.reason is Reason.RIDGE
    assert spot.climb_level_m == pytest.approx(2.6)  # the saddle and the line's height
    assert spot.climb_at == (6.5, 1.5)
    assert answer.route_to(10.5, 0.5) is None


def test_slow_water_has_a_way_and_its_length() -> None:
    line = Line(13, flow_l_min=10.0)
    ground = ground_of([[0.0] * 30])
    answer = water_reach(ground, at=(0.5, 0.5), water_level_m=0.5, line=line)
    spot = answer.at(25.5, 0.5)
    assert spot.reason is Reason.SLOW
    assert spot.distance_m == pytest.approx(25.0)
    assert math.isnan(spot.residual_head_m)
    assert spot.flow_l_min < 10.0


def test_barrier_and_no_data_have_none() -> None:
    ground, at = drawn(["T?."], LEVELS)
    answer = water_reach(ground, at=at, water_level_m=1.0, line=LINE)
    assert answer.at(1.5, 0.5).reason is Reason.NO_DATA
    assert math.isnan(answer.at(1.5, 0.5).level_m)
    assert answer.at(2.5, 0.5).reason is Reason.NO_DATA  # closed off by ground without data


def test_the_lowest_ridge_on_a_wide_ground() -> None:
    """Against a flood from the tank, cell by cell: the least of the highest levels of all ways."""
    rng = np.random.default_rng(11)
    levels = np.round(rng.uniform(1.2, 6.0, (30, 30)), 2)
    levels[15, 15] = levels[3, 4] = 0.0
    ground = ground_of(levels)
    answer = water_reach(ground, at=ground.centre_of(15, 15), water_level_m=0.5, line=Line(19))
    low, high = 0.0, 10.0
    for _ in range(40):
        middle = (low + high) / 2
        tried = water_reach(ground, at=ground.centre_of(15, 15), water_level_m=middle, line=Line(100, flow_l_min=0.01))
        reached = np.isfinite(tried.flow_l_min[3, 4])
        low, high = (low, middle) if reached else (middle, high)
    spot = answer.at(*ground.centre_of(3, 4))
    assert spot.reason is Reason.RIDGE
    assert spot.climb_level_m == pytest.approx(high, abs=1e-3)
