"""Rain on the ground itself: what of it soaks where it falls, and where the rest runs together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.surface import STEPS, Prepared

_M3_OF_MM = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class GroundRain:
    """The rain of an event on the ground, m3. fallen_m3 = soaked_m3 + all that runs off.

    to_hollows_m3_s: float64, for each hollow what runs down to it over the ground, m3/s; one long without run-off.
    to_takers_m3: float64, what falls on each taker and runs down to it. off_site_m3: what runs off over the edge.
    """

    fallen_m3: float
    soaked_m3: float
    off_site_m3: float
    to_hollows_m3_s: NDArray[np.float64]
    to_takers_m3: NDArray[np.float64]


def ground_rain(
    prepared: Prepared, taker_of: NDArray[np.int32], takers: int, rain_mm: float, over_h: float, soak_mm_h: float
) -> GroundRain:
    """Share the rain of an event between the soil and what runs off.

    Rain falls evenly over the hours on all ground that has a level and no building. The soil takes it at its steady
    rate; only what falls faster runs off (Horton's excess, with the rate of ground that is wet already), and then the
    soil takes nothing else. Takers get all that falls on them.
    """
    if rain_mm <= 0.0:
        return GroundRain(0.0, 0.0, 0.0, np.zeros(1), np.zeros(takers))
    from gardenwater.overflow import kernels_rain as kernels

    land = prepared.land
    ends = np.full(land.surface.level.size, kernels.NOT_KNOWN, dtype=np.int32)
    lengths_m = np.array(
        [np.hypot(down * land.surface.cell_y_m, right * land.surface.cell_x_m) for down, right in STEPS]
    )
    steps = np.array([down * land.surface.stride + right for down, right in STEPS], dtype=np.int64)
    kernels.rain_ends(land, taker_of, steps, lengths_m, ends)
    on_ground = np.isfinite(land.surface.level)
    own = taker_of[on_ground] if taker_of.size > 1 else np.zeros(int(on_ground.sum()), dtype=np.int32)
    ends = ends[on_ground]
    depth_m3 = rain_mm * _M3_OF_MM * prepared.cell_m2
    runs_m3 = max(rain_mm - soak_mm_h * over_h, 0.0) * _M3_OF_MM * prepared.cell_m2
    cells = np.bincount(np.maximum(ends[own == 0], 0), minlength=len(land.hollows)).astype(np.float64)
    down_to = np.bincount(np.maximum(-ends[own == 0], 0), minlength=takers + 1)[1 : takers + 1]
    under = np.bincount(own, minlength=takers + 1)[1 : takers + 1]
    # what ends in a taker was counted with what ends in no hollow
    off_m3 = (float(cells[0]) - float(down_to.sum())) * runs_m3
    cells[0] = 0.0
    return GroundRain(
        fallen_m3=len(ends) * depth_m3,
        soaked_m3=float(np.count_nonzero(own == 0)) * (depth_m3 - runs_m3),
        off_site_m3=off_m3,
        to_hollows_m3_s=cells * (runs_m3 / (over_h * 3600.0)) if runs_m3 > 0.0 else np.zeros(1),
        to_takers_m3=down_to * runs_m3 + under * depth_m3,
    )
