"""On flat ground reach is a circle: the head over the friction slope, in every direction."""

from __future__ import annotations

import numpy as np
import pytest

from gardenwater.hydraulics import Line, flow_l_min, friction_slope, head_loss_m
from gardenwater.reach import Reason, water_reach
from tests.reach.grounds import centres, ground_of

LINE = Line(19, flow_l_min=10.0)
HEAD_M = 1.0


@pytest.mark.parametrize(("cell_x", "cell_y"), [(0.5, 0.5), (0.3, 0.8), (0.9, 0.4)])
@pytest.mark.parametrize("off", [(0.0, 0.0), (0.13, -0.19)])
def test_the_circle_within_1_percent_in_every_direction(cell_x: float, cell_y: float, off: tuple[float, float]) -> None:
    ground = ground_of(np.full((int(90 / cell_y), int(90 / cell_x)), 50.0), cell_x, cell_y)
    at = (45.0 + off[0], 45.0 + off[1])
    answer = water_reach(ground, at=at, water_level_m=50.0 + HEAD_M, line=LINE)
    # all fittings' losses, then friction for each metre
    radius = (HEAD_M - float(head_loss_m(10.0, 0.0, LINE))) / float(friction_slope(10.0, LINE))
    assert 30 < radius < 40  # the circle lies on the ground
    x, y = centres(ground)
    length = np.hypot(x - at[0], y - at[1])
    reached = answer.reason == Reason.IN_REACH
    assert reached[length < 0.99 * radius].all()
    assert not reached[length > 1.01 * radius].any()
    assert (answer.reason[length > 1.01 * radius] == Reason.SLOW).all()
    np.testing.assert_array_equal(np.isfinite(answer.distance_m), reached)
    np.testing.assert_allclose(answer.distance_m[reached], length[reached], rtol=1e-6, atol=1e-6)


def test_head_and_flow_follow_from_the_distance_alone() -> None:
    ground = ground_of(np.zeros((80, 80)), 0.5, 0.5)
    answer = water_reach(ground, at=(20.0, 20.0), water_level_m=HEAD_M, line=LINE, can_l=8.0)
    reached = answer.reason == Reason.IN_REACH
    distance = answer.distance_m[reached].astype(float)
    head = HEAD_M - np.asarray(head_loss_m(10.0, distance, LINE))
    np.testing.assert_allclose(answer.residual_head_m[reached], head, atol=1e-5)
    # on even ground the end binds: the table gives 1.2 % at most
    flow = np.asarray(flow_l_min(HEAD_M, distance, LINE))
    np.testing.assert_allclose(answer.flow_l_min[reached], flow, rtol=0.012)
    np.testing.assert_allclose(answer.minutes_per_can[reached], 8.0 / answer.flow_l_min[reached], rtol=1e-6)
    assert answer.flow_l_min[reached].min() >= 10.0


def test_slow_ground_says_what_flows_and_has_no_distance() -> None:
    ground = ground_of(np.zeros((3, 400)), 0.5, 0.5)
    answer = water_reach(ground, at=(0.25, 0.75), water_level_m=HEAD_M, line=LINE)
    slow = answer.reason == Reason.SLOW
    assert slow.any()
    assert np.isnan(answer.distance_m[slow]).all()
    assert np.isnan(answer.residual_head_m[slow]).all()
    assert np.isnan(answer.margin_m[slow]).all()
    x, y = centres(ground)
    length = np.hypot(x - 0.25, y - 0.75)[slow]
    np.testing.assert_allclose(answer.flow_l_min[slow], flow_l_min(HEAD_M, length, LINE), rtol=0.012)
    assert (answer.flow_l_min[slow] < 10.0).all()
