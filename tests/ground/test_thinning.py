"""Thinning by hand on a grid that the factor does not divide."""

from __future__ import annotations

import numpy as np
import pytest
from affine import Affine

from gardenwater.errors import InputError
from gardenwater.ground import Ground, Keep, thin

NAN = np.nan
# 3 x 5 cells, thinned by 2 to 2 x 3 blocks; the block at the lower right has one cell, and that has no level.
LEVELS = [
    [1.0, 2.0, 3.0, 4.0, 5.0],
    [6.0, NAN, 8.0, 9.0, 10.0],
    [NAN, 12.0, 13.0, 14.0, NAN],
]
GROUND = Ground(LEVELS, Affine(0.5, 0, 100, 0, -0.25, 200), "EPSG:28356")


@pytest.mark.parametrize(
    ("how", "expected"),
    [
        (Keep.HIGHEST, [[6, 9, 10], [12, 14, NAN]]),
        (Keep.LOWEST, [[1, 3, 5], [12, 13, NAN]]),
        (Keep.MEAN, [[3, 6, 7.5], [12, 13.5, NAN]]),
    ],
)
def test_blocks_hand_on_what_is_asked(how: Keep, expected: list[list[float]]) -> None:
    thinned = thin(GROUND, 2, how)
    np.testing.assert_array_equal(thinned.level_m, np.array(expected, dtype=np.float32))
    assert (thinned.cell_x_m, thinned.cell_y_m) == (1.0, 0.5)
    assert (thinned.transform.c, thinned.transform.f, thinned.crs) == (100, 200, "EPSG:28356")


def test_the_word_alone_will_do_and_one_changes_nothing() -> None:
    assert thin(GROUND, 2, "lowest").digest == thin(GROUND, 2, Keep.LOWEST).digest
    assert thin(GROUND, 1) is GROUND


def test_what_cannot_be_thinned_is_refused() -> None:
    with pytest.raises(InputError, match="whole number"):
        thin(GROUND, 0)
    with pytest.raises(InputError, match="mean"):
        thin(GROUND, 2, "median")


def test_lowest_mean_and_highest_keep_their_order(nsw: Ground) -> None:
    low, mean, high = (thin(nsw, 7, how).level_m for how in (Keep.LOWEST, Keep.MEAN, Keep.HIGHEST))
    assert (low <= mean).all()
    assert (mean <= high).all()
    assert high.max() == nsw.level_m.max()
