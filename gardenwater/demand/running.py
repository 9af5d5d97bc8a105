"""A bed by itself, with all the water it asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.model import BedDays, stack
from gardenwater.demand.records_zone import PAST, Records

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class BedRun:
    """What became of a bed's water, mm over the bed; float64 (days,).

    water_mm: rain and thaw. need_mm: what it asked for, and was given. evaporated_mm, transpired_mm: from the soil, and
    by the plants. passed_mm: lost below the deepest roots. depletion_mm: of the root zone at the end of the day;
    deep_mm: of the soil below it. start_mm: of both, before the first day.
    """

    water_mm: Floats
    need_mm: Floats
    evaporated_mm: Floats
    transpired_mm: Floats
    passed_mm: Floats
    depletion_mm: Floats
    deep_mm: Floats
    start_mm: float

    @property
    def residual_mm(self) -> float:
        """What came less what went and what is kept, from what is reported; 0 but for rounding."""
        came = float(self.water_mm.sum() + self.need_mm.sum())
        went = float(self.evaporated_mm.sum() + self.transpired_mm.sum() + self.passed_mm.sum())
        return came - went - (self.start_mm - float(self.depletion_mm[-1] + self.deep_mm[-1]))


def run_bed(days: BedDays) -> BedRun:
    """Run a bed over its days with all the water that its rule asks for: what it would need."""
    from gardenwater.demand import kernels_zone

    block = stack([days])
    state: Records = block.state.copy()
    past = np.zeros(block.days.shape, dtype=PAST)
    kernels_zone.run(block.days, block.beds, state, past)
    return BedRun(
        water_mm=days.table["water_mm"],
        need_mm=past["need_mm"][:, 0],
        evaporated_mm=past["evaporated_mm"][:, 0],
        transpired_mm=past["transpired_mm"][:, 0],
        passed_mm=past["passed_mm"][:, 0],
        depletion_mm=past["depletion_mm"][:, 0],
        deep_mm=past["deep_mm"][:, 0],
        start_mm=float(days.state["root_mm"] + days.state["deep_mm"]),
    )
