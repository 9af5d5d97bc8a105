"""Where one tank can water: the water reach map."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.hydraulics import Drive, Line
from gardenwater.reach.error import UNKNOWN_M, LevelError
from gardenwater.reach.flowtable import flow_tables
from gardenwater.reach.kernels_records import Cells, Floats, Place
from gardenwater.reach.map import ReachMap
from gardenwater.reach.passes import UNLIMITED, WORDS, Passes, Start, empty_cells, law_of
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
    before: Drive | None = None,
    error: LevelError | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> ReachMap:
    """Where a tank can water by gravity, how fast, and why not elsewhere: the water reach map.

    ground: levels, or a ground with its barriers from `prepare` (then `barriers` must be empty). at: x and y of the
    tank, m. water_level_m: level of the surface in the tank. barriers: shapes that the line goes round. can_l: size of
    the can, L. The line lies on the ground (or line_height_m above it), by the shortest way on which it is nowhere
    higher than the water drives the wanted flow; siphons are not counted. See `ReachMap` for the answer.
    before: what the pieces before the line's last let through on their own way, where these are laid from the tank and
    the last is carried on from `at` (see `hydraulics.drive_before`). error: how wrong levels are, for what is surely in
    reach; without it all that is in reach is.

    Raises InputError for a tank off the grid or on ground without data, and for levels or cans that are no numbers.
    """
    asked = _Asked((float(at[0]), float(at[1])), float(water_level_m), line, float(can_l))
    prepared = as_prepared(ground, barriers, cancel, progress)
    place = _place(prepared, asked.at)
    table_way, table_end = flow_tables(line)
    cells = empty_cells(_levels(prepared, place.tank))
    wrong = error or LevelError()
    start = _start(asked, before, wrong, prepared.ground)
    law, errors = law_of(line, asked.water_level_m), wrong.errors(prepared.ground)
    passes = Passes(cells, place, law, table_way, errors, start, cancel, progress)
    passes.run()
    head, minutes = _finish(passes, prepared, table_end, asked)
    say(progress, 1.0, WORDS)
    return _answer(prepared, cells, head, minutes, asked)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is asked of `water_reach`, in range."""

    at: tuple[float, float]
    water_level_m: float
    line: Line
    can_l: float

    def __post_init__(self) -> None:
        for name, value in (("water_level_m", self.water_level_m), ("can_l", self.can_l)):
            if not math.isfinite(value):
                raise InputError(f"{value!r} is not a level or a size.", where=name, mend="Give a finite number.")
        if self.can_l <= 0:
            raise InputError("A can of no size is never full.", where="can_l", mend="Give its litres, for example 10.")


def _start(asked: _Asked, before: Drive | None, wrong: LevelError, ground: Ground) -> Start:
    """What is left at the start after the pieces that are laid up to it."""
    if before is None:
        return Start()
    level_m = asked.water_level_m
    margin_m = min(level_m - before.level_for(asked.line.flow_l_min), UNLIMITED)
    # no point that is laid up to the start lies farther from the tank than the start does
    error_m = float(wrong.relative_m(np.zeros(1), wrong.at(ground, *asked.at))[0])
    return Start(
        margin_m=margin_m,
        sure_m=margin_m - (UNKNOWN_M if math.isnan(error_m) else error_m),
        flow_l_min=min(float(before.flow_at(level_m)), UNLIMITED),
        stands=level_m > before.least_level_m,
    )


def _place(prepared: Prepared, at: tuple[float, float]) -> Place:
    ground = prepared.ground
    x, y = at
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
    rows, cols = ground.shape
    centre_x, centre_y = ground.centre_of(*cell)
    return Place(rows, cols, cell[0] * cols + cell[1], ground.cell_x_m, ground.cell_y_m, x - centre_x, centre_y - y)


def _levels(prepared: Prepared, tank: int) -> Floats:
    """The levels that bar the way, with the tank's own cell as the tank stands on it."""
    level = prepared.level_m.ravel()
    stands = prepared.stand_m.flat[tank]
    if level[tank] != stands:
        level = level.copy()
        level[tank] = stands
    return level


def _finish(passes: Passes, prepared: Prepared, table_end: Floats, asked: _Asked) -> tuple[Floats, Floats]:
    """Turn the passes' arrays into answers, in place; returns head and minutes."""
    from gardenwater.reach.kernels_finish import finish

    cells, place = passes.cells, passes.place
    head, minutes = np.empty_like(cells.way), np.empty_like(cells.way)
    region = prepared.region.ravel()
    shut_off = prepared.shut_off(*divmod(place.tank, place.cols)) if region.size else np.empty(0, dtype=np.int8)
    for first in range(0, head.size, _FINISH_CELLS):
        stop_if(passes.cancel)
        finish(
            cells, head, minutes, region, shut_off, table_end, passes.law, passes.errors,
            asked.line.flow_l_min, SLOWEST_MIN_PER_CAN, asked.can_l, first, min(first + _FINISH_CELLS, head.size),
        )  # fmt: skip
    return head, minutes


def _answer(prepared: Prepared, cells: Cells, head: Floats, minutes: Floats, asked: _Asked) -> ReachMap:
    shape = prepared.ground.shape
    return ReachMap(
        ground=prepared.ground,
        start=asked.at,
        water_level_m=asked.water_level_m,
        line=asked.line,
        can_l=asked.can_l,
        distance_m=_grid(cells.way, shape),
        residual_head_m=_grid(head, shape),
        flow_l_min=_grid(cells.flow, shape),
        minutes_per_can=_grid(minutes, shape),
        margin_m=_grid(cells.margin, shape),
        sure_m=_grid(cells.sure, shape),
        reason=_grid(cells.state, shape),
        turns=_grid(cells.root, shape),
        bars_m=_grid(cells.level, shape),
    )


def _grid(values: NDArray[Number], shape: tuple[int, int]) -> NDArray[Number]:
    grid = values.reshape(shape)
    grid.flags.writeable = False
    return grid
