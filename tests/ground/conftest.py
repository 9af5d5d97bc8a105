"""Grounds that the tests of this room share."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from gardenwater.ground import Ground

DATA = Path(__file__).resolve().parent.parent / "data"


def ground_from(path: Path) -> Ground:
    """A raster file as a ground, read without the project's own reader."""
    import rasterio

    with rasterio.open(path) as raster:
        levels = raster.read(1).astype(np.float32)
        if raster.nodata is not None:
            levels[levels == np.float32(raster.nodata)] = np.nan
        return Ground(levels, raster.transform, raster.crs.to_string())


@pytest.fixture(scope="session")
def nsw(request: pytest.FixtureRequest) -> Ground:
    """1 m bare earth, 200 x 200 cells, 970 to 998 m.

    CC BY 4.0, Commonwealth of Australia (Geoscience Australia) 2024, ELVIS.
    """
    own = DATA / "nsw_dtm_1m.tif"
    return ground_from(own if own.exists() else request.getfixturevalue("shared_data") / "site-nsw-au" / "dtm_1m.tif")


@pytest.fixture(scope="session")
def bourgogne(shared_data: Path) -> Ground:
    """0.5 m bare earth under houses and vegetable plots, 100 x 61 m, 29 cells without a level."""
    return ground_from(shared_data / "site-bourgogne-fr" / "dtm_0p5m.tif")


@pytest.fixture(scope="session")
def delft(request: pytest.FixtureRequest) -> Ground:
    """0.5 m bare earth, 263 x 228 m, partly below the sea, with cells without a level (AHN3, open data)."""
    own = DATA / "delft_dtm_0p5m.tif"
    shared = None if own.exists() else request.getfixturevalue("shared_data")
    return ground_from(own if shared is None else shared / "site-delft-nl" / "dtm_0p5m.tif")
