"""GeoTIFF for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """One band of a raster: (rows, cols) values, what they are, and their unit."""

    values: NDArray[Any]
    description: str = ""
    unit: str = ""


def write_raster(
    path: Path | str, values: NDArray[Any], ground: Ground, *, description: str = "", unit: str = ""
) -> None:
    """Write a grid of values on the ground's cells as GeoTIFF: tiled, packed without loss, checked by reading back.

    values: (rows, cols) like the ground; floats become float32 with NaN for no data, whole numbers and flags stay
    whole. description, unit: of the values, for people and programs that read them.

    Raises InputError when the values do not fit the ground, FileError when the file cannot be written.
    """
    write_bands(path, (Band(values, description, unit),), ground)


def write_bands(path: Path | str, bands: Sequence[Band], ground: Ground) -> None:
    """Write several grids on the ground's cells as the bands of one GeoTIFF; each as in `write_raster`.

    One file has one type of number: with a band of floats among them all are float32.

    Raises InputError when values do not fit the ground, FileError when the file cannot be written.
    """
    for band in bands:
        if band.values.shape != ground.shape:
            raise InputError(
                f"Values of {band.values.shape} cells do not fit a ground of {ground.shape}.",
                where="values",
                mend="Give one for each cell.",
            )
    grids = [_as_written(band.values) for band in bands]
    written = np.stack(grids).astype(np.float32) if any(grid.dtype.kind == "f" for grid in grids) else np.stack(grids)
    with written_aside(path) as aside:
        with gdal() as package:
            try:
                _write(package, aside, written, ground, bands)
                with package.open(aside, driver="GTiff") as back:
                    same = np.array_equal(back.read(), written, equal_nan=written.dtype.kind == "f")
            except package.errors.RasterioError as problem:
                raise unsaved(Path(path), f"the disk did not take it ({problem})") from problem
        if not same:
            raise unsaved(Path(path), "what was read back is not what was written")


def _as_written(values: NDArray[Any]) -> NDArray[Any]:
    if values.dtype.kind == "f":
        return np.asarray(values, dtype=np.float32)
    return np.asarray(values, dtype=np.uint8) if values.dtype.kind == "b" else values


def _write(package: Any, path: Path, grids: NDArray[Any], ground: Ground, bands: Sequence[Band]) -> None:
    count, rows, cols = grids.shape
    profile = {
        "driver": "GTiff", "width": cols, "height": rows, "count": count, "dtype": grids.dtype.name,
        "tiled": True, "blockxsize": _TILE, "blockysize": _TILE, "compress": "deflate", "bigtiff": "if_safer",
        "predictor": 3 if grids.dtype.kind == "f" else 2, "transform": ground.transform,
    }  # fmt: skip
    if grids.dtype.kind == "f":
        profile["nodata"] = float("nan")
    if ground.crs:
        profile["crs"] = package.crs.CRS.from_user_input(ground.crs)
    with package.open(path, "w", **profile) as dataset:
        dataset.write(grids)
        for number, band in enumerate(bands, 1):
            if band.description:
                dataset.set_band_description(number, band.description)
        if any(band.unit for band in bands):
            dataset.units = tuple(band.unit for band in bands)
