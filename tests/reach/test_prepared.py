"""A ground made ready: the same answer as without, and thinned for a quick look."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, box

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line
from gardenwater.reach import Reason, coarse, prepare, water_reach
from tests.reach.grounds import ground_of

LINE = Line(19)


def test_a_prepared_ground_gives_the_same() -> None:
    rng = np.random.default_rng(2)
    ground = ground_of(rng.normal(0, 0.2, (40, 50)), 0.7, 0.9)
    barriers = [box(10, 10, 18, 16), LineString([(20, 2), (30, 30)])]
    once = water_reach(ground, at=(8.0, 8.0), water_level_m=0.8, line=LINE, barriers=barriers)
    again = water_reach(prepare(ground, barriers=barriers), at=(8.0, 8.0), water_level_m=0.8, line=LINE)
    for name in ("reason", "distance_m", "flow_l_min", "margin_m", "residual_head_m", "minutes_per_can"):
        np.testing.assert_array_equal(getattr(once, name), getattr(again, name))
    assert again.ground is ground


def test_coarse_keeps_the_highest_of_each_block() -> None:
    levels = np.arange(35.0).reshape(5, 7)
    levels[4, :] = np.nan
    levels[0, 0] = np.nan
    thinned = coarse(ground_of(levels, 0.5, 1.0), 2)
    assert thinned.cell_x_m == 1.0
    assert thinned.cell_y_m == 2.0
    np.testing.assert_array_equal(
        thinned.level_m, [[8, 10, 12, 13], [22, 24, 26, 27], [np.nan, np.nan, np.nan, np.nan]]
    )
    assert coarse(thinned, 1) is thinned
    with pytest.raises(InputError):
        coarse(thinned, 0)


def test_a_thin_ridge_still_bars_the_way_when_thinned() -> None:
    levels = np.zeros((64, 64))
    levels[:, 41] = 5.0
    answer = water_reach(prepare(ground_of(levels), factor=8), at=(4.0, 30.0), water_level_m=1.0, line=LINE)
    assert answer.reason.shape == (8, 8)
    assert (answer.reason[:, :5] == Reason.IN_REACH).all()
    assert (answer.reason[:, 5] == Reason.TOO_HIGH).all()
    assert (answer.reason[:, 6:] == Reason.RIDGE).all()


def test_on_a_slope_the_tank_stands_on_the_lowest_of_its_block() -> None:
    """Its block's highest is above the water; the tank is not."""
    levels = np.repeat(np.arange(64)[::-1, None] * 0.1, 64, axis=1)
    ground = ground_of(levels)
    at, level_m = (30.0, 30.0), 0.1 * 30 + 0.05
    thinned = prepare(ground, factor=8)
    assert thinned.level_m[4, 3] > level_m
    reached = water_reach(thinned, at=at, water_level_m=level_m, line=LINE).reason == Reason.IN_REACH
    assert reached[5:].all()  # all that lies a block lower


def test_thinned_barriers_leave_passages_open_and_close_walls() -> None:
    ground = ground_of(np.zeros((64, 64)))
    terrace = [box(0, 24, 29, 40), box(37, 24, 64, 40)]  # a passage of 8 m between two buildings, blocks of 8 m
    through = np.isfinite(prepare(ground, barriers=terrace, factor=8).level_m)
    assert not through[3:5, :3].any()
    assert not through[3:5, 5:].any()
    assert through[3:5, 4].all()
    wall = prepare(ground, barriers=[LineString([(-1, 20.5), (65, 20.5)])], factor=8)
    assert np.isinf(wall.level_m[5]).all()  # parts each block of its row in two
    assert np.isfinite(wall.level_m[4]).all()


def test_a_preview_tells_the_same_as_the_whole_away_from_edges() -> None:
    y, x = np.mgrid[:160, :160] * 0.5
    ground = ground_of(0.3 * np.sin(x / 11) + 0.02 * y, 0.5, 0.5)
    fine = water_reach(ground, at=(40.0, 40.0), water_level_m=2.2, line=LINE)
    quick = water_reach(prepare(ground, factor=4), at=(40.0, 40.0), water_level_m=2.2, line=LINE)
    blown_up = np.kron(quick.reason == Reason.IN_REACH, np.ones((4, 4), dtype=bool))
    assert (blown_up == (fine.reason == Reason.IN_REACH)).mean() > 0.97
