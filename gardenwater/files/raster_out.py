"""GeoTIFF for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.files.aside import written_aside
from gardenwater.files.gis import gdal
from gardenwater.files.words import unsaved
from gardenwater.ground import Ground

_TILE = 256


def write_raster(
    path: Path | str, values: NDArray[Any], ground: Ground, *, description: str = "", unit: str = ""
) -> None:
    """Write a grid of values on the ground's cells as GeoTIFF: tiled, packed without loss, checked by reading back.

    values: (rows, cols) like the ground; floats become float32 with NaN for no data, whole numbers and flags stay
    whole. description, unit: of the values, for people and programs that read them.

    Raises InputError when the values do not fit the ground, FileError when the file cannot be written.
    """
    if values.shape != ground.shape:
        raise InputError(
            f"Values of {values.shape} cells do not fit a ground of {ground.shape}.",
            where="values",
            mend="Give one for each cell.",
        )
    band = _as_written(values)
    with written_aside(path) as aside:
        with gdal() as package:
            try:
                _write(package, aside, band, ground, description, unit)
                with package.open(aside, driver="GTiff") as back:
                    same = np.array_equal(back.read(1), band, equal_nan=band.dtype.kind == "f")
            except package.errors.RasterioError as problem:
                raise unsaved(Path(path), f"the disk did not take it ({problem})") from problem
        if not same:
            raise unsaved(Path(path), "what was read back is not what was written")


def _as_written(values: NDArray[Any]) -> NDArray[Any]:
    if values.dtype.kind == "f":
        return np.asarray(values, dtype=np.float32)
    return np.asarray(values, dtype=np.uint8) if values.dtype.kind == "b" else values


def _write(package: Any, path: Path, band: NDArray[Any], ground: Ground, description: str, unit: str) -> None:
    profile = {
        "driver": "GTiff", "width": band.shape[1], "height": band.shape[0], "count": 1, "dtype": band.dtype.name,
        "tiled": True, "blockxsize": _TILE, "blockysize": _TILE, "compress": "deflate", "bigtiff": "if_safer",
        "predictor": 3 if band.dtype.kind == "f" else 2, "transform": ground.transform,
    }  # fmt: skip
    if band.dtype.kind == "f":
        profile["nodata"] = float("nan")
    if ground.crs:
        profile["crs"] = package.crs.CRS.from_user_input(ground.crs)
    with package.open(path, "w", **profile) as dataset:
        dataset.write(band, 1)
        if description:
            dataset.set_band_description(1, description)
        if unit:
            dataset.units = (unit,)
