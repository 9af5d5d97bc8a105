"""Muddy ground: where it is wet underfoot after an event, and why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum, IntFlag

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.grids import burn
from gardenwater.ground import Ground, levels_at
from gardenwater.overflow.lie import LEAST_FALL, Wetness
from gardenwater.overflow.model import Pool, Route, Spill, Spot

MUD_FROM_H = 24.0
"""Ground under water for longer is mud, for less it is soft: judgement, no source."""
SLOW_MM_H = 5.0
"""Soil that takes less drains slowly (clay, 1 to 5 mm/h: FAO Irrigation Water Management annex 2, seen second-hand)."""
USUAL_MM_H = 15.0
"""The soil that the index is for as it stands (loam); another moves it by the logarithm of the ratio."""
DAMP_FROM, SOFT_FROM = 8.0, 10.0
"""Wetness index, corrected for the soil, from which the lie of the land alone keeps ground damp, soft: judgement."""
ROUND_POOL_M, BESIDE_WAY_M = 0.5, 0.3
"""Ground beside water that is one class less wet: judgement, no source."""
FROM_EDGE_M = 1.0
"""By the edge of what is known the lie of the land is not told: what comes from beyond is not known."""
DRIP_M, SPLASH_M = 0.5, 1.0
"""Ground round a tap that drips and spilled cans keep soft, damp: judgement, no source."""


_ROOM_CELLS = 64
"""Cells beyond the ways that their strips are looked for in."""


class Underfoot(IntEnum):
    """How ground is underfoot, in `Mud.underfoot`; the higher, the wetter."""

    DRY = 0
    DAMP = 1
    SOFT = 2
    MUD = 3


class MudWhy(IntFlag):
    """What makes it so; several may."""

    POOL = 1
    WAY = 2
    LIE = 4
    TAP = 8


@dataclass(frozen=True, slots=True, eq=False)
class Mud:
    """Ground underfoot. Both uint8 (rows, cols), read-only: `Underfoot`, and the `MudWhy` of that class together.

    index_shift: what the soil adds to the wetness index.
    """

    underfoot: NDArray[np.uint8]
    why: NDArray[np.uint8]
    index_shift: float


def before_spill(ground: Ground, wetness: Wetness, *, soak_mm_h: float, drips: Sequence[Spot] = ()) -> Mud:
    """Where the ground is wet underfoot without any spill: by the lie of the land, and where taps drip.

    ground: the grid of wetness. soak_mm_h: the soil's rate. drips: taps, where cans are filled.
    The lie of the land counts by the soil-topographic index ln(a / (T tan b)) (Beven 1986, Hydrological Processes 1,
    from memory): T as the soil's rate over `USUAL_MM_H`.
    """
    made = _Layers(ground)
    shift = math.log(USUAL_MM_H / max(soak_mm_h, 0.1))
    index = np.where(_well_known(ground), np.nan_to_num(wetness.index, nan=-np.inf) + np.float32(shift), -np.inf)
    made.lay(index >= DAMP_FROM, Underfoot.DAMP, MudWhy.LIE)
    made.lay(index >= SOFT_FROM, Underfoot.SOFT, MudWhy.LIE)
    spots = [shapely.Point(spot) for spot in drips]
    made.draw([spot.buffer(SPLASH_M) for spot in spots], Underfoot.DAMP, MudWhy.TAP)
    made.draw([spot.buffer(DRIP_M) for spot in spots], Underfoot.SOFT, MudWhy.TAP)
    return made.mud(wetness, shift)


def muddy(
    ground: Ground,
    spill: Spill,
    wetness: Wetness,
    *,
    soak_mm_h: float,
    drips: Sequence[Spot] = (),
    before: Mud | None = None,
) -> Mud:
    """Where the ground is wet underfoot after an event.

    ground: the grid of spill and wetness. soak_mm_h, drips: see `before_spill`; before: what that told, where it is at
    hand. Pools are mud where they stand for more than `MUD_FROM_H`, else soft, with a rim one class less. Ways are
    soft on the strip that they wet (Manning, see `kernels_width`), mud on soil that drains slowly, with damp beside
    it. Each rule's figures stand above with how they are known.
    """
    before = before or before_spill(ground, wetness, soak_mm_h=soak_mm_h, drips=drips)
    made = _Layers(ground, before)
    _ways(made, spill.routes, ground, slow=soak_mm_h < SLOW_MM_H)
    _pools(made, spill.pools, ground)
    return made.mud(wetness, before.index_shift)


def _well_known(ground: Ground) -> NDArray[np.bool_]:
    """Cells that lie further than `FROM_EDGE_M` from the edge of the ground and from cells without a level."""
    from scipy.ndimage import binary_erosion

    cells = math.ceil(FROM_EDGE_M / min(ground.cell_x_m, ground.cell_y_m))
    known: NDArray[np.bool_] = binary_erosion(
        ~np.isnan(ground.level_m), np.ones((3, 3), dtype=np.bool_), iterations=cells
    )
    return known


class _Layers:
    """Classes as they are laid one over the other: the wetter counts, and equal ones join their reasons."""

    def __init__(self, ground: Ground, before: Mud | None = None) -> None:
        self._ground = ground
        self.underfoot = np.zeros(ground.shape, dtype=np.uint8) if before is None else before.underfoot.copy()
        self.why = np.zeros(ground.shape, dtype=np.uint8) if before is None else before.why.copy()

    def lay(self, where: NDArray[np.bool_], underfoot: Underfoot, why: MudWhy) -> None:
        wetter = where & (self.underfoot < underfoot)
        self.why[wetter] = 0
        self.underfoot[wetter] = underfoot
        self.why[where & (self.underfoot == underfoot)] |= np.uint8(why)

    def draw(self, shapes: Sequence[BaseGeometry], underfoot: Underfoot, why: MudWhy) -> None:
        if shapes:
            self.lay(burn(shapes, self._ground.transform, self._ground.shape), underfoot, why)

    def mud(self, wetness: Wetness, index_shift: float) -> Mud:
        """All that was laid, but where no water comes."""
        barred = np.isnan(wetness.index)
        for array in (self.underfoot, self.why):
            array[barred] = 0
            array.flags.writeable = False
        return Mud(self.underfoot, self.why, index_shift)


def _ways(made: _Layers, routes: Sequence[Route], ground: Ground, *, slow: bool) -> None:
    """The strips of all ways at once: each cell by the nearest way, and how wide the water runs there."""
    from scipy.ndimage import distance_transform_edt

    half_m = _half_widths(routes, ground)
    if not half_m.any():
        return
    dry = half_m == 0.0
    rows, cols = (_window(axis, ground.shape[number]) for number, axis in enumerate(np.nonzero(~dry)))
    away_m, (row, col) = distance_transform_edt(
        dry[rows, cols], sampling=(ground.cell_y_m, ground.cell_x_m), return_indices=True
    )
    strip_m = half_m[rows, cols][row, col]
    for beyond_m, underfoot in ((BESIDE_WAY_M, Underfoot.DAMP), (0.0, Underfoot.MUD if slow else Underfoot.SOFT)):
        near = np.zeros(ground.shape, dtype=np.bool_)
        near[rows, cols] = away_m <= strip_m + beyond_m
        made.lay(near, underfoot, MudWhy.WAY)


def _window(cells: NDArray[np.intp], count: int) -> slice:
    """The rows or columns that hold cells, with room for the widest strip."""
    return slice(max(int(cells.min()) - _ROOM_CELLS, 0), min(int(cells.max()) + _ROOM_CELLS + 1, count))


def _half_widths(routes: Sequence[Route], ground: Ground) -> NDArray[np.float64]:
    """Half the width of the water on each cell that a way comes through, m; 0 elsewhere. For the flow at its start."""
    from gardenwater.overflow.kernels_width import width_m

    half_m = np.zeros(ground.shape)
    step_m = 0.5 * min(ground.cell_x_m, ground.cell_y_m)
    for route in routes:
        along = np.append(np.arange(0.0, route.line.length, step_m), route.line.length)
        spots = shapely.get_coordinates(shapely.line_interpolate_point(route.line, along))
        levels = levels_at(ground, spots[[0, -1], 0], spots[[0, -1], 1])
        fall = float(levels[0] - levels[1]) / route.line.length
        width = width_m(route.flow_l_s / 1000.0, max(fall, LEAST_FALL) if math.isfinite(fall) else LEAST_FALL)
        rows = np.clip(((ground.transform.f - spots[:, 1]) / ground.cell_y_m).astype(np.intp), 0, ground.shape[0] - 1)
        cols = np.clip(((spots[:, 0] - ground.transform.c) / ground.cell_x_m).astype(np.intp), 0, ground.shape[1] - 1)
        half_m[rows, cols] = np.maximum(half_m[rows, cols], width / 2)
    return half_m


def _pools(made: _Layers, pools: Sequence[Pool], ground: Ground) -> None:
    """Pools and the ground round them, those that stand long over the others."""
    short = [pool.outline for pool in pools if pool.hours_to_soak <= MUD_FROM_H]
    long = [pool.outline for pool in pools if pool.hours_to_soak > MUD_FROM_H]
    _round(made, short, ground, ((ROUND_POOL_M, Underfoot.DAMP), (0.0, Underfoot.SOFT)))
    damp_m = 2 * ROUND_POOL_M
    _round(made, long, ground, ((damp_m, Underfoot.DAMP), (ROUND_POOL_M, Underfoot.SOFT), (0.0, Underfoot.MUD)))


def _round(
    made: _Layers, shores: Sequence[BaseGeometry], ground: Ground, rings: Sequence[tuple[float, Underfoot]]
) -> None:
    """Lay rings round water: each class as far from the shore as it goes, m; the shore is half a cell off the water."""
    from scipy.ndimage import distance_transform_edt

    wet = burn(shores, ground.transform, ground.shape, leakless=False)
    if not wet.any():
        return
    rows, cols = (_window(axis, ground.shape[number]) for number, axis in enumerate(np.nonzero(wet)))
    away_m = distance_transform_edt(~wet[rows, cols], sampling=(ground.cell_y_m, ground.cell_x_m))
    half_cell_m = 0.5 * max(ground.cell_x_m, ground.cell_y_m)
    for beyond_m, underfoot in rings:
        near = np.zeros(ground.shape, dtype=np.bool_)
        near[rows, cols] = away_m <= (beyond_m + half_cell_m if beyond_m > 0.0 else 0.0)
        made.lay(near, underfoot, MudWhy.POOL)
