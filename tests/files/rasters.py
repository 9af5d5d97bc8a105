"""Rasters to read, written for a test."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from affine import Affine

from gardenwater.errors import FileError
from gardenwater.files import NeedsAnswer, import_ground

UTM = "EPSG:25832"
HALF = Affine(0.5, 0, 500_000, 0, -0.5, 5_600_000)
NORTH_CAROLINA_FT = "EPSG:2264"

Write = Callable[..., Path]


def write_levels(folder: Path, levels: Any, *, name: str = "slope.tif", driver: str = "GTiff", **profile: Any) -> Path:
    """Write a raster into a folder and give its path."""
    values = np.asarray(levels)
    bands = values if values.ndim == 3 else values[np.newaxis]
    count, rows, cols = bands.shape
    usual = {"crs": UTM, "transform": HALF, "dtype": bands.dtype.name}
    extra = {key: profile.pop(key) for key in ("units", "scales", "offsets", "tags") if key in profile}
    with rasterio.open(
        folder / name, "w", driver=driver, count=count, height=rows, width=cols, **{**usual, **profile}
    ) as dataset:
        dataset.write(bands)
        for key in extra.keys() - {"tags"}:
            setattr(dataset, key, (extra[key],) * count)
        dataset.update_tags(**extra.get("tags", {}))
    return folder / name


def slope(rows: int = 30, cols: int = 40) -> np.ndarray[Any, Any]:
    """Falls to the south and a little to the east, 100 m and less."""
    return (100 - np.add.outer(np.arange(rows) * 0.1, np.arange(cols) * 0.01)).astype(np.float32)


def refused(path: Path, **options: Any) -> str:
    """The words in which a raster is refused; they have a mend."""
    with pytest.raises(FileError) as caught:
        import_ground(path, **options)
    assert not isinstance(caught.value, NeedsAnswer)
    assert caught.value.mend
    return str(caught.value)


def asked(path: Path, **options: Any) -> NeedsAnswer:
    """The question that is asked."""
    with pytest.raises(NeedsAnswer) as caught:
        import_ground(path, **options)
    assert caught.value.question
    return caught.value
