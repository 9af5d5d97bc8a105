"""What must not matter: where the site lies, how it is turned; and what must never make reach smaller."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from affine import Affine
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import LineString
from shapely.affinity import scale, translate

from gardenwater.ground import Ground
from gardenwater.hydraulics import Line
from gardenwater.reach import ReachMap, Reason, water_reach

LINE = Line(19, flow_l_min=2.0)
SLOPE_TIMES_CELL_M = 0.005


@st.composite
def sites(draw: st.DrawFn) -> tuple[NDArray[np.float32], tuple[int, int], LineString]:
    """Rolling levels of up to 24 x 24 cells, a tank on one of them, a wall."""
    rows, cols = draw(st.integers(4, 24)), draw(st.integers(4, 24))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    levels = rng.normal(0.0, draw(st.sampled_from([0.05, 0.4])), (rows, cols)) + 0.03 * np.arange(cols)
    levels[rng.random((rows, cols)) < 0.03] = np.nan
    tank = draw(st.integers(0, rows - 1)), draw(st.integers(0, cols - 1))
    levels[tank] = 0.0
    ends = rng.uniform(0.0, 1.0, (2, 2)) * (cols, rows)
    return levels.astype(np.float32), tank, LineString(ends)


def reach_of(
    levels: NDArray[np.float32],
    tank: tuple[int, int],
    wall: LineString,
    *,
    west: float = 0.0,
    south: float = 0.0,
    water_level_m: float = 1.0,
    line: Line = LINE,
) -> ReachMap:
    ground = Ground(levels, Affine(1, 0, west, 0, -1, south + levels.shape[0]))
    at = ground.centre_of(*tank)
    return water_reach(ground, at=at, water_level_m=water_level_m, line=line, barriers=[translate(wall, west, south)])


def same(first: ReachMap, reason: NDArray[np.uint8], distance_m: NDArray[np.float32]) -> None:
    """Equal, but where a hair decides: ways of equal length may be found in another order."""
    edge = np.abs(np.nan_to_num(first.residual_head_m, nan=1.0)) < SLOPE_TIMES_CELL_M
    assert (first.reason == reason)[~edge].all()
    both = np.isfinite(first.distance_m) & np.isfinite(distance_m)
    np.testing.assert_allclose(first.distance_m[both], distance_m[both], rtol=0.005, atol=0.05)


@settings(max_examples=30)
@given(sites())
def test_mirrored_and_turned_sites_give_the_same(site: tuple[NDArray[np.float32], tuple[int, int], LineString]) -> None:
    levels, (row, col), wall = site
    rows, cols = levels.shape
    first = reach_of(levels, (row, col), wall)
    east_west = scale(wall, xfact=-1, origin=(cols / 2, 0))
    mirrored = reach_of(levels[:, ::-1], (row, cols - 1 - col), east_west)
    same(first, mirrored.reason[:, ::-1], mirrored.distance_m[:, ::-1])
    # a quarter turn to the left: what lay east lies north
    quarter = LineString([(rows - y, x) for x, y in wall.coords])
    turned = reach_of(np.rot90(levels), (cols - 1 - col, row), quarter)
    same(first, np.rot90(turned.reason, -1), np.rot90(turned.distance_m, -1))


@given(sites())
def test_where_the_site_lies_changes_nothing(site: tuple[NDArray[np.float32], tuple[int, int], LineString]) -> None:
    levels, tank, wall = site
    first = reach_of(levels, tank, wall)
    moved = reach_of(levels, tank, wall, west=512.0, south=4096.0)
    for name in ("reason", "distance_m", "residual_head_m", "flow_l_min", "margin_m"):
        np.testing.assert_allclose(getattr(moved, name), getattr(first, name), rtol=1e-5, atol=1e-5)


@given(sites(), st.floats(0.01, 1.0))
def test_a_higher_tank_never_reaches_less(
    site: tuple[NDArray[np.float32], tuple[int, int], LineString], more_m: float
) -> None:
    levels, tank, wall = site
    low, high = reach_of(levels, tank, wall), reach_of(levels, tank, wall, water_level_m=1.0 + more_m)
    reached = low.reason == Reason.IN_REACH
    assert (high.reason[reached] == Reason.IN_REACH).all()
    assert (high.residual_head_m[reached] >= low.residual_head_m[reached] - SLOPE_TIMES_CELL_M).all()
    arrives = np.isfinite(low.flow_l_min)
    assert np.isfinite(high.flow_l_min[arrives]).all()


@given(sites(), st.sampled_from([(13.0, 19.0), (19.0, 25.0), (19.0, 50.0)]))
def test_a_wider_line_never_reaches_less(
    site: tuple[NDArray[np.float32], tuple[int, int], LineString], bores: tuple[float, float]
) -> None:
    levels, tank, wall = site
    narrow, wide = (reach_of(levels, tank, wall, line=replace(LINE, bore_mm=bore)) for bore in bores)
    assert (wide.reason[narrow.reason == Reason.IN_REACH] == Reason.IN_REACH).all()
    # what flows may be less: the wide line may take a shorter way, past a spot that binds more
    arrives = np.isfinite(narrow.flow_l_min)
    assert np.isfinite(wide.flow_l_min[arrives]).all()


@given(sites())
def test_ground_that_is_raised_with_its_water_gives_the_same(
    site: tuple[NDArray[np.float32], tuple[int, int], LineString],
) -> None:
    levels, tank, wall = site
    first = reach_of(levels, tank, wall)
    raised = reach_of(levels + np.float32(64.0), tank, wall, water_level_m=65.0)
    edge = np.abs(np.nan_to_num(first.residual_head_m, nan=1.0)) < 1e-4
    near_water = np.abs(levels - 1.0) < 1e-4
    assert (first.reason == raised.reason)[~(edge | near_water)].all()


def test_the_answer_cannot_be_written_to() -> None:
    answer = reach_of(np.zeros((4, 4), dtype=np.float32), (0, 0), LineString([(1, 1), (2, 1)]))
    for name in ("reason", "distance_m", "residual_head_m", "flow_l_min", "minutes_per_can", "margin_m", "turns"):
        with pytest.raises(ValueError, match="read-only"):
            getattr(answer, name)[0, 0] = 1
