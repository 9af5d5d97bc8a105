"""The one door to GDAL and PROJ: everything in this room that needs rasterio, pyogrio or pyproj comes through here.

Another program's install often leaves paths of its own GDAL or PROJ data in the environment, and then every projection
fails. They are removed before the first import. What GDAL says on the side is kept off the terminal: what matters is
said by this room, in words.
"""

from __future__ import annotations

import contextlib
import logging
import os
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from gardenwater.files.words import given_path, unreadable

_OTHERS_DATA = ("PROJ_DATA", "PROJ_LIB", "GDAL_DATA", "GDAL_DRIVER_PATH")

LEVEL_DRIVERS = ("GTiff", "AAIGrid", "EHdr", "HFA")
"""What levels are read with: GeoTIFF, ASCII grid, binary grid with a header, Imagine. None opens a path of its own."""

PICTURE_DRIVERS = ("GTiff", "PNG", "JPEG")

_OPTIONS = {"GDAL_CACHEMAX": 134_217_728, "GDAL_NUM_THREADS": "1", "OGR_SQLITE_SYNCHRONOUS": "OFF"}


def _settle_environment() -> None:
    for name in _OTHERS_DATA:
        os.environ.pop(name, None)
    os.environ["PROJ_NETWORK"] = "OFF"
    for name in ("rasterio", "pyogrio"):
        logging.getLogger(name).addHandler(logging.NullHandler())


@cache
def rasterio() -> Any:
    """The rasterio package, imported when it is first asked for."""
    _settle_environment()
    import rasterio
    import rasterio.errors
    import rasterio.warp
    import rasterio.windows

    return rasterio


@cache
def pyproj() -> Any:
    """The pyproj package, imported when it is first asked for; it asks no server for grids."""
    _settle_environment()
    import pyproj

    return pyproj


@contextmanager
def gdal() -> Iterator[Any]:
    """Rasterio with this room's options in force; a raster without a place is no warning here, it is asked about."""
    package = rasterio()
    warnings.simplefilter("ignore", package.errors.NotGeoreferencedWarning)
    with package.Env(**_OPTIONS):
        yield package


def local_file(path: Path | str) -> Path:
    """The absolute path of a file on this computer; FileError for all else (a folder, a server, a virtual path)."""
    given = given_path(path)
    try:
        there = given.exists()
    except OSError as problem:
        raise unreadable(given, f"it cannot be looked up ({problem.strerror})", "Give another path.") from problem
    if not there:
        raise unreadable(given, "there is no such file", "Look whether it was moved or renamed.")
    if not given.is_file():
        raise unreadable(given, "it is not a file", "Pick a file, not a folder.")
    return given.resolve()


@contextmanager
def open_raster(path: Path | str, drivers: tuple[str, ...], **options: Any) -> Iterator[Any]:
    """A raster open for reading, by one of `drivers` and no other; FileError in words when none of them can."""
    file = local_file(path)
    with gdal() as package:
        dataset = _opened(package, file, drivers, options)
        with dataset:
            try:
                yield dataset
            except package.errors.RasterioIOError as problem:
                raise unreadable(
                    file, "part of it cannot be read: it is damaged", "Fetch or export it again."
                ) from problem


def _opened(package: Any, file: Path, drivers: tuple[str, ...], options: dict[str, Any]) -> Any:
    for driver in drivers:
        with contextlib.suppress(package.errors.RasterioIOError):
            return package.open(file, driver=driver, sharing=False, **options)
    raise _not_a_raster(file)


def _not_a_raster(file: Path) -> Exception:
    if file.stat().st_size == 0:
        return unreadable(file, "it is empty", "Fetch or export it again.")
    if not os.access(file, os.R_OK):
        return unreadable(file, "this user may not read it", "Change its permissions.")
    return unreadable(
        file,
        "it is not a raster of a known kind, or it is damaged",
        "Give a GeoTIFF or an ASCII grid, whole and not packed.",
    )
