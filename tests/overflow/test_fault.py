"""A whole landscape: matplotlib's sample elevations of the Jacksboro fault (30 m cells, SRTM, public domain)."""

from __future__ import annotations

import numpy as np
import pyflwdir
import pytest
from affine import Affine
from matplotlib import cbook

from gardenwater.ground import Ground
from gardenwater.overflow import Prepared, Source, prepare, spill_all
from tests.overflow.grounds import COMPILED

CELLS = slice(None) if COMPILED else slice(0, 80)
"""Rows and columns that are looked at: all, or a corner where kernels are not compiled."""


@pytest.fixture(scope="module")
def fault() -> Ground:
    level = cbook.get_sample_data("jacksboro_fault_dem.npz")["elevation"].astype(np.float32)[CELLS, CELLS]
    return Ground(level, Affine(30, 0, 0, 0, -30, 30 * level.shape[0]))


@pytest.fixture(scope="module")
def prepared(fault: Ground) -> Prepared:
    return prepare(fault)


def test_the_filled_levels_are_another_librarys_to_the_last_bit(fault: Ground, prepared: Prepared) -> None:
    """pyflwdir 0.5.12, `fill_depressions`, outlets at the whole edge."""
    filled, _ = pyflwdir.fill_depressions(fault.level_m, nodata=-9999.0, outlets="edge")
    np.testing.assert_array_equal(prepared.filled_m().astype(np.float32), filled)


@pytest.mark.parametrize("asked", [{}, {"soak_mm_h": 5.0}, {"soak_mm_h": 2.0, "rain_mm": 60.0}])
def test_the_account_closes_on_a_landscape(prepared: Prepared, asked: dict[str, float]) -> None:
    most_m = 30.0 * min(prepared.shape) - 150.0
    spots = np.random.default_rng(1).uniform(150.0, most_m, (20, 2)).tolist()
    found = spill_all(prepared, [Source((x, y), 1e4) for x, y in spots], over_h=6.0, **asked)
    assert abs(found.residual_m3) <= 1e-9 * found.poured_m3
    assert (found.soaked_m3 > 0.0) is ("soak_mm_h" in asked)
    assert found.pools
