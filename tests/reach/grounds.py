"""Small grounds for the tests of reach: drawn in text, or from levels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from affine import Affine
from numpy.typing import ArrayLike, NDArray

from gardenwater.ground import Ground
from gardenwater.reach import ReachMap

XY = tuple[float, float]


def ground_of(levels: ArrayLike, cell_x: float = 1.0, cell_y: float = 1.0) -> Ground:
    """A ground whose south-west corner lies at 0, 0."""
    grid = np.asarray(levels, dtype=np.float32)
    return Ground(grid, Affine(cell_x, 0, 0, 0, -cell_y, grid.shape[0] * cell_y))


def drawn(rows: Sequence[str], levels: Mapping[str, float], cell_m: float = 1.0) -> tuple[Ground, XY]:
    """A ground drawn in text, north at the top, and where the tank `T` stands (at the level of ".")."""
    grid = np.array([[levels["." if sign == "T" else sign] for sign in row] for row in rows])
    ground = ground_of(grid, cell_m, cell_m)
    row = next(number for number, text in enumerate(rows) if "T" in text)
    return ground, ground.centre_of(row, rows[row].index("T"))


def picture(answer: ReachMap, signs: str = "_~^|>#?") -> list[str]:
    """The reasons as text: one sign each for in reach, slow, ridge, too high, too far, barrier, no data."""
    return ["".join(signs[cell] for cell in row) for row in answer.reason]


def centres(ground: Ground) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """x and y of all cells' centres."""
    row, col = np.mgrid[: ground.shape[0], : ground.shape[1]]
    x, y = ground.centre_of(0, 0)
    return x + col * ground.cell_x_m, y - row * ground.cell_y_m
