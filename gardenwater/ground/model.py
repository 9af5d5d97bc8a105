"""The ground: a grid of levels, immutable and shared."""

from __future__ import annotations

import hashlib

import numpy as np
from affine import Affine
from numpy.typing import ArrayLike, NDArray

from gardenwater.errors import InputError


class Ground:
    """A grid of levels over north-up cells, which may be non-square.

    level_m: float32 (rows, cols), m above the datum, NaN = no data; row 0 is the northernmost. Made read-only.
    transform: affine from (col, row) of a cell's corner to (x, y); a > 0, e < 0, b = d = 0.
    crs: "EPSG:n" or WKT, empty when the sheet is not placed on the Earth.

    Raises InputError for levels that are no two-dimensional grid of numbers, and for a grid that is turned, flipped or
    placed nowhere.
    """

    __slots__ = ("_digest", "crs", "level_m", "transform")

    def __init__(self, level_m: ArrayLike, transform: Affine, crs: str = "") -> None:
        try:
            levels = np.array(level_m, dtype=np.float32, order="C", copy=True)
        except (TypeError, ValueError):
            levels = np.empty(0, dtype=np.float32)
        if levels.ndim != 2 or levels.size == 0:
            raise InputError(
                "Levels must be a grid of rows and columns of numbers.",
                where="level_m",
                mend="Give a two-dimensional array.",
            )
        if not isinstance(transform, Affine) or not np.isfinite(transform[:6]).all():
            raise InputError("The grid has no place.", where="transform", mend="Give an Affine of six finite numbers.")
        if not (transform.a > 0 and transform.e < 0 and transform.b == 0 and transform.d == 0):
            raise InputError(
                "The grid is turned or flipped.", where="transform", mend="Resample it to a north-up grid."
            )
        levels[~np.isfinite(levels)] = np.nan  # one NaN for all, so that equal grounds have equal bytes
        levels.flags.writeable = False
        self.level_m: NDArray[np.float32] = levels
        self.transform = transform
        self.crs = crs
        self._digest = ""

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, cols = self.level_m.shape
        return rows, cols

    @property
    def cell_x_m(self) -> float:
        """Width of a cell, m."""
        return float(self.transform.a)

    @property
    def cell_y_m(self) -> float:
        """Height of a cell, m (positive)."""
        return float(-self.transform.e)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """West, south, east, north of the cells' outer edges, m."""
        rows, cols = self.shape
        west, north = self.transform.c, self.transform.f
        return west, north - rows * self.cell_y_m, west + cols * self.cell_x_m, north

    @property
    def digest(self) -> str:
        """SHA-256 of levels, grid and CRS; worked out once."""
        if not self._digest:
            sha = hashlib.sha256(self.level_m.tobytes())
            sha.update(repr((self.shape, tuple(self.transform)[:6], self.crs)).encode())
            self._digest = sha.hexdigest()
        return self._digest

    def cell_at(self, x: float, y: float) -> tuple[int, int] | None:
        """Row and column of the cell that (x, y) lies in, or None off the grid."""
        rows, cols = self.shape
        col = int(np.floor((x - self.transform.c) / self.cell_x_m))
        row = int(np.floor((self.transform.f - y) / self.cell_y_m))
        return (row, col) if 0 <= row < rows and 0 <= col < cols else None

    def centre_of(self, row: int, col: int) -> tuple[float, float]:
        """Place of a cell's centre: x and y, m."""
        return self.transform.c + (col + 0.5) * self.cell_x_m, self.transform.f - (row + 0.5) * self.cell_y_m
