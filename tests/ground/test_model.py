"""The grid of levels as a value: what it takes, what it refuses, what makes two the same."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from affine import Affine

from gardenwater.errors import InputError
from gardenwater.ground import Ground

LEVELS = np.array([[1.0, 3.0, 4.0], [5.0, 9.0, 2.0]])
PLACE = Affine(2.0, 0.0, 10.0, 0.0, -1.0, 22.0)


@pytest.mark.parametrize("levels", [None, 3.0, [1.0, 2.0], [[1.0, 2.0], [3.0]], [["low", "high"]], np.empty((0, 3))])
def test_levels_that_are_no_grid_of_numbers_are_refused(levels: Any) -> None:
    with pytest.raises(InputError, match="grid of rows and columns of numbers"):
        Ground(levels, PLACE)


@pytest.mark.parametrize(
    "transform",
    [
        Affine(2.0, 0.0, math.nan, 0.0, -1.0, 22.0),
        Affine(2.0, 0.0, 10.0, 0.0, -1.0, math.inf),
        (2.0, 0.0, 10.0, 0.0, -1.0, 22.0),
        None,
    ],
)
def test_a_grid_without_a_place_is_refused(transform: Any) -> None:
    with pytest.raises(InputError, match="no place"):
        Ground(LEVELS, transform)


@pytest.mark.parametrize(
    "transform",
    [Affine(2, 0, 10, 0, 1, 22), Affine(-2, 0, 10, 0, -1, 22), Affine(2, 0.1, 10, 0, -1, 22), Affine(0, 0, 0, 0, 0, 0)],
)
def test_a_grid_that_is_turned_or_flipped_is_refused(transform: Affine) -> None:
    with pytest.raises(InputError, match="turned or flipped"):
        Ground(LEVELS, transform)


def test_levels_are_a_copy_that_nobody_changes() -> None:
    given = LEVELS.copy()
    ground = Ground(given, PLACE)
    given[0, 0] = 99.0
    assert ground.level_m[0, 0] == 1.0
    with pytest.raises(ValueError, match="read-only"):
        ground.level_m[0, 0] = 99.0


def test_equal_grounds_have_equal_digests_whatever_stands_for_no_data() -> None:
    holes = [np.where(LEVELS == 9.0, none, LEVELS) for none in (np.nan, np.inf, -np.inf)]
    digests = {Ground(levels, PLACE).digest for levels in holes}
    assert len(digests) == 1
    others = (Ground(LEVELS, PLACE), Ground(holes[0], PLACE, "EPSG:25832"), Ground(holes[0], PLACE @ Affine.scale(2)))
    assert not digests & {other.digest for other in others}


def test_cells_and_places_are_each_others_inverse() -> None:
    ground = Ground(LEVELS, PLACE)
    assert ground.bounds == (10.0, 20.0, 16.0, 22.0)  # 3 cells of 2 m east of 10, 2 of 1 m south of 22
    for row in range(2):
        for col in range(3):
            assert ground.cell_at(*ground.centre_of(row, col)) == (row, col)
    assert ground.cell_at(9.99, 21.0) is None
    assert ground.cell_at(12.0, 19.99) is None
