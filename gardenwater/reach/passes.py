"""The passes over the ground from one tank: in sight, round corners, and what standing water still gets to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.hydraulics import Line, friction_slope, velocity_head_m
from gardenwater.reach.queue import Queue
from gardenwater.work import Cancel, Progress, say, stop_if

Floats = NDArray[np.float32]

_SWEEP_CELLS = 300_000
_SPREAD_CELLS = 60_000
_UNLIMITED = np.float32(1e30)


@dataclass(frozen=True, slots=True)
class Law:
    """What the water may do, in levels (m): `head_*` with nothing lost, the others at the wanted flow.

    a_way: level that the line may have on its way, at no distance; slope: what friction takes of it each metre.
    a_end: level that the ground may have at the end, lift and least head taken off. head_way, head_end: the same for
    standing water. All fittings but the exit are charged at the tank.
    """

    a_way: float
    slope: float
    head_way: float
    a_end: float
    head_end: float

    def array(self) -> NDArray[np.float64]:
        """For the kernels, in the order of the fields."""
        return np.array([self.a_way, self.slope, self.head_way, self.a_end, self.head_end])


def law_of(line: Line, water_level_m: float) -> Law:
    """The law of a line below a water level."""
    velocity_m = float(velocity_head_m(line.flow_l_min, line))
    head_way = water_level_m - line.line_height_m
    head_end = water_level_m - line.lift_m - line.least_head_m
    return Law(
        a_way=head_way - (line.fittings_k - line.exit_k) * velocity_m,
        slope=float(friction_slope(line.flow_l_min, line)),
        head_way=head_way,
        a_end=head_end - line.fittings_k * velocity_m,
        head_end=head_end,
    )


@dataclass(frozen=True, slots=True)
class Stage:
    """One pass round corners: a cell is entered while its level is at most a_way - slope x way.

    Bits of the state: opened, which cells it may begin on; have, which have a way; final, whose way stays as it is;
    mark, what a cell that it settles gets.
    """

    a_way: float
    slope: float
    opened: np.uint8
    have: np.uint8
    final: np.uint8
    mark: np.uint8


@dataclass(frozen=True, slots=True)
class Start:
    """Where the tank stands: its cell, and how far it stands off the cell's centre, east and south, m."""

    cell: int
    off_x_m: float
    off_y_m: float


@dataclass(slots=True)
class Work:
    """The arrays that the passes fill, flat; what they mean stands in `kernels_sight`."""

    state: NDArray[np.uint8]
    root: NDArray[np.int32]
    way: Floats
    margin: Floats
    flow: Floats


@dataclass(frozen=True, slots=True)
class Passes:
    """The ground, the tank and the law of one water reach map, and the arrays that are filled."""

    level: Floats
    shape: tuple[int, int]
    cell_m: tuple[float, float]
    start: Start
    law: Law
    table: Floats
    work: Work
    cancel: Cancel | None
    progress: Progress | None

    @property
    def place(self) -> tuple[Any, ...]:
        """For the kernels: rows, columns, the tank's cell, cell width and height, offsets."""
        return (*self.shape, self.start.cell, *self.cell_m, self.start.off_x_m, self.start.off_y_m)

    def run(self) -> None:
        """Fill the arrays."""
        from gardenwater.reach.kernels_sight import CREPT, FLOWS, OPEN, OPEN_STILL, STILL

        self._settle_tank()
        self._sweep()
        say(self.progress, 0.5, "following the ground")
        self._spread(Stage(self.law.a_way, self.law.slope, OPEN, FLOWS, np.uint8(0), FLOWS))
        say(self.progress, 0.7, "following the ground")
        # what the wanted flow reaches keeps its way: standing water only goes on from there
        self._spread(Stage(self.law.head_way, 0.0, OPEN_STILL, FLOWS | STILL | CREPT, FLOWS | STILL, CREPT))

    def _settle_tank(self) -> None:
        """The tank's own cell: free, though a barrier touch it, and with nothing before it that could bind."""
        from gardenwater.reach.kernels_sight import DONE, FLOWS, OPEN, OPEN_STILL, STILL

        cell, work = self.start.cell, self.work
        z = float(self.level[cell])
        if z <= self.law.head_way:
            work.state[cell] = OPEN_STILL | STILL | DONE
            work.root[cell] = cell
        if z <= self.law.a_way:
            work.state[cell] |= OPEN | FLOWS
        work.way[cell] = np.hypot(self.start.off_x_m, self.start.off_y_m)
        work.margin[cell] = work.flow[cell] = _UNLIMITED

    def _sweep(self) -> None:
        from gardenwater.reach.kernels_sweep import sweep

        if not self.work.state[self.start.cell]:
            return
        rows, cols = self.shape
        step = max(1, _SWEEP_CELLS // cols)
        law, place, work = self.law.array(), self.place, self.work
        for first in range(0, rows, step):
            stop_if(self.cancel)
            sweep(
                self.level, work.state, work.root, work.way, work.margin, work.flow, self.table, law, place,
                first, min(first + step, rows),
            )  # fmt: skip

    def _spread(self, stage: Stage) -> None:
        from gardenwater.reach.kernels_spread import FINISHED, GROW, seed, spread

        if not self.work.state[self.start.cell] & stage.have:
            return
        rows, cols = self.shape
        queue = Queue.empty(width=min(self.cell_m), slots=4 * cols + 4096)
        law, place, work = self.law.array(), self.place, self.work
        step, row = max(1, _SWEEP_CELLS // cols), 0
        while row < rows:
            stop_if(self.cancel)
            end = min(row + step, rows)
            row = seed(
                self.level, work.state, work.root, work.way, place,
                stage.a_way, stage.slope, stage.opened, stage.have, *queue.arrays, row, end,
            )  # fmt: skip
            if row < end:
                queue.grow()
        status = -1
        while status != FINISHED:
            stop_if(self.cancel)
            status = spread(
                self.level, work.state, work.root, work.way, work.margin, work.flow, self.table, law, place,
                stage.a_way, stage.slope, stage.have, stage.final, stage.mark, *queue.arrays, _SPREAD_CELLS,
            )  # fmt: skip
            if status == GROW:
                queue.grow()
