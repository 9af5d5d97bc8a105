"""Straight laying through many points: exact on planes, its error against the true error on real ground."""

from __future__ import annotations

import numpy as np
import pytest

from gardenwater.ground import Ground, levels_at
from gardenwater.ground.grid import grid_over
from gardenwater.ground.spline import Measured
from gardenwater.ground.straight import StraightSurface


def points(at: np.ndarray, levels: np.ndarray, error_m: float = 0.02) -> Measured:
    count = len(at)
    return Measured(at, at, np.zeros(count, dtype=np.bool_), levels, np.full(count, error_m))


def test_points_on_a_plane_give_the_plane_far_from_the_origin_too() -> None:
    rng = np.random.default_rng(1)
    at = rng.uniform(0, 50, (700, 2)) + np.array([4.5e5, 6.1e6])
    surface = StraightSurface(points(at, 3 + 0.1 * (at[:, 0] - 4.5e5) - 0.05 * (at[:, 1] - 6.1e6)))
    x, y = np.array([4.5e5 + 20, 4.5e5 + 31.5]), np.array([6.1e6 + 10, 6.1e6 + 42.25])
    assert surface.levels(x, y) == pytest.approx(3 + 0.1 * (x - 4.5e5) - 0.05 * (y - 6.1e6), abs=1e-9)
    assert np.isnan(surface.levels(np.array([4.5e5 - 1]), np.array([6.1e6]))).all()


def test_an_arrow_tilts_the_ground_where_it_lies() -> None:
    rng = np.random.default_rng(1)
    at = np.vstack([rng.uniform(0, 10, (300, 2)), rng.uniform(0, 10, (300, 2)) + np.array([30, 0])])
    level = points(at, np.full(600, 100.0))
    ends = np.array([[16.0, 5.0]]), np.array([[24.0, 5.0]])
    arrow = Measured(*ends, np.array([True]), np.array([0.4]), np.array([0.02]))
    x, y = np.array([16.0, 20.0, 24.0]), np.full(3, 5.0)
    assert StraightSurface(level.joined(arrow)).levels(x, y) == pytest.approx([100.2, 100.0, 99.8], abs=1e-6)


def test_points_on_the_same_spot_count_by_their_mean() -> None:
    at = np.array([(0, 0), (10, 0), (0, 10), (10, 10), (5, 5), (5, 5.001)], dtype=float)
    surface = StraightSurface(points(at, np.array([0, 0, 0, 0, 1.0, 3.0])))
    assert surface.levels(np.array([5.0]), np.array([5.0])) == pytest.approx([2.0], abs=1e-3)


@pytest.mark.parametrize("name", ["nsw", "bourgogne", "delft"])
def test_the_stated_error_covers_the_true_one_as_often_as_it_says(name: str, request: pytest.FixtureRequest) -> None:
    """One standard error should cover 68 %, two 95 %: 1,500 levelled points of a whole raster."""
    ground: Ground = request.getfixturevalue(name)
    rng = np.random.default_rng(7)
    west, south, east, north = ground.bounds
    at = np.column_stack([rng.uniform(west, east, 1500), rng.uniform(south, north, 1500)])
    levels = levels_at(ground, *at.T)
    at, levels = at[~np.isnan(levels)], levels[~np.isnan(levels)]
    surface = StraightSurface(points(at, levels + rng.normal(0, 0.02, len(levels))))
    grid = grid_over(ground.bounds, 1.0)
    across, down = np.meshgrid(*grid.centres())
    misses = surface.levels(across, down) - levels_at(ground, across, down)
    known = ~np.isnan(misses)
    errors = surface.errors_over(grid)
    within_one = (np.abs(misses) < errors)[known].mean()
    within_two = (np.abs(misses) < 2 * errors)[known].mean()
    assert 0.6 <= within_one <= 0.9, (within_one, within_two)
    assert within_two >= 0.9, (within_one, within_two)
