"""The passes over the ground from one tank: in sight, round corners, and what standing water still gets to."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gardenwater.hydraulics import Line, charge_m, friction_slope, wanted_head_m
from gardenwater.reach.kernels_records import Cells, Errors, Floats, Law, Place, Stage
from gardenwater.reach.queue import empty_queue, grown
from gardenwater.work import Cancel, Progress, say, stop_if

_SWEEP_CELLS = 300_000
_SPREAD_CELLS = 60_000
UNLIMITED = 1e30

WORDS = "following the ground"


def law_of(line: Line, water_level_m: float) -> Law:
    """The law of a line below a water level."""
    charge = float(charge_m(line.flow_l_min, line))
    head_way = water_level_m - line.line_height_m
    return Law(
        a_way=head_way - charge,
        slope=float(friction_slope(line.flow_l_min, line)),
        head_way=head_way,
        a_end=water_level_m - wanted_head_m(line) - charge,
        head_end=water_level_m - line.held_back_m,
    )


def empty_cells(level: Floats) -> Cells:
    """Arrays over these levels (flat) in which nothing has a way.

    Levels are read only in it, whatever they were: for arrays that can be written the kernels would be compiled again.
    """
    level = level.view()
    level.flags.writeable = False
    return Cells(
        level=level,
        state=np.zeros(level.size, dtype=np.uint8),
        root=np.full(level.size, -1, dtype=np.int32),
        way=np.empty(level.size, dtype=np.float32),
        margin=np.empty(level.size, dtype=np.float32),
        sure=np.empty(level.size, dtype=np.float32),
        flow=np.empty(level.size, dtype=np.float32),
    )


@dataclass(frozen=True, slots=True)
class Start:
    """What the way up to where the passes begin leaves.

    margin_m, flow_l_min: the least head over the line, and the least flow, of its points. sure_m: the least margin less
    the error of the ground. stands: standing water comes up to there.
    """

    margin_m: float = UNLIMITED
    sure_m: float = UNLIMITED
    flow_l_min: float = UNLIMITED
    stands: bool = True


@dataclass(frozen=True, slots=True)
class Passes:
    """The arrays of one water reach map, filled by `run`. table: flows at points of the way, see `flow_tables`."""

    cells: Cells
    place: Place
    law: Law
    table: Floats
    errors: Errors
    start: Start
    cancel: Cancel | None
    progress: Progress | None

    def run(self) -> None:
        """Give every cell that water gets to its way, margin and flow."""
        from gardenwater.reach.kernels_sight import CREPT, FLOWS, OPEN, OPEN_STILL, STILL

        self._settle_tank()
        self._sweep()
        say(self.progress, 0.5, WORDS)
        self._spread(Stage(self.law.a_way, self.law.slope, OPEN, FLOWS, np.uint8(0), FLOWS))
        say(self.progress, 0.7, WORDS)
        # what the wanted flow reaches keeps its way: standing water only goes on from there
        self._spread(Stage(self.law.head_way, 0.0, OPEN_STILL, FLOWS | STILL | CREPT, FLOWS | STILL, CREPT))

    def _settle_tank(self) -> None:
        """The tank's own cell: free, though a barrier touch it; what lies before it may bind."""
        from gardenwater.reach.kernels_sight import DONE, FLOWS, OPEN, OPEN_STILL, STILL

        cells, tank = self.cells, self.place.tank
        z = float(cells.level[tank])
        if z <= self.law.head_way and self.start.stands:
            cells.state[tank] = OPEN_STILL | STILL | DONE
            cells.root[tank] = tank
        if z <= self.law.a_way and self.start.stands and self.start.margin_m >= 0.0:
            cells.state[tank] |= OPEN | FLOWS
        cells.way[tank] = math.hypot(self.place.off_x, self.place.off_y)
        cells.margin[tank], cells.sure[tank] = self.start.margin_m, self.start.sure_m
        cells.flow[tank] = self.start.flow_l_min

    def _sweep(self) -> None:
        from gardenwater.reach.kernels_sweep import sweep

        if not self.cells.state[self.place.tank]:
            return
        step = self._rows_at_once
        for first in range(0, self.place.rows, step):
            stop_if(self.cancel)
            sweep(self.cells, self.table, self.law, self.errors, self.place, first, min(first + step, self.place.rows))

    def _spread(self, stage: Stage) -> None:
        from gardenwater.reach.kernels_spread import FINISHED, GROW, seed, spread

        if not self.cells.state[self.place.tank] & stage.have:
            return
        queue = empty_queue(width=min(self.place.cell_x, self.place.cell_y), slots=4 * self.place.cols + 4096)
        row = 0
        while row < self.place.rows:
            stop_if(self.cancel)
            end = min(row + self._rows_at_once, self.place.rows)
            row = seed(self.cells, self.place, stage, queue, row, end)
            if row < end:
                queue = grown(queue)
        status = -1
        while status != FINISHED:
            stop_if(self.cancel)
            status = spread(self.cells, self.table, self.law, self.errors, self.place, stage, queue, _SPREAD_CELLS)
            if status == GROW:
                queue = grown(queue)

    @property
    def _rows_at_once(self) -> int:
        return max(1, _SWEEP_CELLS // self.place.cols)
