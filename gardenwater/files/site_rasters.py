"""The ground and the underlay picture inside a site file, as tiles that any GIS reads."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from affine import Affine
from numpy.typing import NDArray

from gardenwater.errors import FileError
from gardenwater.files.geopackage import put_srs, srs_of, transaction
from gardenwater.files.gis import gdal, open_raster
from gardenwater.files.tables import GROUND_GRID, UNDERLAY_PLACE
from gardenwater.ground import Ground
from gardenwater.site.model import GroundHandle, Underlay

GROUND = "ground"
UNDERLAY = "underlay"
_DAMAGED_MEND = "Take an older copy of the file."


def put_ground(path: Path, handle: GroundHandle) -> None:
    """Write the levels into a GeoPackage that has no ground.

    NaN and no nodata tag: a tag is not kept by these tiles, and a tile that is all nodata would come back as 0.0 m.
    """
    ground: Ground = handle.payload
    _put(path, GROUND, ground.level_m[np.newaxis], ground.transform)
    _settle(path, GROUND, "Levels of the ground, m", handle.crs)


def put_underlay(path: Path, underlay: Underlay, crs: str) -> None:
    """Write the picture into a GeoPackage that has no underlay.

    A GIS shows a picture that lies north up in its place. Tiles cannot be turned: one that is turned stands in a sheet
    of its own, in pixels, and the table `underlay_place` says how it lies on the plan.
    """
    transform = Affine(*underlay.transform)
    placed = transform.b == 0 and transform.d == 0 and transform.a > 0 and transform.e < 0
    bands = np.moveaxis(without_hidden_colour(underlay.payload), -1, 0)
    _put(path, UNDERLAY, bands, transform if placed else Affine.scale(1.0, -1.0), TILE_FORMAT="PNG")
    words = "Underlay picture" if placed else "Underlay picture, turned on the plan: see table underlay_place"
    _settle(path, UNDERLAY, words, crs if placed else "")


def without_hidden_colour(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture with no colour where it is wholly clear: tiles that are wholly clear are not kept."""
    clear = picture[..., 3] == 0
    if not picture[clear].any():
        return picture
    shown = picture.copy()
    shown[clear] = 0
    return shown


def _put(path: Path, name: str, bands: NDArray[Any], transform: Affine, **options: str) -> None:
    count, rows, cols = bands.shape
    profile = {"driver": "GPKG", "count": count, "height": rows, "width": cols, "dtype": bands.dtype.name}
    with (
        gdal() as package,
        package.open(
            path, "w", **profile, transform=transform, RASTER_TABLE=name, APPEND_SUBDATASET="YES", **options
        ) as dataset,
    ):
        dataset.write(bands)


def _settle(path: Path, name: str, words: str, crs: str) -> None:
    """Give the raster the same reference system as the layers have, and words."""
    srs = srs_of(crs)
    with transaction(path) as connection:
        put_srs(connection, srs)
        connection.execute(
            "UPDATE gpkg_contents SET description = ?, srs_id = ? WHERE table_name = ?", (words, srs.number, name)
        )
        connection.execute("UPDATE gpkg_tile_matrix_set SET srs_id = ? WHERE table_name = ?", (srs.number, name))


def drop_raster(path: Path, name: str) -> None:
    """Remove a raster with all that is entered about it."""
    entries = {
        "gpkg_2d_gridded_tile_ancillary": "tpudt_name",
        "gpkg_2d_gridded_coverage_ancillary": "tile_matrix_set_name",
        "gpkg_tile_matrix": "table_name",
        "gpkg_tile_matrix_set": "table_name",
        "gpkg_extensions": "table_name",
        "gpkg_contents": "table_name",
    }
    with transaction(path) as connection:
        connection.execute(f'DROP TABLE IF EXISTS "{name}"')
        there = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        for table, column in entries.items():
            if table in there:
                connection.execute(f"DELETE FROM {table} WHERE {column} = ?", (name,))  # noqa: S608 - a fixed list


def read_ground_of(path: Path, row: dict[str, Any]) -> Ground:
    """The ground in a site file; `row` says its exact grid. FileError when the levels are not there or do not fit."""
    levels = _read(path, GROUND, 1, row)[0]
    try:
        transform = Affine(*(float(row[f"transform_{letter}"]) for letter in "abcdef"))
        return Ground(levels, transform, str(row["crs"]))
    except (TypeError, ValueError) as problem:
        raise FileError(f'Table "{GROUND_GRID.name}" does not describe a grid: {problem}', mend=_DAMAGED_MEND) from None


def read_underlay_of(path: Path, row: dict[str, Any]) -> NDArray[np.uint8]:
    """The picture in a site file, uint8 (rows, cols, 4), RGBA, read-only."""
    picture = np.ascontiguousarray(np.moveaxis(_read(path, UNDERLAY, 4, row), 0, -1))
    picture[picture[..., 3] == 0] = 0
    picture.flags.writeable = False
    return picture


def _read(path: Path, name: str, bands: int, row: dict[str, Any]) -> NDArray[Any]:
    with open_raster(path, ("GPKG",), TABLE=name) as dataset:
        if (dataset.count, dataset.height, dataset.width) != (bands, row.get("rows"), row.get("cols")):
            table = GROUND_GRID if name == GROUND else UNDERLAY_PLACE
            raise FileError(f'Raster "{name}" and table "{table.name}" do not agree.', mend=_DAMAGED_MEND)
        return dataset.read()  # type: ignore[no-any-return]  # rasterio has no types
