"""The error of a level relative to the tank, against cases that can be worked out by head."""

from __future__ import annotations

import numpy as np
import pytest

from gardenwater.assess.relative_error import relative_error_m


def error(distance_m: float, *, error_m: float = 0.05, tank_m: float = 0.05, length_m: float = 10.0) -> float:
    distance = np.array([distance_m], dtype=np.float32)
    return float(relative_error_m(distance, error_m=error_m, at_tank_m=tank_m, length_m=length_m)[0])


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


def test_it_grows_with_the_way_and_never_passes_its_limit() -> None:
    distance = np.linspace(0, 200, 400, dtype=np.float32)
    errors = relative_error_m(distance, error_m=0.05, at_tank_m=0.05, length_m=10.0)
    assert errors.dtype == np.float32
    assert (np.diff(errors) >= 0).all()
    assert errors.max() <= 0.05 * 2**0.5 + 1e-7


def test_not_known_stays_not_known() -> None:
    distance = np.array([np.nan, 5.0, 5.0], dtype=np.float32)
    per_cell = np.array([0.05, np.nan, 0.05], dtype=np.float32)
    errors = relative_error_m(distance, error_m=per_cell, at_tank_m=0.05, length_m=10.0)
    assert np.isnan(errors).tolist() == [True, True, False]
