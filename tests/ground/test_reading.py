"""Levels at points and along lines, by hand on small grids and on a real raster."""

from __future__ import annotations

import numpy as np
import pytest
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString

from gardenwater.errors import InputError
from gardenwater.ground import Ground, level_at, levels_at, profile, relief

# Two by two cells, 2 m wide and 1 m high; centres at x = 11 and 13, y = 21.5 (north) and 20.5.
#   1 | 3
#   5 | 9
SMALL = Ground([[1.0, 3.0], [5.0, 9.0]], Affine(2.0, 0.0, 10.0, 0.0, -1.0, 22.0))
HOLED = Ground([[1.0, np.nan], [5.0, 9.0]], SMALL.transform)


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        (11.0, 21.5, 1.0),  # a centre
        (12.0, 21.5, 2.0),  # half way between two: (1 + 3) / 2
        (12.0, 21.0, 4.5),  # the middle of four: (1 + 3 + 5 + 9) / 4
        (11.5, 20.75, 0.25 * (0.75 * 1 + 0.25 * 3) + 0.75 * (0.75 * 5 + 0.25 * 9)),
        (10.0, 22.0, 1.0),  # the outermost corner goes on as the centre
        (14.0, 20.0, 9.0),
        (10.0, 21.0, 3.0),  # the west edge: half way between 1 and 5
    ],
)
def test_level_is_bilinear_between_centres_and_goes_on_to_the_edge(x: float, y: float, expected: float) -> None:
    assert level_at(SMALL, x, y) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(("x", "y"), [(9.999, 21.0), (14.001, 21.0), (12.0, 22.001), (12.0, 19.999), (np.nan, 21.0)])
def test_off_the_grid_there_is_no_level(x: float, y: float) -> None:
    assert np.isnan(level_at(SMALL, x, y))


@pytest.mark.parametrize("shape", [(1, 1), (1, 5), (7, 1), (9, 11)])
def test_one_level_is_to_the_bit_that_of_many(shape: tuple[int, int]) -> None:
    chance = np.random.default_rng(1)
    levels = chance.normal(100.0, 1.0, shape)
    levels[(chance.random(shape) < 0.15) & (levels.size > 1)] = np.nan
    ground = Ground(levels, Affine(0.37, 0.0, 3.1, 0.0, -0.37, 9.9))
    xs, ys = (
        3.1 + 0.37 * chance.uniform(-0.2, shape[1] + 0.2, 300),
        9.9 - 0.37 * chance.uniform(-0.2, shape[0] + 0.2, 300),
    )
    xs[:50] = 3.1 + 0.185 * chance.integers(0, 2 * shape[1] + 1, 50)  # edges and centres of cells
    one_by_one = [level_at(ground, x, y) for x, y in zip(xs.tolist(), ys.tolist(), strict=True)]
    np.testing.assert_array_equal(one_by_one, levels_at(ground, xs, ys))


def test_in_a_cell_without_level_there_is_none_and_beside_it_the_others_count() -> None:
    assert np.isnan(level_at(HOLED, 13.0, 21.5))
    assert np.isnan(level_at(HOLED, 12.1, 21.1))
    # In the south-east cell, 0.4 up from its centre and 0.9 west of it: weights of 1, 5, 9 are made up to one.
    west, up = 0.45, 0.4
    weights = np.array([up * west, (1 - up) * west, (1 - up) * (1 - west)])
    assert level_at(HOLED, 12.1, 20.9) == pytest.approx(float(weights @ [1, 5, 9] / weights.sum()), abs=1e-12)


def test_many_points_are_the_same_as_one_at_a_time_and_keep_their_shape(nsw: Ground) -> None:
    west, south, east, north = nsw.bounds
    rng = np.random.default_rng(5)
    xs, ys = rng.uniform(west, east, (7, 5)), rng.uniform(south, north, (7, 5))
    levels = levels_at(nsw, xs, ys)
    assert levels.shape == (7, 5)
    assert levels[3, 2] == level_at(nsw, xs[3, 2], ys[3, 2])


def test_at_the_centres_of_a_real_raster_the_level_is_the_cells_own(nsw: Ground) -> None:
    for row, col in ((0, 0), (17, 120), (199, 199), (100, 3)):
        assert level_at(nsw, *nsw.centre_of(row, col)) == pytest.approx(float(nsw.level_m[row, col]), abs=1e-4)


@given(
    east=st.floats(-0.3, 0.3),
    north=st.floats(-0.3, 0.3),
    x=st.floats(0.35, 5.9),
    y=st.floats(0.26, 4.7),
)
def test_on_a_plane_it_is_exact_between_the_outermost_centres(east: float, north: float, x: float, y: float) -> None:
    cols, rows, wide, high = 9, 10, 0.7, 0.5
    xs, ys = (np.arange(cols) + 0.5) * wide, (rows - np.arange(rows) - 0.5) * high
    ground = Ground(50 + east * xs[None, :] + north * ys[:, None], Affine(wide, 0, 0, 0, -high, rows * high))
    assert level_at(ground, x, y) == pytest.approx(50 + east * x + north * y, abs=1e-4)


def test_profile_of_a_plane_is_a_straight_line_with_its_corners() -> None:
    ground = Ground(np.arange(20.0)[None, :].repeat(12, axis=0), Affine(1, 0, 0, 0, -1, 12))
    found = profile(ground, LineString([(1.5, 6.0), (11.5, 6.0), (11.5, 9.0)]))
    assert found.distance_m[0] == 0
    assert found.distance_m[-1] == pytest.approx(13.0)
    assert np.isclose(found.distance_m, 10.0).any()
    assert np.diff(found.distance_m).max() <= 0.5 + 1e-9
    assert found.level_m == pytest.approx(np.minimum(found.distance_m, 10.0) + 1.0)


def test_profile_of_a_point_is_refused() -> None:
    with pytest.raises(InputError, match="length"):
        profile(SMALL, LineString([(11, 21), (11, 21)]))


def test_relief_leaves_out_what_has_no_level(nsw: Ground) -> None:
    assert relief(HOLED) == (1.0, 9.0)
    low, high = relief(nsw)
    # 970.2 to 997.6 m: the data's own description.
    assert (round(low, 1), round(high, 1)) == (970.2, 997.6)
    assert np.isnan(relief(Ground([[np.nan]], SMALL.transform))).all()
