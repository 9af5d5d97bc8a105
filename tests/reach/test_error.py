"""The error of a level relative to the tank: by head, along a map's ways, and against fields drawn with that error."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line
from gardenwater.reach import LevelError, Reason, water_reach
from tests.reach.grounds import centres, ground_of


def error(distance_m: float, *, error_m: float = 0.05, tank_m: float = 0.05, length_m: float = 10.0) -> float:
    wrong = LevelError(error_m, tank_m, length_m)
    return float(wrong.relative_m(np.array([distance_m]), error_m)[0])


def test_at_the_tank_the_error_cancels() -> None:
    assert error(0.0) == 0.0


def test_far_off_it_is_the_root_of_two_times_one_error() -> None:
    assert error(1e6) == pytest.approx(0.05 * 2**0.5, rel=1e-6)


def test_at_one_length_it_follows_the_formula() -> None:
    # 2 x 0.05² x (1 - 1/e) = 0.0031606; its root 0.056219
    assert error(10.0) == pytest.approx(0.056219, abs=1e-6)


def test_unequal_errors() -> None:
    # far off they add in squares: 0.03² + 0.04² = 0.05²; at the tank only their difference is left
    assert error(1e6, error_m=0.03, tank_m=0.04) == pytest.approx(0.05, rel=1e-6)
    assert error(0.0, error_m=0.03, tank_m=0.04) == pytest.approx(0.01, rel=1e-5)


def test_what_is_laid_before_the_start_counts() -> None:
    wrong = LevelError(0.05, 0.05, 10.0, before_m=7.0)
    assert float(wrong.relative_m(np.array([3.0]), 0.05)[0]) == pytest.approx(error(10.0))


def test_what_is_no_error_is_refused() -> None:
    for bad in ({"level_m": -0.1}, {"tank_m": math.nan}, {"length_m": 0.0}, {"before_m": -1.0}):
        with pytest.raises(InputError, match="no error of levels"):
            LevelError(**bad)
    wrong = LevelError(np.zeros((3, 3), dtype=np.float32))
    with pytest.raises(InputError, match="not on the ground's grid"):
        water_reach(ground_of(np.zeros((4, 4))), at=(0.5, 0.5), water_level_m=1.0, line=Line(19), error=wrong)


def test_on_even_ground_the_map_follows_the_formula() -> None:
    ground = ground_of(np.zeros((60, 60)))
    wrong = LevelError(0.05, 0.04, 8.0)
    line = Line(19, flow_l_min=3.0)
    answer = water_reach(ground, at=(5.5, 5.5), water_level_m=0.5, line=line, error=wrong)
    x, y = centres(ground)
    way = np.hypot(x - 5.5, y - 5.5)
    expected = answer.margin_m - wrong.relative_m(way, 0.05)
    reached = answer.reason == Reason.IN_REACH
    np.testing.assert_allclose(answer.sure_m[reached], expected[reached], atol=2e-4)


def test_a_tight_spot_near_the_tank_is_held_against_its_own_small_error() -> None:
    """The margin at a ridge 2 m off is 6 cm, and its error 3 cm; that of the far end is over 6 cm."""
    levels = np.zeros((3, 60))
    levels[:, 2] = 0.94
    ground = ground_of(levels)
    line = Line(50, flow_l_min=0.5)
    answer = water_reach(ground, at=(0.5, 1.5), water_level_m=1.0, line=line, error=LevelError(0.05, 0.05, 10.0))
    far = (1, 50)
    assert answer.margin_m[far] == pytest.approx(0.06, abs=2e-3)
    assert error(50.0) > 0.065
    assert answer.sure_m[far] == pytest.approx(0.06 - error(2.0), abs=2e-3)
    assert answer.sure_m[far] > 0.0


def test_where_the_error_is_not_known_nothing_is_sure() -> None:
    each = np.full((3, 20), 0.01, dtype=np.float32)
    each[:, 10] = np.nan
    answer = water_reach(
        ground_of(np.zeros((3, 20))), at=(0.5, 1.5), water_level_m=1.0, line=Line(19), error=LevelError(each, 0.01)
    )
    assert answer.sure_m[1, 9] > 0.0
    assert (answer.sure_m[1, 10:] < -1.0).all()
    assert (answer.reason == Reason.IN_REACH).all()


def fields(shape: tuple[int, int], error_m: float, length_m: float, count: int) -> NDArray[np.float64]:
    """Errors of levels with the correlation exp(-d / L), by the root of their covariance; d as the crow flies."""
    row, col = np.mgrid[: shape[0], : shape[1]].reshape(2, -1).astype(float)
    apart = np.hypot(row[:, None] - row[None, :], col[:, None] - col[None, :])
    root = np.linalg.cholesky(error_m**2 * np.exp(-apart / length_m) + 1e-10 * np.eye(row.size))
    drawn = root @ np.random.default_rng(5).normal(size=(row.size, count))
    return drawn.T.reshape(count, *shape)


def test_sure_marginal_and_out_against_many_grounds_with_that_error() -> None:
    """Made grounds about a gentle slope with a hump: how often water really comes to cells of each class.

    At one point and with nothing else in the way a margin of just one error holds in 84 of 100 grounds (the normal
    law). Over a whole way some point or other is more often wrong, and water may find a better way. So a class is held
    by its mean: sure cells over 0.84, cells within the error in between, those missed by over an error under 0.16.
    """
    y, x = np.mgrid[:22, :30].astype(float)
    levels = 0.02 * x + 0.25 * np.exp(-((x - 12) ** 2 + (y - 10) ** 2) / 18.0)
    tank, error_m, length_m = (10, 2), 0.04, 8.0
    line = Line(25, flow_l_min=1.0)
    ground = ground_of(levels)
    at = ground.centre_of(*tank)
    wrong = LevelError(error_m, error_m, length_m)
    thought = water_reach(ground, at=at, water_level_m=0.34, line=line, error=wrong)
    reached = np.zeros(levels.shape)
    count = 400
    for drawn in fields(levels.shape, error_m, length_m, count):
        real = levels + drawn - drawn[tank]  # the tank stands on its own ground: a common offset cancels
        answer = water_reach(ground_of(real), at=at, water_level_m=0.34, line=line)
        reached += answer.reason == Reason.IN_REACH
    share = reached / count
    inside = thought.reason == Reason.IN_REACH
    sure = inside & (thought.sure_m >= 0.0)
    marginal = inside & ~sure
    way = np.hypot(x - tank[1], y - tank[0])
    beyond = levels - 0.34 - wrong.relative_m(way, error_m)
    out = ~inside & (beyond > 0.0)
    assert min(np.count_nonzero(sure), np.count_nonzero(marginal), np.count_nonzero(out)) > 30
    assert share[sure].mean() > 0.95
    assert share[sure].min() > 0.70
    assert 0.45 < share[marginal].mean() < 0.84
    assert share[out].mean() < 0.10
    assert share[out].max() < 0.25
