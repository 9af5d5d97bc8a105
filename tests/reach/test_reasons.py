"""Each reason on grounds drawn by hand: _ in reach, ~ slow, ^ ridge, | too high, > too far, # barrier, ? no data."""

from __future__ import annotations

import math

import pytest
from shapely import LineString, box

from gardenwater.hydraulics import Line, flow_l_min
from gardenwater.reach import Reason, water_reach
from tests.reach.grounds import drawn, ground_of, picture

LINE = Line(25)
LOW = {".": 0.0, "h": 2.0, "?": math.nan}


def test_a_ridge_bars_what_lies_behind_it_and_is_too_high_itself() -> None:
    ground, at = drawn(
        [
            ".......h..",
            "..T....h..",
            ".......h..",
        ],
        LOW,
    )
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=LINE)) == [
        "_______|^^",
        "_______|^^",
        "_______|^^",
    ]


def test_a_gap_lets_the_water_through() -> None:
    ground, at = drawn(
        [
            ".......h..",
            "..T....h..",
            "..........",
        ],
        LOW,
    )
    answer = water_reach(ground, at=at, water_level_m=1.0, line=LINE)
    assert picture(answer) == [
        "_______|__",
        "_______|__",
        "__________",
    ]
    route = answer.route_to(9.5, 2.5)
    assert route is not None
    assert route.intersects(LineString([(7.5, 0), (7.5, 1)]))  # through the gap, the southernmost row
    assert float(answer.distance_m[0, 9]) > math.dist(at, (9.5, 2.5)) + 0.3


def test_a_diagonal_ridge_does_not_leak_between_its_cells() -> None:
    ground, at = drawn(
        [
            "....h...",
            "T..h....",
            "..h.....",
            ".h......",
            "h.......",
        ],
        LOW,
    )
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=LINE)) == [
        "____|^^^",
        "___|^^^^",
        "__|^^^^^",
        "_|^^^^^^",
        "|^^^^^^^",
    ]


def test_closed_off_by_barriers_or_by_ground_without_data() -> None:
    ground, at = drawn(
        [
            "......?..",
            ".T....?..",
            "......?..",
        ],
        LOW,
    )
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=LINE)) == ["______???"] * 3
    wall = LineString([(3.5, -1), (3.5, 4)])
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=LINE, barriers=[wall])) == ["___###???"] * 3


def test_a_yard_inside_a_wall_is_closed_off() -> None:
    yard = box(3.2, 0.2, 5.8, 2.8).boundary
    answer = water_reach(ground_of([[0.0] * 9] * 5), at=(0.5, 4.5), water_level_m=1.0, line=LINE, barriers=[yard])
    assert picture(answer) == ["_________", "_________", "___###___", "___###___", "___###___"]
    # the middle of the yard touches no wall, and still no way leads there
    wider = box(2.2, 0.2, 6.8, 3.4).boundary
    answer = water_reach(ground_of([[0.0] * 9] * 5), at=(0.5, 4.5), water_level_m=1.0, line=LINE, barriers=[wider])
    assert picture(answer)[2] == "__#####__"
    assert answer.reason[2, 4] == Reason.BARRIER
    assert answer.bars_m[2, 4] == 0.0


def test_a_ridge_is_told_from_a_wall() -> None:
    """Low ground behind a ridge and a wall with a door: the door lets the line pass, so the ridge is to blame."""
    ground, at = drawn(
        [
            "...h......",
            ".T.h......",
            "...h......",
        ],
        LOW,
    )
    with_door = [LineString([(6.5, 2.5), (6.5, 1.5)])]
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=LINE, barriers=with_door)) == [
        "___|^^#^^^",
        "___|^^#^^^",
        "___|^^^^^^",
    ]


def test_slow_lies_between_what_the_wanted_flow_and_what_standing_water_reaches() -> None:
    line = Line(13, flow_l_min=10.0)  # loses 0.175 m each metre (checks.json H05a: 17.5 m in 100 m)
    ground, at = drawn(["T.........", "h" * 10], {".": 0.0, "h": 3.0})
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=line)) == ["_____~~~~~", "||||||||||"]


def test_a_low_ridge_may_stop_the_wanted_flow_and_not_the_water() -> None:
    line = Line(13, flow_l_min=10.0)
    ground, at = drawn(["T.r......."], {".": 0.0, "r": 0.7})
    answer = water_reach(ground, at=at, water_level_m=1.0, line=line)
    assert picture(answer) == ["__~~~~~~~~"]
    # on the ridge there are 0.3 m of head 2 m from the tank, exit not counted; behind it no more than that can flow
    over = flow_l_min(0.3, 2.0, Line(13, fittings_k=1.5))
    assert answer.flow_l_min[0, 3] == pytest.approx(over, rel=0.02)
    assert answer.flow_l_min[0, 3] < 10.0


def test_lift_and_least_head_make_a_spot_too_high_where_the_line_still_passes() -> None:
    ground, at = drawn(["T..r..."], {".": 0.0, "r": 0.6})
    lifted = Line(25, lift_m=0.3, least_head_m=0.2)
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=lifted)) == ["___|___"]
    raised = Line(25, line_height_m=0.5)
    assert picture(water_reach(ground, at=at, water_level_m=1.0, line=raised)) == ["___|^^^"]


def test_too_far_is_less_than_a_can_in_a_day() -> None:
    thin = Line(3.8, flow_l_min=1.0)
    ground = ground_of([[0.0] * 40])
    answer = water_reach(ground, at=(0.5, 0.5), water_level_m=0.05, line=thin)
    assert set(picture(answer)[0]) == {"~", ">"}
    slow = answer.reason[0] == Reason.SLOW
    assert slow[: slow.sum()].all()  # slow near by, too far beyond
    assert answer.minutes_per_can[0, slow].max() <= 1440
    last = int(slow.sum())
    assert 10.0 / float(flow_l_min(0.05, last, thin)) == pytest.approx(1440, rel=0.1)


def test_a_tank_with_no_water_above_its_ground_reaches_nothing() -> None:
    ground, at = drawn(["...", ".T.", "..."], LOW)
    assert picture(water_reach(ground, at=at, water_level_m=-0.1, line=LINE)) == ["|||"] * 3
    below = ground_of([[0.0, 0.0, -1.0]])
    assert picture(water_reach(below, at=(0.5, 0.5), water_level_m=-0.1, line=LINE)) == ["||^"]
