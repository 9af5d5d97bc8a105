"""The grid that a made ground is laid on: how far it goes and how fine it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from affine import Affine
from numpy.typing import NDArray
from shapely import MultiPoint
from shapely.geometry.base import BaseGeometry

from gardenwater.site.model import Site, Underlay

MOST_CELLS = 4_000_000
_STEP_M = 10.0
_LEAST_M = (60.0, 40.0)
_MARGIN_M = 5.0

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Grid:
    """North-up square cells: their affine, rows and columns, and how wide they were asked for, m."""

    transform: Affine
    shape: tuple[int, int]
    asked_m: float

    @property
    def cell_m(self) -> float:
        """Width of a cell, m."""
        return float(self.transform.a)

    @property
    def coarsened(self) -> bool:
        """Whether the cells are wider than was asked for."""
        return self.cell_m > self.asked_m * (1 + 1e-9)

    def centres(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Where the centres lie: x of the columns and y of the rows, m, north first."""
        rows, cols = self.shape
        x = float(self.transform.c) + (np.arange(cols, dtype=np.float64) + 0.5) * self.cell_m
        y = float(self.transform.f) - (np.arange(rows, dtype=np.float64) + 0.5) * self.cell_m
        return x, y


def grid_over(bounds: Bounds, cell_m: float) -> Grid:
    """The grid of whole cells over `bounds` (west, south, east, north, m), its lines on multiples of the cell.

    Cells are made wider, by whole factors of the asked width, until there are no more than 4 million.
    """
    west, south, east, north = bounds
    factor = max(1, math.floor(math.sqrt((east - west) * (north - south) / MOST_CELLS) / cell_m))
    while True:
        wide_m = cell_m * factor
        first_col, last_col = math.floor(west / wide_m + 1e-6), math.ceil(east / wide_m - 1e-6)
        first_row, last_row = math.floor(south / wide_m + 1e-6), math.ceil(north / wide_m - 1e-6)
        rows, cols = max(last_row - first_row, 1), max(last_col - first_col, 1)
        if rows * cols <= MOST_CELLS:
            break
        factor += 1
    transform = Affine(wide_m, 0.0, first_col * wide_m, 0.0, -wide_m, (first_row + rows) * wide_m)
    return Grid(transform, (rows, cols), cell_m)


def extent_of(site: Site) -> Bounds:
    """How far the site goes: its things, traced contours and underlay, 5 m on, at least 60 x 40 m.

    Rounded outwards to whole tens of metres, so that a thing that is moved does not move the grid with each step.
    """
    shapes: list[BaseGeometry] = [thing.shape for thing in site]
    shapes.extend(contour.shape for contour in site.survey.contours)
    if site.underlay is not None:
        shapes.append(_corners(site.underlay))
    if not shapes:
        return 0.0, 0.0, *_LEAST_M
    west, south, east, north = (float(value) for value in shapely.total_bounds(shapes))
    west, east = _widened(west, east, _LEAST_M[0])
    south, north = _widened(south, north, _LEAST_M[1])
    return west, south, east, north


def _widened(low: float, high: float, least_m: float) -> tuple[float, float]:
    """An interval with its margin, at least so long, out to whole tens."""
    margin_m = max(_MARGIN_M, (least_m - (high - low)) / 2)
    return (
        math.floor((low - margin_m) / _STEP_M) * _STEP_M,
        math.ceil((high + margin_m) / _STEP_M) * _STEP_M,
    )


def _corners(underlay: Underlay) -> MultiPoint:
    a, b, c, d, e, f = underlay.transform
    pixels = ((0, 0), (underlay.cols, 0), (0, underlay.rows), (underlay.cols, underlay.rows))
    return MultiPoint([(a * col + b * row + c, d * col + e * row + f) for col, row in pixels])
