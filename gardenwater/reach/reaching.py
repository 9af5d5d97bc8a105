"""Where one tank can water: the water reach map."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line
from gardenwater.reach.flowtable import flow_tables
from gardenwater.reach.map import ReachMap
from gardenwater.reach.passes import Floats, Passes, Start, Work, law_of
from gardenwater.reach.prepared import Prepared, as_prepared
from gardenwater.reach.reason import SLOWEST_MIN_PER_CAN
from gardenwater.work import Cancel, Progress, say, stop_if

_FINISH_CELLS = 500_000

Number = TypeVar("Number", bound=np.generic)


def water_reach(
    ground: Ground | Prepared,
    *,
    at: tuple[float, float],
    water_level_m: float,
    line: Line,
    barriers: Iterable[BaseGeometry] = (),
    can_l: float = 10.0,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> ReachMap:
    """Where a tank can water by gravity, how fast, and why not elsewhere: the water reach map.

    ground: levels, or a ground with its barriers from `prepare` (then `barriers` must be empty). at: x and y of the
    tank, m. water_level_m: level of the surface in the tank. barriers: shapes that the line goes round. can_l: size of
    the can, L. The line lies on the ground (or line_height_m above it), by the shortest way on which it is nowhere
    higher than the water drives the wanted flow; siphons are not counted. See `ReachMap` for the answer.

    Raises InputError for a tank off the grid or on ground without data, and for levels or cans that are no numbers.
    """
    prepared = as_prepared(ground, barriers, cancel, progress)
    start = _start(prepared, at)
    for name, value in (("water_level_m", water_level_m), ("can_l", can_l)):
        if not math.isfinite(value):
            raise InputError(f"{value!r} is not a level or a size.", where=name, mend="Give a finite number.")
    if can_l <= 0:
        raise InputError("A can of no size is never full.", where="can_l", mend="Give its litres, for example 10.")
    law = law_of(line, float(water_level_m))
    table_way, table_end = flow_tables(line)
    passes = Passes(
        level=_levels(prepared, start),
        shape=prepared.ground.shape,
        cell_m=(prepared.ground.cell_x_m, prepared.ground.cell_y_m),
        start=start,
        law=law,
        table=table_way,
        work=_empty(prepared.ground.level_m.size),
        cancel=cancel,
        progress=progress,
    )
    passes.run()
    return _finished(passes, prepared, table_end, at, float(water_level_m), line, float(can_l))


def _start(prepared: Prepared, at: tuple[float, float]) -> Start:
    x, y = at
    ground = prepared.ground
    cell = ground.cell_at(x, y) if math.isfinite(x) and math.isfinite(y) else None
    if cell is None:
        west, south, east, north = ground.bounds
        raise InputError(
            f"The tank at {x:g}, {y:g} stands off the ground.",
            where="at",
            mend=f"The ground goes from {west:g} to {east:g} east and {south:g} to {north:g} north.",
        )
    if math.isnan(prepared.stand_m[cell]):
        raise InputError(
            f"The ground has no level where the tank stands, at {x:g}, {y:g}.",
            where="at",
            mend="Move the tank to ground with a level, or add level pegs there.",
        )
    centre_x, centre_y = ground.centre_of(*cell)
    return Start(cell[0] * ground.shape[1] + cell[1], x - centre_x, centre_y - y)


def _levels(prepared: Prepared, start: Start) -> Floats:
    """The levels that bar the way, with the tank's own cell as the tank stands on it."""
    level = prepared.level_m.ravel()
    stands = prepared.stand_m.ravel()[start.cell]
    if level[start.cell] != stands:
        level = level.copy()
        level[start.cell] = stands
    return level


def _empty(size: int) -> Work:
    return Work(
        state=np.zeros(size, dtype=np.uint8),
        root=np.full(size, -1, dtype=np.int32),
        way=np.empty(size, dtype=np.float32),
        margin=np.empty(size, dtype=np.float32),
        flow=np.empty(size, dtype=np.float32),
    )


def _finished(
    passes: Passes,
    prepared: Prepared,
    table_end: Floats,
    at: tuple[float, float],
    water_level_m: float,
    line: Line,
    can_l: float,
) -> ReachMap:
    from gardenwater.reach.kernels_finish import finish

    work, size, shape = passes.work, passes.level.size, passes.shape
    head, minutes = np.empty(size, dtype=np.float32), np.empty(size, dtype=np.float32)
    region = prepared.region.ravel()
    row, col = divmod(passes.start.cell, shape[1])
    shut_off = prepared.shut_off(row, col) if region.size else np.empty(0, dtype=np.int8)
    law = passes.law.array()
    for first in range(0, size, _FINISH_CELLS):
        stop_if(passes.cancel)
        finish(
            passes.level, work.state, work.way, work.margin, work.flow, head, minutes, region, shut_off, table_end,
            law, line.flow_l_min, SLOWEST_MIN_PER_CAN, can_l, first, min(first + _FINISH_CELLS, size),
        )  # fmt: skip
    say(passes.progress, 1.0, "following the ground")
    return ReachMap(
        ground=prepared.ground,
        start=(float(at[0]), float(at[1])),
        water_level_m=water_level_m,
        line=line,
        can_l=can_l,
        distance_m=_grid(work.way, shape),
        residual_head_m=_grid(head, shape),
        flow_l_min=_grid(work.flow, shape),
        minutes_per_can=_grid(minutes, shape),
        margin_m=_grid(work.margin, shape),
        reason=_grid(work.state, shape),
        turns=_grid(work.root, shape),
        bars_m=passes.level.reshape(shape),
    )


def _grid(values: NDArray[Number], shape: tuple[int, int]) -> NDArray[Number]:
    grid = values.reshape(shape)
    grid.flags.writeable = False
    return grid
