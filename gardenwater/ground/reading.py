"""Levels read off a ground: at points, along a line, lowest and highest."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely import LineString

from gardenwater.errors import InputError
from gardenwater.ground.model import Ground


class Profile(NamedTuple):
    """Levels along a line: distance from its start and level, float64 arrays of one length, m; NaN: no level."""

    distance_m: NDArray[np.float64]
    level_m: NDArray[np.float64]


class Relief(NamedTuple):
    """The lowest and the highest level, m; both NaN on a ground without levels."""

    low_m: float
    high_m: float


def level_at(ground: Ground, x: float, y: float) -> float:
    """The level at one point, m, by the rule of `levels_at`; NaN where there is none.

    In plain numbers and to the same bit: arrays of one take ten times as long, and a drag asks in each frame.
    """
    rows, cols = ground.shape
    across = (x - ground.transform.c) / ground.cell_x_m
    down = (ground.transform.f - y) / ground.cell_y_m
    levels = ground.level_m
    if not (0 <= across <= cols and 0 <= down <= rows):
        return math.nan
    if math.isnan(levels[min(int(down), rows - 1), min(int(across), cols - 1)]):
        return math.nan
    col, east = _neighbour(across, cols)
    row, south = _neighbour(down, rows)
    total = weights = 0.0
    for corner_row, weight_row in ((row, 1 - south), (min(row + 1, rows - 1), south)):
        for corner_col, weight_col in ((col, 1 - east), (min(col + 1, cols - 1), east)):
            level, weight = float(levels[corner_row, corner_col]), weight_row * weight_col
            if weight > 0 and not math.isnan(level):
                total += level * weight
                weights += weight
    return total / weights if weights > 0 else math.nan


def _neighbour(place: float, count: int) -> tuple[int, float]:
    """`_neighbours` of one place."""
    from_centre = min(max(place - 0.5, 0.0), count - 1.0)
    first = min(int(from_centre), max(count - 2, 0))
    return first, from_centre - first


def levels_at(ground: Ground, xs: ArrayLike, ys: ArrayLike) -> NDArray[np.float64]:
    """The levels at points, m: bilinear between the centres of the cells.

    xs, ys: coordinates of one shape, m, in the ground's CRS. Returns float64 of that shape.
    NaN off the grid and wherever the cell that the point lies in has no level; neighbours without a level are left out
    and the weights of the others made up to one. In the outermost half cell the level goes on as it is at its centre.
    """
    x, y = np.broadcast_arrays(np.asarray(xs, dtype=np.float64), np.asarray(ys, dtype=np.float64))
    rows, cols = ground.shape
    across = (x - ground.transform.c) / ground.cell_x_m
    down = (ground.transform.f - y) / ground.cell_y_m
    inside = (across >= 0) & (across <= cols) & (down >= 0) & (down <= rows)
    across = np.where(inside, across, 0.0)
    down = np.where(inside, down, 0.0)

    own_col = np.minimum(across.astype(np.intp), cols - 1)
    own_row = np.minimum(down.astype(np.intp), rows - 1)
    col, east = _neighbours(across, cols)
    row, south = _neighbours(down, rows)
    next_col = np.minimum(col + 1, cols - 1)
    next_row = np.minimum(row + 1, rows - 1)

    levels = ground.level_m
    total = np.zeros(x.shape)
    weights = np.zeros(x.shape)
    for corner_row, weight_row in ((row, 1 - south), (next_row, south)):
        for corner_col, weight_col in ((col, 1 - east), (next_col, east)):
            level = levels[corner_row, corner_col].astype(np.float64)
            weight = np.where(np.isnan(level), 0.0, weight_row * weight_col)
            total += np.where(weight > 0, level, 0.0) * weight
            weights += weight
    known = inside & ~np.isnan(levels[own_row, own_col]) & (weights > 0)
    return np.where(known, total / np.where(known, weights, 1.0), np.nan)


def _neighbours(place: NDArray[np.float64], count: int) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Of places in cells: the cell whose centre lies before each, and the weight of the next one."""
    from_centre = np.clip(place - 0.5, 0.0, count - 1)
    first = np.minimum(from_centre.astype(np.intp), max(count - 2, 0))
    return first, from_centre - first


def profile(ground: Ground, line: LineString) -> Profile:
    """Levels along a line, at its corners and at least each half cell.

    Raises InputError for a line without length.
    """
    if line.is_empty or line.length == 0:
        raise InputError("A profile needs a line with some length.", where="line", mend="Give two points apart.")
    step_m = min(ground.cell_x_m, ground.cell_y_m) / 2
    even = np.linspace(0.0, line.length, int(np.ceil(line.length / step_m)) + 1)
    coords = shapely.get_coordinates(line)
    corners = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(coords, axis=0).T))])
    distance = np.unique(np.concatenate([even, np.minimum(corners, line.length)]))
    at = shapely.get_coordinates(shapely.line_interpolate_point(line, distance))
    return Profile(distance, levels_at(ground, at[:, 0], at[:, 1]))


def relief(ground: Ground) -> Relief:
    """The lowest and the highest level of the ground, m."""
    low = float(np.fmin.reduce(ground.level_m, axis=None))
    high = float(np.fmax.reduce(ground.level_m, axis=None))
    return Relief(low, high)
