"""The needed level: at every spot, the lowest water level in a tank there that serves a bed."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, friction_slope, velocity_head_m
from gardenwater.reach.prepared import Prepared, prepare
from gardenwater.work import Cancel, Progress, say, stop_if

_CHUNK = 100_000


def needed_level(
    ground: Ground | Prepared,
    *,
    line: Line,
    bed: Polygon | None = None,
    at: tuple[float, float] | None = None,
    barriers: Iterable[BaseGeometry] = (),
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> NDArray[np.float32]:
    """The least water level, at every cell, that serves a spot: float32 (rows, cols), m; NaN where no level does.

    bed: its highest cell is the spot, unless `at` (x, y) gives one. A line that lies on the ground takes the way on which it needs
    the lowest level: need(q) = max(need(p) + friction of the step, ground(q) + line height), with all fittings charged but the exit on
    the way, and lift, least head and exit at the spot. Where nothing passes (barriers, no data) it is NaN.
    It agrees with `water_reach`: a tank whose water stands at or over the needed level reaches the spot, but for a band of 0.5 % of the
    loss and 5 mm. Raises InputError when neither bed nor spot is given, and for one off the ground or where it has no level.
    """
    prepared = ground if isinstance(ground, Prepared) else prepare(ground, barriers=barriers, cancel=cancel)
    cell = _spot(prepared, bed, at)
    velocity_m = float(velocity_head_m(line.flow_l_min, line))
    on_the_way_m = (line.fittings_k - line.exit_k) * velocity_m
    level = prepared.level_m.ravel().astype(np.float64)
    spot_m = float(prepared.ground.level_m.ravel()[cell])
    bars = np.where(np.isnan(level), np.inf, level + line.line_height_m + on_the_way_m)
    bars[cell] = spot_m + line.line_height_m + on_the_way_m
    begin = max(bars[cell], spot_m + line.lift_m + line.least_head_m + line.fittings_k * velocity_m)
    return _spread(prepared, bars, cell, begin, float(friction_slope(line.flow_l_min, line)), cancel, progress)


def _spot(prepared: Prepared, bed: Polygon | None, at: tuple[float, float] | None) -> int:
    ground = prepared.ground
    cols = ground.shape[1]
    if at is not None:
        found = ground.cell_at(*at)
        if found is None or np.isnan(ground.level_m[found]):
            raise InputError("The spot has no level.", where="at", mend="Give a spot on the ground.")
        return found[0] * cols + found[1]
    if bed is None:
        raise InputError("There is nothing to serve.", where="bed", mend="Give a bed, or a spot.")
    inside = burn([bed], ground.transform, ground.shape) & np.isfinite(ground.level_m)
    if not inside.any():
        raise InputError("The bed lies where the ground has no level.", where="bed", mend="Move it, or add level pegs.")
    return int(np.argmax(np.where(inside, ground.level_m, -np.inf)))


def _spread(
    prepared: Prepared,
    bars: NDArray[np.float64],
    cell: int,
    begin_m: float,
    slope: float,
    cancel: Cancel | None,
    progress: Progress | None,
) -> NDArray[np.float32]:
    from gardenwater.reach import kernels_needed as kernels

    rows, cols = prepared.ground.shape
    need = np.full(bars.size, np.inf)
    root = np.full(bars.size, -1, dtype=np.int32)
    state = np.zeros(bars.size, dtype=np.uint8)
    keys, cells = np.empty(8 * bars.size + 8), np.empty(8 * bars.size + 8, dtype=np.int32)
    need[cell], root[cell], state[cell] = begin_m, cell, kernels.CHECKED
    keys[0], cells[0] = begin_m, cell
    sizes = np.array([1], dtype=np.int64)
    grid = (rows, cols, prepared.ground.cell_x_m, prepared.ground.cell_y_m)
    done = 0
    while kernels.spread(_CHUNK, bars, *grid, slope, need, root, state, keys, cells, sizes):
        stop_if(cancel)
        done += _CHUNK
        say(progress, min(done / bars.size, 1.0), "following the ground back")
    need[state != kernels.SETTLED] = np.nan
    found = need.reshape(rows, cols).astype(np.float32)
    found.flags.writeable = False
    return found
