"""How wrong a level may be relative to another: what counts for reach is the difference to the tank, not the datum.

Levels wrong by s_a and s_b with a correlation r(d) have a difference of variance s_a² + s_b² - 2 r s_a s_b. With the
exponential correlation r = exp(-d / L), usual for errors of elevation surfaces in geostatistics (from memory), and one
s everywhere, that is 2 s² (1 - exp(-d / L)): a common offset cancels, near spots share their error, and far ones are
wrong by s times the root of two. d is the length of the way, which no point of it is farther off than: never too
hopeful.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def relative_error_m(
    distance_m: NDArray[np.float32],
    *,
    error_m: float | NDArray[np.float32],
    at_tank_m: float,
    length_m: float,
) -> NDArray[np.float32]:
    """One standard error of levels relative to the tank's ground, m, float32 of the shape of `distance_m`.

    distance_m: along the way from the tank. error_m: one standard error of each level by itself, or one for all.
    at_tank_m: that of the level at the tank. length_m: errors are alike within it. NaN where distance or error is NaN.
    """
    alike = np.exp(-distance_m / np.float32(length_m))
    here = np.asarray(error_m, dtype=np.float32)
    tank = np.float32(at_tank_m)
    variance = here * here + tank * tank - 2 * alike * here * tank
    error: NDArray[np.float32] = np.sqrt(np.maximum(variance, np.float32(0.0)))
    return error
