"""Shapes drawn on a grid of cells, so that neither a thin wall nor a diagonal leaks.

A shape is cut into strips one row of cells high, by halves. A connected piece of it in one row covers an interval of x
without a gap, so the cells of that interval are exactly the cells that it touches, and a line that goes down through
a row boundary leaves one row in the same column as it enters the next: cells that hang together by their sides, through
which no step leads, not even a diagonal one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from affine import Affine
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError

_HAIR = 1e-6
"""Share of a cell that counts as nothing: an outline along the edge of cells does not take the cells beside it."""

_POLYGON = 3
"""shapely's type ids up to here are points, lines, rings and polygons; above are collections."""

Burnt = NDArray[np.bool_]
Geometries = NDArray[np.object_]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class _Grid:
    """Rows and columns, and the way from metres to columns and rows counted from the north-west corner."""

    rows: int
    cols: int
    west: float
    north: float
    cell_x_m: float
    cell_y_m: float

    def placed(self, shapes: Geometries) -> Geometries:
        """The shapes in columns and rows."""

        def to_cells(xy: NDArray[np.float64]) -> NDArray[np.float64]:
            return np.column_stack(((xy[:, 0] - self.west) / self.cell_x_m, (self.north - xy[:, 1]) / self.cell_y_m))

        placed: Geometries = shapely.transform(shapes, to_cells)
        return placed


def burn(shapes: Iterable[BaseGeometry], transform: Affine, shape: tuple[int, int], *, leakless: bool = True) -> Burnt:
    """The cells that shapes take up: bool (rows, cols), True where a shape is.

    shapes: polygons, lines and points, or collections of them, m. transform, shape: of the ground. Shapes off the grid
    and empty ones take nothing. leakless: every cell whose inside an area touches, every cell that a line or point
    touches (a line along the edge of cells takes both sides); without it, cells whose centre lies in an area, and
    nothing for lines and points. Raises InputError for a grid that is turned or flipped.
    """
    if not (transform.a > 0 and transform.e < 0 and transform.b == 0 and transform.d == 0):
        raise InputError("The grid is turned or flipped.", where="transform", mend="Resample it to a north-up grid.")
    grid = _Grid(*shape, transform.c, transform.f, transform.a, -transform.e)
    burnt = np.zeros(shape, dtype=np.bool_)
    simple = grid.placed(_simple(np.fromiter(shapes, dtype=np.object_)))
    areas = simple[shapely.get_dimensions(simple) == 2]
    if not leakless:
        _fill_centres(burnt, areas)
        return burnt
    thick = ~shapely.is_empty(shapely.buffer(areas, -_HAIR))
    others = np.concatenate((areas[~thick], simple[shapely.get_dimensions(simple) < 2]))
    _fill_touched(burnt, areas[thick], slack=-_HAIR)
    _fill_touched(burnt, others, slack=_HAIR)
    return burnt


def _simple(shapes: Geometries) -> Geometries:
    """The points, lines and polygons that shapes are made of; an outline that crosses itself is mended first."""
    parts = shapes.copy()
    crossed = ~shapely.is_valid(parts)
    if crossed.any():
        parts[crossed] = shapely.make_valid(parts[crossed])
    while (shapely.get_type_id(parts) > _POLYGON).any():
        parts = shapely.get_parts(parts)
    some: Geometries = parts[~shapely.is_empty(parts)]
    return some


def _fill_centres(burnt: Burnt, areas: Geometries) -> None:
    rows, cols = burnt.shape
    for area, (left, top, right, bottom) in zip(areas, shapely.bounds(areas), strict=True):
        row_0, row_1 = max(int(np.floor(top)), 0), min(int(np.ceil(bottom)), rows)
        col_0, col_1 = max(int(np.floor(left)), 0), min(int(np.ceil(right)), cols)
        if row_0 < row_1 and col_0 < col_1:
            row, col = np.mgrid[row_0:row_1, col_0:col_1] + 0.5
            shapely.prepare(area)
            burnt[row_0:row_1, col_0:col_1] |= shapely.contains_xy(area, col, row)


def _fill_touched(burnt: Burnt, shapes: Geometries, *, slack: float) -> None:
    """Mark what shapes touch. slack: by how much each cell is taken to be larger (negative: smaller) at each side."""
    rows, cols = burnt.shape
    pieces, row = _strips(shapes, rows, slack)
    left, _, right, _ = shapely.bounds(pieces).T.reshape(4, -1)
    col_0 = np.clip(np.floor(left - slack), 0, cols).astype(np.int64)
    col_1 = np.clip(np.floor(right + slack) + 1, 0, cols).astype(np.int64)
    for at, first, end in zip(row.tolist(), col_0.tolist(), col_1.tolist(), strict=True):
        burnt[at, first:end] = True


def _strips(shapes: Geometries, rows: int, slack: float) -> tuple[Geometries, Ints]:
    """The shapes cut into connected pieces of one row each, and the row of each piece."""
    bounds = shapely.bounds(shapes).reshape(-1, 4)
    first = np.clip(np.floor(bounds[:, 1] - slack), 0, rows).astype(np.int64)
    end = np.clip(np.floor(bounds[:, 3] + slack) + 1, 0, rows).astype(np.int64)
    pieces, kept = shapes, first < end
    pieces, first, end = pieces[kept], first[kept], end[kept]
    done_pieces, done_rows = [], []
    while pieces.size:
        single = end - first == 1
        done_pieces.append(_cut(pieces[single], first[single], end[single], slack))
        done_rows.append(first[single])
        pieces, first, end = pieces[~single], first[~single], end[~single]
        middle = (first + end) // 2
        first, end = np.concatenate((first, middle)), np.concatenate((middle, end))
        pieces = _cut(np.concatenate((pieces, pieces)), first, end, slack)
    if not done_pieces:
        return np.empty(0, dtype=np.object_), np.empty(0, dtype=np.int64)
    parts, whose = shapely.get_parts(np.concatenate(done_pieces), return_index=True)
    some = ~shapely.is_empty(parts)
    return parts[some], np.concatenate(done_rows)[whose[some]]


def _cut(pieces: Geometries, first: Ints, end: Ints, slack: float) -> Geometries:
    """The part of each piece that lies in its rows."""
    left, _, right, _ = shapely.bounds(pieces).T.reshape(4, -1)
    strips = shapely.box(left - 1.0, first - slack, right + 1.0, end + slack)
    cut: Geometries = shapely.intersection(pieces, strips)
    return cut
