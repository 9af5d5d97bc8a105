"""How wrong a level may be relative to another: what counts for reach is the difference to the tank, not the datum.

Levels wrong by s_a and s_b with a correlation r(d) have a difference of variance s_a² + s_b² - 2 r s_a s_b. With the
exponential correlation r = exp(-d / L), usual for errors of elevation surfaces in geostatistics (from memory), and one
s everywhere, that is 2 s² (1 - exp(-d / L)): a common offset cancels, near spots share their error, and far ones are
wrong by s times the root of two. d is the length of the way, which no point of it is farther off than: never too
hopeful.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.reach.kernels_records import Errors

UNKNOWN_M = 1e6
"""What an error that is not known counts as: nothing is sure with it."""

_ALIKE_STEPS = 2048
_ALIKE_LENGTHS = 16.0
_NONE = np.empty(0, dtype=np.float32)
_NONE.flags.writeable = False
_ALIKE = np.exp(-np.linspace(0.0, _ALIKE_LENGTHS, _ALIKE_STEPS + 1))
_ALIKE.flags.writeable = False


@dataclass(frozen=True, slots=True, eq=False)
class LevelError:
    """One standard error of the ground's levels, m.

    level_m: of each level by itself, float32 on the ground's grid (NaN: not known), or one for all. tank_m: that at the
    tank. length_m: errors are alike within it. before_m: length of the way up to where a map begins, m.
    Raises InputError for errors that are no positive numbers, or a length that is not over 0.
    """

    level_m: float | NDArray[np.float32] = 0.0
    tank_m: float = 0.0
    length_m: float = 10.0
    before_m: float = 0.0

    def __post_init__(self) -> None:
        usual = self.level_m if isinstance(self.level_m, int | float) else 0.0
        if not (usual >= 0.0 and self.tank_m >= 0.0 and self.length_m > 0.0 and self.before_m >= 0.0):
            raise InputError("It is no error of levels.", where="error", mend="Give errors from 0 and a length over 0.")

    def relative_m(self, distance_m: NDArray[np.float64], level_m: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """The error relative to the tank at points of a way, m. level_m: their errors by themselves, m."""
        alike = np.exp(-(distance_m + self.before_m) / self.length_m)
        variance = np.square(level_m) + self.tank_m**2 - 2.0 * alike * level_m * self.tank_m
        error: NDArray[np.float64] = np.sqrt(np.maximum(variance, 0.0))
        return error

    def at(self, ground: Ground, x: float, y: float) -> float:
        """The error of the level at a spot by itself, m; NaN where it is not known."""
        if isinstance(self.level_m, int | float):
            return float(self.level_m)
        cell = ground.cell_at(x, y)
        return float(self.level_m[cell]) if cell is not None else math.nan

    def errors(self, ground: Ground) -> Errors:
        """The same for the kernels. Raises InputError where the errors are not on the ground's grid."""
        one = isinstance(self.level_m, int | float)
        if not one and np.shape(self.level_m) != ground.shape:
            raise InputError("The errors are not on the ground's grid.", where="error", mend="Give one for each level.")
        each = _NONE if one else np.nan_to_num(self.level_m, nan=UNKNOWN_M).astype(np.float32, copy=False).ravel()
        each.flags.writeable = False
        return Errors(
            level=each,
            usual=float(self.level_m) if one else 0.0,
            tank=float(self.tank_m),
            alike=_ALIKE,
            per_m=_ALIKE_STEPS / _ALIKE_LENGTHS / self.length_m,
            before=float(self.before_m),
        )
