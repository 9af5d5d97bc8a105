"""A line from the side: grade line, high and low points, against what the reach map says of its end."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line, friction_slope, head_loss_m
from gardenwater.reach import LEAST_RISE_M, Reason, WayProfile, water_reach, way_profile
from tests.reach.grounds import ground_of

LINE = Line(19, flow_l_min=6.0)


def along(levels: list[float], *, water_level_m: float = 5.0, line: Line = LINE) -> WayProfile:
    """A line from west to east over these levels, one for each metre."""
    ground = ground_of(np.tile(np.array(levels), (3, 1)))
    way = LineString([(0.5, 1.5), (len(levels) - 0.5, 1.5)])
    return way_profile(ground, way=way, water_level_m=water_level_m, outlet_level_m=water_level_m - 0.5, line=line)


def test_the_grade_line_falls_with_friction_and_what_is_left_adds_up() -> None:
    found = along([0.0] * 21)
    assert found.length_m == 20.0
    slope = float(friction_slope(6.0, LINE))
    grade = found.grade_m
    assert grade[0] - grade[-1] == pytest.approx(20.0 * slope)
    assert found.spare_head_m == pytest.approx(5.0 - float(head_loss_m(6.0, 20.0, LINE)))
    assert found.over_m < 0


def test_air_gathers_on_a_rise_and_silt_in_a_dip() -> None:
    found = along([0, 0, 0, 0.3, 0.6, 0.3, 0, 0, -0.25, 0, 0, 0])
    (high,), (before, low) = found.highs, found.lows
    assert high.distance_m == pytest.approx(4.0, abs=0.3)
    assert high.by_m == pytest.approx(0.6, abs=0.05)
    assert (high.at[0], high.at[1]) == pytest.approx((0.5 + high.distance_m, 1.5))
    # before the rise water stands as well: from the tank it comes down, then has to climb
    assert before.distance_m < 3.0
    assert before.by_m == pytest.approx(0.6, abs=0.05)
    assert low.distance_m == pytest.approx(8.0, abs=0.3)
    assert low.by_m == pytest.approx(0.25, abs=0.05)


@pytest.mark.parametrize(("rise_m", "count"), [(LEAST_RISE_M - 0.01, 0), (LEAST_RISE_M + 0.01, 1)])
def test_small_bumps_are_none(rise_m: float, count: int) -> None:
    found = along([1.0, 0.9, 0.9, 0.9 + rise_m, 0.9 + rise_m, 0.9, 0.8, 0.7])
    assert len(found.highs) == count


def test_a_line_that_falls_all_the_way_has_no_turns() -> None:
    found = along(list(np.linspace(2.0, 0.0, 30)))
    assert (found.highs, found.lows) == ((), ())


def test_where_it_climbs_over_the_grade_line() -> None:
    found = along([0, 0, 0, 6.0, 6.0, 0, 0])
    assert found.over_m == pytest.approx(1.0, abs=0.1)
    assert found.over_at_m == pytest.approx(4.0, abs=0.5)


def test_ground_without_a_level_is_left_open_and_a_way_without_length_refused() -> None:
    found = along([0, 0, float("nan"), 0, 0.5, 0, 0])
    assert np.isnan(found.ground_m).any()
    assert np.isfinite(found.over_m)
    assert len(found.highs) == 1
    with pytest.raises(InputError, match="length"):
        way_profile(
            ground_of(np.zeros((3, 3))), way=LineString([(1, 1), (1, 1)]), water_level_m=1.0, outlet_level_m=0.5,
            line=LINE,
        )  # fmt: skip


@settings(max_examples=15)
@given(st.lists(st.floats(0.0, 1.2), min_size=36, max_size=36), st.integers(0, 35))
def test_what_is_left_at_the_end_is_what_the_map_says(bumps: list[float], end: int) -> None:
    levels = np.kron(np.array(bumps).reshape(6, 6), np.ones((3, 3)))
    ground = ground_of(levels)
    reach = water_reach(ground, at=(9.5, 9.5), water_level_m=float(levels[8, 9]) + 1.5, line=LINE)
    x, y = ground.centre_of(3 * (end // 6) + 1, 3 * (end % 6) + 1)
    way = reach.route_to(x, y)
    spot = reach.at(x, y)
    if way is None or way.length == 0 or spot.reason is not Reason.IN_REACH:
        return
    found = way_profile(
        ground, way=way, water_level_m=reach.water_level_m, outlet_level_m=reach.water_level_m - 0.1, line=LINE
    )
    assert found.length_m == pytest.approx(spot.distance_m, abs=1e-3)
    assert found.spare_head_m == pytest.approx(spot.residual_head_m, abs=2e-3)
