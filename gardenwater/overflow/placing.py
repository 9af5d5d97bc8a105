"""Where water gets onto the grid, and which cells takers have."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from affine import Affine
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn
from gardenwater.overflow.model import Spot, Taker
from gardenwater.overflow.surface import Prepared


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Takers on the cells of a prepared ground; holds for any event.

    taker_of: int32, flat, for each cell of the kernels' grid 1 + its taker, or 0; one cell long without takers. rims:
    for each taker the cell where it spills when it is full, -1 where there is none.
    """

    taker_of: NDArray[np.int32]
    rims: tuple[int, ...]


def place(prepared: Prepared, takers: Sequence[Taker]) -> Placed:
    """The cells of takers, and where each spills. Their room counts for nothing here, only shape and spot.

    Where takers overlap the first has the cells. Raises InputError for a spot to spill at that is off the ground.
    """
    rims = [-1] * len(takers)
    if not takers:
        return Placed(np.zeros(1, dtype=np.int32), ())
    rows, cols = prepared.shape
    stride = cols + 2
    taker_of = np.zeros((rows + 2, stride), dtype=np.int32)
    level = prepared.land.surface.level.reshape(rows + 2, stride)
    for number, taker in enumerate(takers):
        top, left, inside = _burnt(prepared, taker.shape)
        where = taker_of[top : top + inside.shape[0], left : left + inside.shape[1]]
        where[inside & (where == 0)] = number + 1
        if taker.spills_at is not None:
            x, y = free_spot(prepared, taker.spills_at)
            rims[number] = int(np.floor(y + 0.5)) * stride + int(np.floor(x + 0.5))
        else:
            rims[number] = _lowest_rim(level, top, left, inside)
    flat = taker_of.ravel()
    flat.flags.writeable = False
    return Placed(flat, tuple(rims))


def _burnt(prepared: Prepared, shape: BaseGeometry) -> tuple[int, int, NDArray[np.bool_]]:
    """First row and column of a window of the kernels' grid, and the cells of a shape in it, with a margin of one."""
    rows, cols = prepared.shape
    if shape.is_empty:
        return 0, 0, np.zeros((0, 0), dtype=np.bool_)
    west, south, east, north = shape.bounds
    left, top = (int(np.floor(at)) for at in prepared.to_cells(west, north))
    right, bottom = (int(np.ceil(at)) for at in prepared.to_cells(east, south))
    left, top, right, bottom = max(left - 1, 0), max(top - 1, 0), min(right + 1, cols + 1), min(bottom + 1, rows + 1)
    if left > right or top > bottom:
        return 0, 0, np.zeros((0, 0), dtype=np.bool_)
    a, _, west, _, e, north = tuple(prepared.transform)[:6]
    window = Affine(a, 0.0, west + (left - 1) * a, 0.0, e, north + (top - 1) * e)
    inside = burn([shape], window, (bottom - top + 1, right - left + 1))
    return top, left, inside


def _lowest_rim(level: NDArray[np.float32], top: int, left: int, inside: NDArray[np.bool_]) -> int:
    """The lowest cell with a level beside a taker's cells, in the kernels' grid; -1 where there is none."""
    padded = np.pad(inside, 1)
    beside = np.zeros_like(inside)
    for down in (0, 1, 2):
        for right in (0, 1, 2):
            beside |= padded[down : down + inside.shape[0], right : right + inside.shape[1]]
    window = level[top : top + inside.shape[0], left : left + inside.shape[1]]
    rim = np.where(beside & ~inside & np.isfinite(window), window, np.inf)
    if rim.size == 0 or not np.isfinite(rim.min()):
        return -1
    lowest = int(np.argmin(rim))
    return int((top + lowest // rim.shape[1]) * level.shape[1] + left + lowest % rim.shape[1])


def free_spot(prepared: Prepared, at: Spot) -> tuple[float, float]:
    """Where water that comes out at a spot gets onto the ground: there, or at the nearest cell that is free.

    In columns and rows of the kernels' grid. A downpipe at a wall stands in a cell that the building takes up.
    Raises InputError off the ground, and where nothing is free.
    """
    rows, cols = prepared.shape
    x, y = prepared.to_cells(*at)
    row, col = int(np.floor(y + 0.5)), int(np.floor(x + 0.5))
    # the far edges belong to the ground
    row, col = row - (y == rows + 0.5), col - (x == cols + 0.5)
    if not (1 <= row <= rows and 1 <= col <= cols):
        raise InputError(
            f"Water spills at {at[0]:.2f}, {at[1]:.2f}, off the ground.",
            where="at",
            mend="Give ground that reaches there.",
        )
    level = prepared.land.surface.level.reshape(rows + 2, cols + 2)
    if np.isfinite(level[row, col]):
        return min(x, cols + 0.49), min(y, rows + 0.49)
    return _nearest_free(prepared, level, x, y)


def _nearest_free(prepared: Prepared, level: NDArray[np.float32], x: float, y: float) -> tuple[float, float]:
    """Column and row of the nearest centre of a cell with a level, looked for in growing windows."""
    rows, cols = prepared.shape
    land = prepared.land
    radius = 4
    while True:
        top, left = max(int(y) - radius, 1), max(int(x) - radius, 1)
        window = level[top : min(int(y) + radius + 2, rows + 1), left : min(int(x) + radius + 2, cols + 1)]
        down, right = np.nonzero(np.isfinite(window))
        far_m = np.hypot((right + left - x) * land.surface.cell_x_m, (down + top - y) * land.surface.cell_y_m)
        whole = window.shape == (rows, cols)
        if far_m.size and (whole or far_m.min() <= radius * min(land.surface.cell_x_m, land.surface.cell_y_m)):
            nearest = int(np.argmin(far_m))
            return float(right[nearest] + left), float(down[nearest] + top)
        if whole:
            raise InputError("No ground is free for the water.", where="at", mend="Give ground with levels.")
        radius *= 4
