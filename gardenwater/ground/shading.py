"""Fall and hill shading of a ground."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gardenwater.ground.model import Ground

Grid = NDArray[np.float32]


class Slope(NamedTuple):
    """How the ground falls: float32 grids, NaN where there is no level.

    fall: m per m, 0 or more. bearing_deg: compass bearing of the way down, 0 to 360; NaN on level ground too.
    """

    fall: Grid
    bearing_deg: Grid


def slope(ground: Ground) -> Slope:
    """The fall of each cell and the bearing of its way down.

    Third-order finite differences over the eight neighbours, weights 1 2 1: B. K. P. Horn, "Hill shading and the
    reflectance map", Proceedings of the IEEE 69 (1981), 14-47. Beyond the edge of the grid levels go on in a straight
    line; a cell beside one without a level takes the differences to the neighbours it has (both are exact on a plane).
    """
    east, north = _gradients(ground)
    fall = np.hypot(east, north)
    bearing = np.degrees(np.arctan2(-east, -north)) % np.float32(360.0)
    bearing[fall == 0] = np.nan
    return Slope(fall, bearing)


def hillshade(
    ground: Ground, *, azimuth_deg: float = 315.0, altitude_deg: float = 45.0, exaggerate: float = 3.0
) -> Grid:
    """How bright each cell is under a light from `azimuth_deg` (compass) at `altitude_deg` above the horizon.

    Returns float32 from 0 (dark) to 1, NaN where there is no level: the cosine between the light and the ground's
    normal (Lambert's law, as in Horn 1981), 0 where it faces away. `exaggerate` makes levels that much steeper: the
    falls of gardens, 1 in 10 to 1 in 100, hardly show at 1.
    """
    east, north = _gradients(ground)
    azimuth, altitude = np.radians(azimuth_deg), np.radians(altitude_deg)
    towards_east = np.float32(exaggerate * np.cos(altitude) * np.sin(azimuth))
    towards_north = np.float32(exaggerate * np.cos(altitude) * np.cos(azimuth))
    shade: Grid = np.float32(np.sin(altitude)) - towards_east * east - towards_north * north
    shade /= np.sqrt(np.float32(1.0) + np.float32(exaggerate) ** 2 * (east * east + north * north))
    return np.clip(shade, 0.0, 1.0, out=shade)


def _gradients(ground: Ground) -> tuple[Grid, Grid]:
    """Rise per metre towards east and towards north, float32, NaN where there is no level."""
    levels = ground.level_m
    padded = _go_on(levels)
    down = padded[:-2] + np.float32(2.0) * padded[1:-1] + padded[2:]
    east = (down[:, 2:] - down[:, :-2]) / np.float32(8.0 * ground.cell_x_m)
    across = padded[:, :-2] + np.float32(2.0) * padded[:, 1:-1] + padded[:, 2:]
    north = (across[:-2] - across[2:]) / np.float32(8.0 * ground.cell_y_m)
    lame = np.isnan(east + north)
    centre = np.isnan(levels)
    if lame.sum() > centre.sum():
        rows, cols = np.nonzero(lame & ~centre)
        east[rows, cols] = _difference(padded, rows, cols, (0, 1)) / np.float32(ground.cell_x_m)
        north[rows, cols] = _difference(padded, rows, cols, (-1, 0)) / np.float32(ground.cell_y_m)
    east[centre] = np.nan
    north[centre] = np.nan
    return east, north


def _go_on(levels: Grid) -> Grid:
    """The levels with a rim of one cell more, on which they go on in a straight line."""
    padded = np.pad(levels, 1, mode="edge")
    if levels.shape[0] > 1:
        padded[0], padded[-1] = 2 * padded[1] - padded[2], 2 * padded[-2] - padded[-3]
    if levels.shape[1] > 1:
        padded[:, 0], padded[:, -1] = 2 * padded[:, 1] - padded[:, 2], 2 * padded[:, -2] - padded[:, -3]
    return padded


def _difference(padded: Grid, rows: NDArray[np.intp], cols: NDArray[np.intp], step: tuple[int, int]) -> Grid:
    """Mean rise per cell in the sense of `step`, from the neighbours that have a level; 0 where none has."""
    row, col = rows + 1, cols + 1
    ahead = padded[row + step[0], col + step[1]] - padded[row, col]
    behind = padded[row, col] - padded[row - step[0], col - step[1]]
    both = np.stack([ahead, behind])
    known = ~np.isnan(both)
    result: Grid = np.where(known, both, np.float32(0)).sum(axis=0) / np.maximum(known.sum(axis=0), 1).astype(
        np.float32
    )
    return result
