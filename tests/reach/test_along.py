"""Flow and margin are the least over all points of the way: worked out again in plain Python along the drawn route."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, flow_l_min, head_loss_m
from gardenwater.reach import ReachMap, Reason, water_reach
from gardenwater.reach.flowtable import flow_tables
from gardenwater.reach.passes import law_of
from tests.reach.grounds import ground_of

LINE = Line(19, flow_l_min=4.0, lift_m=0.1, line_height_m=0.05)


def along(answer: ReachMap, x: float, y: float) -> tuple[float, float]:
    """Least margin, m, and least flow, L/min, over the cells that the route to a spot goes through."""
    route = answer.route_to(x, y)
    assert route is not None
    line = answer.line
    law = law_of(line, answer.water_level_m)
    way = Line(line.bore_mm, line.roughness_mm, line.fittings_k - line.exit_k)
    level = float(answer.ground.level_m[answer.ground.cell_at(x, y)])
    length = route.length
    margin = law.a_end - law.slope * length - level
    flow = float(flow_l_min(law.head_end - level, length, line))
    spots = np.arange(0.0, length, min(answer.ground.cell_x_m, answer.ground.cell_y_m) / 4)
    heads, distances = [], []
    for spot in spots:
        point = route.interpolate(spot)
        cell = answer.ground.cell_at(point.x, point.y)
        if cell is not None and cell != answer.ground.cell_at(*answer.start):
            heads.append(law.head_way - float(answer.ground.level_m[cell]))
            distances.append(spot)
    if heads:
        lost = law.head_way - law.a_way + law.slope * np.array(distances)
        margin = min(margin, float((np.array(heads) - lost).min()))
        flow = min(flow, float(np.min(flow_l_min(np.array(heads), np.array(distances), way))))
    return margin, flow


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_smooth_ground_with_a_building(seed: int) -> None:
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:90, :90] * 0.5
    waves = 0.25 * np.sin(x / rng.uniform(3, 8)) + 0.25 * np.sin(y / rng.uniform(3, 8) + 1.0)
    ground = ground_of(waves - 0.01 * x, 0.5, 0.5)
    answer = water_reach(ground, at=(22.3, 21.9), water_level_m=0.75, line=LINE, barriers=[box(26, 18, 34, 24)])
    reached = np.argwhere(answer.reason == Reason.IN_REACH)
    assert len(reached) > 1000
    for row, col in reached[:: len(reached) // 60]:
        margin, flow = along(answer, *ground.centre_of(int(row), int(col)))
        # a cell that the line clips or runs beside may be 4 cm higher than the one that was taken
        assert answer.margin_m[row, col] == pytest.approx(margin, abs=0.04)
        assert answer.flow_l_min[row, col] == pytest.approx(flow, rel=0.04)


def test_a_ridge_binds_all_that_lies_behind_it() -> None:
    levels = np.zeros((21, 60))
    levels[:, 10] = 0.8
    ground = ground_of(levels - 0.05 * np.arange(60))  # falls away from the ridge: the end never binds
    answer = water_reach(ground, at=(0.5, 10.5), water_level_m=1.0, line=Line(19, flow_l_min=1.0))
    head, distance = 1.0 - (0.8 - 0.5), 10.0
    at_ridge = flow_l_min(head, distance, Line(19, fittings_k=1.5))
    own = flow_l_min(1.0 + 0.05 * 11, 11.0, Line(19))
    assert answer.flow_l_min[10, 11] == pytest.approx(min(at_ridge, own), rel=0.012)
    for col in (30, 45, 59):
        end = flow_l_min(1.0 + 0.05 * col, float(col), Line(19))
        assert answer.flow_l_min[10, col] == pytest.approx(min(float(at_ridge), float(end)), rel=0.012)
        assert answer.margin_m[10, col] == pytest.approx(head - float(head_loss_m(1.0, 10.0, Line(19, fittings_k=1.5))))


@settings(max_examples=12)
@given(st.integers(0, 2**32 - 1))
def test_rough_ground(seed: int) -> None:
    """Neighbouring lines differ here: taken over between cells that agree within 2 % and 5 mm, not more than that."""
    rng = np.random.default_rng(seed)
    levels = np.cumsum(rng.normal(0, 0.05, (16, 16)), axis=1)
    levels -= levels[8, 8]
    ground = ground_of(levels)
    answer = water_reach(ground, at=(8.5, 7.5), water_level_m=0.6, line=LINE)
    for row, col in np.argwhere(answer.reason == Reason.IN_REACH)[::12]:
        margin, flow = along(answer, *ground.centre_of(int(row), int(col)))
        # the cells that a line only clips at a corner are looked at here and not there
        assert answer.margin_m[row, col] >= margin - 0.012
        assert answer.flow_l_min[row, col] >= max(flow * 0.93, LINE.flow_l_min)


def test_what_flows_is_never_less_than_wanted_in_reach_nor_more_where_slow() -> None:
    rng = np.random.default_rng(5)
    ground = ground_of(rng.normal(0.0, 0.2, (60, 60)) - 0.3 * (np.arange(60) == 30))
    answer = water_reach(ground, at=(30.5, 30.5), water_level_m=0.5, line=Line(13, flow_l_min=5.0))
    assert (answer.flow_l_min[answer.reason == Reason.IN_REACH] >= 5.0).all()
    slow = answer.reason == Reason.SLOW
    assert slow.sum() > 100
    assert (answer.flow_l_min[slow] <= 5.0).all()


@pytest.mark.parametrize("bore_mm", [4.0, 13.0, 19.0, 50.0])
@pytest.mark.parametrize("fittings_k", [0.0, 2.5, 40.0])
def test_the_table_keeps_its_tolerance(bore_mm: float, fittings_k: float) -> None:
    from gardenwater.reach.kernels_flow import flow_at

    line = Line(bore_mm, fittings_k=fittings_k)
    _, table = flow_tables(line)
    rng = np.random.default_rng(0)
    head = np.exp(rng.uniform(math.log(1e-3), math.log(100), 3000))
    length = np.exp(rng.uniform(math.log(0.1), math.log(5000), 3000))
    exact = np.asarray(flow_l_min(head, length, line))
    found = np.array([flow_at(table, h, x) for h, x in zip(head, length, strict=True)])
    wrong = np.abs(found / exact - 1)
    assert wrong.max() < 0.015
    assert np.quantile(wrong, 0.95) < 0.005


def test_ground_is_not_touched() -> None:
    levels = np.random.default_rng(3).normal(0, 0.1, (12, 12)).astype(np.float32)
    ground: Ground = ground_of(levels)
    before = ground.digest
    water_reach(ground, at=(3.5, 3.5), water_level_m=1.0, line=LINE, barriers=[box(5, 5, 8, 8)])
    np.testing.assert_array_equal(ground.level_m, levels)
    assert Ground(ground.level_m, ground.transform).digest == before
