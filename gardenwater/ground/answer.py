"""What is known of the lie of the land, and how well."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from gardenwater.ground.model import Ground


class GroundOrigin(StrEnum):
    """What the levels come from."""

    RASTER = "raster"
    PEGS = "pegs"
    CONTOURS = "contours"
    ARROWS = "slope arrows"
    MIXED = "pegs and contours"
    FLAT = "flat"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundAnswer:
    """The ground of a site, where it comes from and how good it is.

    uncertainty_m: float32 on the ground's grid, one standard error of each level, NaN where there is no level; None
    where one figure holds everywhere (`level_error_m`). hull: what the measured spots enclose, None where nothing was
    measured or the spots enclose nothing. notices: one plain sentence each, in the units of the site's people; the
    first says where the levels are from. spots: how many pegs (or contours, or arrows) that origin has, else 0.
    level_error_m: the usual standard error of a level, m (the median of `uncertainty_m` inside the hull).
    """

    ground: Ground
    origin: GroundOrigin
    uncertainty_m: NDArray[np.float32] | None
    hull: Polygon | None
    notices: tuple[str, ...]
    level_error_m: float
    spots: int = 0
