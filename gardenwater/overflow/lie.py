"""How the lie of the land gathers water: the wetness index of each cell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.grids import gather
from gardenwater.ground import Ground, slope
from gardenwater.overflow.surface import Prepared
from gardenwater.work import Cancel

LEAST_FALL = 1e-3
"""Fall that water itself makes where the ground has less, m/m: judgement, no source; keeps the index finite."""

Grid = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Wetness:
    """The lie of the land, for ground that is wet without any spill. Arrays float32 (rows, cols), read-only.

    NaN where no water comes. upslope_m: ground above each metre of level line, m. fall: m/m, at least `LEAST_FALL`.
    index: the topographic wetness index ln(upslope / fall) (Beven and Kirkby 1979, Hydrological Sciences Bulletin 24:
    43-69), no unit.
    """

    upslope_m: Grid
    fall: Grid
    index: Grid


def wetness(prepared: Prepared, ground: Ground, *, cancel: Cancel | None = None) -> Wetness:
    """The wetness index of a prepared ground.

    ground: the one that was prepared. Water is gathered over the surface with all hollows filled, buildings and walls
    standing up (see `grids.gather`); in a filled hollow the fall is the least. Where hollows have no way out, their
    own surface counts, and the lowest cell keeps what it gathers. The fall is Horn's (see `ground.slope`).
    """
    padded = _surface(prepared)
    found = gather(padded, cell_x_m=ground.cell_x_m, cell_y_m=ground.cell_y_m, cancel=cancel)
    level = prepared.land.surface.level.reshape(padded.shape)[1:-1, 1:-1]
    drowned = padded[1:-1, 1:-1] > level
    steep = np.nan_to_num(np.asarray(slope(ground).fall, dtype=np.float64), nan=LEAST_FALL)
    steep = np.where(drowned, LEAST_FALL, np.maximum(steep, LEAST_FALL))
    known = np.isfinite(found.upslope_m)
    upslope_m = found.upslope_m.astype(np.float32)
    fall: Grid = np.where(known, steep, np.nan).astype(np.float32)
    index: Grid = np.log(upslope_m / fall)
    for array in (upslope_m, fall, index):
        array.flags.writeable = False
    return Wetness(upslope_m, fall, index)


def _surface(prepared: Prepared) -> NDArray[np.float64]:
    """The filled surface with the rim of the prepared ground; its own levels where filling never ends."""
    rows, cols = prepared.shape
    padded = prepared.land.surface.level.reshape(rows + 2, cols + 2).astype(np.float64)
    inner, filled_m = padded[1:-1, 1:-1], prepared.filled_m()
    fills = np.isfinite(filled_m) & np.isfinite(inner)
    inner[fills] = filled_m[fills]
    return padded
