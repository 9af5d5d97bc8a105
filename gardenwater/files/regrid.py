"""Grids brought north up, and drawn anew in another map reference."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from affine import Affine
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.files.gis import gdal, pyproj

_ANY_FLAT_CRS = "EPSG:32631"
"""Stands for both sides where a grid is only turned: nothing is projected then."""
_POINTS_ON_A_SIDE = 21
_TURN_IN_CELLS = 0.01
_MOST_TIMES = 4
_LEAST_CELLS = 1000
_TOO_FAR = "It reaches too far for one map."


def points_at(
    transform: Affine, cols: NDArray[np.float64], rows: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The x and y of places on a grid, counted in cells from its corner; the inverse transform goes the other way."""
    a, b, c, d, e, f = tuple(transform)[:6]
    return a * cols + b * rows + c, d * cols + e * rows + f


def bounds_of(transform: Affine, shape: tuple[int, int]) -> tuple[float, float, float, float]:
    """West, south, east, north of a grid, which may be turned."""
    rows, cols = shape
    xs, ys = points_at(transform, np.array([0, cols, 0, cols], float), np.array([0, 0, rows, rows], float))
    return float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max())


def north_up(levels: NDArray[np.float32], transform: Affine) -> tuple[NDArray[np.float32], Affine]:
    """The same cells with row 0 in the north and column 0 in the west; nothing is worked out anew."""
    a, _, c, _, e, f = tuple(transform)[:6]
    rows, cols = levels.shape
    if a < 0:
        levels, c, a = levels[:, ::-1], c + a * cols, -a
    if e > 0:
        levels, f, e = levels[::-1], f + e * rows, -e
    return levels, Affine(a, 0.0, c, 0.0, e, f)


def is_turned(transform: Affine, shape: tuple[int, int]) -> bool:
    """Whether rows and columns do not run east and south; a turn of a hundredth of a cell in all is none."""
    rows, cols = shape
    drift = max(
        abs(transform.b) * rows / abs(transform.a or 1e-300), abs(transform.d) * cols / abs(transform.e or 1e-300)
    )
    return drift > _TURN_IN_CELLS


def drawn_anew(
    levels: NDArray[np.float32], transform: Affine, source: Any = None, target: Any = None
) -> tuple[NDArray[np.float32], Affine]:
    """The levels on a north-up grid of square cells of about the same size in `target`, bilinear; NaN stays NaN.

    source, target: CRS as pyproj has them; None for both when the grid is only to be turned. Raises InputError when the
    grid reaches so far that `target` cannot hold it.
    """
    onto, shape = _grid_in(transform, levels.shape, source, target)
    answer = np.full(shape, np.nan, dtype=np.float32)
    with gdal() as package:
        package.warp.reproject(
            levels,
            answer,
            src_transform=transform,
            src_crs=_ANY_FLAT_CRS if source is None else source.to_wkt(),
            src_nodata=np.nan,
            dst_transform=onto,
            dst_crs=_ANY_FLAT_CRS if target is None else target.to_wkt(),
            dst_nodata=np.nan,
            resampling=package.enums.Resampling.bilinear,
            num_threads=1,
        )
    return answer, onto


def _grid_in(transform: Affine, shape: tuple[int, ...], source: Any, target: Any) -> tuple[Affine, tuple[int, int]]:
    """The grid that covers the outline of another one; its corner lies on whole cells."""
    rows, cols = shape
    along = np.linspace(0.0, 1.0, _POINTS_ON_A_SIDE)
    side_cols = np.concatenate([along, np.ones_like(along), along, np.zeros_like(along)]) * cols
    side_rows = np.concatenate([np.zeros_like(along), along, np.ones_like(along), along]) * rows
    xs, ys = _moved(*points_at(transform, side_cols, side_rows), source, target)
    middle_cols = cols / 2 + np.array([-0.5, 0.5, -0.5])
    middle_rows = rows / 2 + np.array([-0.5, -0.5, 0.5])
    x, y = _moved(*points_at(transform, middle_cols, middle_rows), source, target)
    if not all(np.isfinite(each).all() for each in (xs, ys, x, y)):
        raise InputError(_TOO_FAR)
    area = abs((x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]))
    cell = float(f"{math.sqrt(area):.6g}")
    west, north = math.floor(xs.min() / cell) * cell, math.ceil(ys.max() / cell) * cell
    size = math.ceil((north - ys.min()) / cell), math.ceil((xs.max() - west) / cell)
    if size[0] * size[1] > _MOST_TIMES * (rows * cols + _LEAST_CELLS):
        raise InputError(_TOO_FAR)
    return Affine(cell, 0.0, west, 0.0, -cell, north), size


def _moved(xs: Any, ys: Any, source: Any, target: Any) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    if source is not None:
        xs, ys = pyproj().Transformer.from_crs(source, target, always_xy=True).transform(xs, ys)
    return np.asarray(xs), np.asarray(ys)
