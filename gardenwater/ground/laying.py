"""A surface laid on a grid: thin plate through few points, straight between many."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPoint, Polygon

from gardenwater.ground.grid import Grid
from gardenwater.ground.spline import Measured, fit_surface
from gardenwater.ground.straight import StraightSurface
from gardenwater.work import Cancel, Progress, say, stop_if

Floats = NDArray[np.float64]

_PAIRS = 2_000_000
_MOST_PAIRS = 30_000_000
_SQUARED_PAIRS = 500_000_000
_ROWS_AT_ONCE = 64


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Levels and their standard errors on a grid: float32 (rows, cols), m."""

    level_m: NDArray[np.float32]
    error_m: NDArray[np.float32]


def hull_of(measured: Measured) -> Polygon | None:
    """What the spots of known level enclose; None for fewer than three, or for spots on one line."""
    if len(measured.spots) < 3:
        return None
    hull = MultiPoint(measured.spots).convex_hull
    return hull if isinstance(hull, Polygon) else None


def margin_of(measured: Measured) -> float:
    """How far beyond the hull levels are given: the usual distance between neighbouring spots, 2 to 10 m."""
    return float(np.clip(_spacing_m(measured), 2.0, 10.0))


def _spacing_m(measured: Measured) -> float:
    """Median distance from a spot to the nearest other, m; without two spots endless."""
    from scipy.spatial import KDTree

    spots = np.unique(measured.spots, axis=0)
    if len(spots) < 2:
        return math.inf
    distances = np.asarray(KDTree(spots).query(spots, k=2)[0])
    return float(np.median(distances[:, 1]))


def lay_thin_plate(
    measured: Measured, grid: Grid, *, datum_m: float, cancel: Cancel | None, progress: Progress | None
) -> Laid:
    """The thin-plate surface of `spline` on the grid.

    Worked out at each n-th row and column, n so that they are at most a quarter of the usual distance between spots
    apart, and carried between by a cubic spline: the surface bends slowly between pegs, so that costs under 3 mm on
    rough ground (measured). Its error straight between.
    """
    surface = fit_surface(measured, datum_m=datum_m)
    stop_if(cancel)
    cells, count = grid.shape[0] * grid.shape[1], len(surface.weights)
    finest = math.sqrt(max(1.0, cells * count / _MOST_PAIRS))
    wanted = math.sqrt(max(1.0, cells * count / _PAIRS))
    level_step = math.ceil(max(finest, min(wanted, _spacing_m(measured) / 4 / grid.cell_m)))
    error_step = math.ceil(math.sqrt(max(1.0, cells * count / _PAIRS, cells * count**2 / _SQUARED_PAIRS)))
    levels = _each_nth(surface.levels, grid, level_step, 3, cancel)
    say(progress, 0.7, "Laying the ground through the levels")
    errors = _each_nth(surface.errors, grid, error_step, 1, cancel)
    return Laid(levels, np.maximum(errors, np.float32(0.0)))


def lay_straight(measured: Measured, grid: Grid, *, cancel: Cancel | None, progress: Progress | None) -> Laid:
    """The straight (Delaunay) surface on the grid; nothing beyond the hull."""
    surface = StraightSurface(measured)
    levels = np.empty(grid.shape, dtype=np.float32)
    x, y = grid.centres()
    for start in range(0, grid.shape[0], _ROWS_AT_ONCE):
        stop_if(cancel)
        say(progress, start / grid.shape[0], "Laying the ground through the levels")
        part = slice(start, start + _ROWS_AT_ONCE)
        levels[part] = surface.levels(*np.meshgrid(x, y[part]))
    errors = surface.errors_over(grid)
    errors[np.isnan(levels)] = np.nan
    return Laid(levels, errors)


def cut_to(laid: Laid, grid: Grid, area: Polygon) -> Laid:
    """What was laid, without levels where a cell's centre is outside `area`."""
    x, y = grid.centres()
    shapely.prepare(area)
    outside = ~shapely.contains_xy(area, *np.meshgrid(x, y))
    level_m, error_m = laid.level_m.copy(), laid.error_m.copy()
    level_m[outside] = np.nan
    error_m[outside] = np.nan
    return Laid(level_m, error_m)


def _each_nth(
    value: Callable[[Floats, Floats], Floats], grid: Grid, step: int, degree: int, cancel: Cancel | None
) -> NDArray[np.float32]:
    """`value` at the centres of the cells, from each `step`-th row and column."""
    rows, cols = grid.shape
    row_at, col_at = _nodes(rows, step, degree), _nodes(cols, step, degree)
    x = grid.transform.c + (col_at + 0.5) * grid.cell_m
    y = grid.transform.f - (row_at + 0.5) * grid.cell_m
    nodes = np.empty((len(y), len(x)))
    for start in range(0, len(y), _ROWS_AT_ONCE):
        stop_if(cancel)
        part = slice(start, start + _ROWS_AT_ONCE)
        across, down = np.meshgrid(x, y[part])
        nodes[part] = value(across.ravel(), down.ravel()).reshape(across.shape)
    if step == 1:
        return nodes[:rows, :cols].astype(np.float32)
    from scipy.interpolate import RectBivariateSpline

    spline = RectBivariateSpline(row_at, col_at, nodes, kx=degree, ky=degree)
    return np.asarray(spline(np.arange(rows), np.arange(cols)), dtype=np.float32)


def _nodes(count: int, step: int, degree: int) -> Floats:
    """Each `step`-th place from 0 to `count` - 1 and over it, at least one more than the spline's degree."""
    return step * np.arange(max(math.ceil((count - 1) / step), degree if step > 1 else 0) + 1, dtype=np.float64)
