"""A surface laid straight between many points (Delaunay triangles), with an error from leaving points out.

For more points than the thin plate's equations can take. Triangles whose three corners are of one contour lie flat, as
on any such surface.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.ground.grid import Grid
from gardenwater.ground.spline import Measured

Floats = NDArray[np.float64]

_SAME_SPOT_M = 0.01
_PARTS = 5
_LEAST_AWAY_M = 0.05


class StraightSurface:
    """Straight between the spots; slope arrows tilt it where they lie.

    The error of a level: se^2 = e^2 + s^2 d^1.5, e that of the spots, d the distance to the nearest one. s is fitted to
    the spots themselves: a fifth of them at a time is left out and laid from the others. The exponent is that of ground
    as rough as a Hurst exponent of 0.75 makes it, the middle of what is published for land (0.5 to 1; from memory).
    """

    def __init__(self, measured: Measured) -> None:
        spots, values, errors = _merged(measured)
        arrows = measured.apart
        if arrows.any():
            upper, lower = measured.at[arrows], measured.below[arrows]
            middle = _laid(spots, values, (upper + lower) / 2)
            half = measured.value_m[arrows] / 2
            known = ~np.isnan(middle)
            spots = np.vstack([spots, upper[known], lower[known]])
            values = np.concatenate([values, (middle + half)[known], (middle - half)[known]])
        self._spots, self._values = spots, values
        self._spot_variance = float((errors**2).mean())
        self._rate = self._growth()
        self._interpolator = _interpolator(spots, values)

    def levels(self, x: Floats, y: Floats) -> Floats:
        """Levels at points, m; NaN beyond the hull. x, y: float64 of one shape, m."""
        return np.asarray(self._interpolator(x, y), dtype=np.float64)

    def errors_over(self, grid: Grid) -> NDArray[np.float32]:
        """One standard error of the level of each cell, m, float32 (rows, cols)."""
        from scipy.ndimage import distance_transform_edt

        rows, cols = grid.shape
        away = np.ones(grid.shape, dtype=bool)
        col = ((self._spots[:, 0] - grid.transform.c) / grid.cell_m).astype(np.intp)
        row = ((grid.transform.f - self._spots[:, 1]) / grid.cell_m).astype(np.intp)
        inside = (row >= 0) & (row < rows) & (col >= 0) & (col < cols)
        away[row[inside], col[inside]] = False
        distance_m = distance_transform_edt(away, sampling=grid.cell_m).astype(np.float32)
        errors: NDArray[np.float32] = np.sqrt(
            np.float32(self._spot_variance) + np.float32(self._rate) * distance_m**1.5
        )
        return errors

    def _growth(self) -> float:
        """s^2: how fast the variance grows with distance^1.5, from spots left out."""
        from scipy.spatial import KDTree

        order = np.random.default_rng(0).permutation(len(self._spots))
        squares, reach = 0.0, 0.0
        for part in range(_PARTS):
            out = order[part::_PARTS]
            rest = np.setdiff1d(order, out)
            misses = _laid(self._spots[rest], self._values[rest], self._spots[out]) - self._values[out]
            away_m = np.asarray(KDTree(self._spots[rest]).query(self._spots[out])[0])
            known = ~np.isnan(misses) & (away_m > _LEAST_AWAY_M)
            squares += float((misses[known] ** 2 - 2 * self._spot_variance).sum())
            reach += float((away_m[known] ** 1.5).sum())
        return max(squares, 0.0) / reach if reach > 0 else 0.0


def _merged(measured: Measured) -> tuple[Floats, Floats, Floats]:
    """Spots, levels and errors, those within a centimetre of each other made one."""
    level = ~measured.apart
    spots, values, errors = measured.at[level], measured.value_m[level], measured.error_m[level]
    keys, first, which = np.unique(np.round(spots / _SAME_SPOT_M), axis=0, return_index=True, return_inverse=True)
    counts = np.bincount(which.ravel(), minlength=len(keys))
    means = np.bincount(which.ravel(), weights=values, minlength=len(keys)) / counts
    return spots[first], means, errors[first]


def _laid(spots: Floats, values: Floats, at: Floats) -> Floats:
    """Levels at `at` (n, 2), straight between the spots; NaN beyond their hull."""
    return np.asarray(_interpolator(spots, values)(at[:, 0], at[:, 1]), dtype=np.float64)


def _interpolator(spots: Floats, values: Floats) -> Callable[[Floats, Floats], Any]:
    """Straight between the spots; taken from their middle, so that far coordinates cost no digits."""
    from scipy.interpolate import LinearNDInterpolator

    middle = spots.mean(axis=0)
    straight = LinearNDInterpolator(spots - middle, values)
    return lambda x, y: straight(x - middle[0], y - middle[1])
