"""What the roofs pass to the downpipes, the diverters to the tanks, and what leaves them on a wet day."""

from __future__ import annotations

from gardenwater.catch.capacity import (
    Capacities,
    Capacity,
    capacities,
    effective_area_m2,
    gutter_carries_l_s,
    outlet_carries_l_s,
    pipe_carries_l_s,
)
from gardenwater.catch.leads import Joined, Unjoined, Wiring, wiring
from gardenwater.catch.litres import PipeYield, Yields, year_yields, yields
from gardenwater.catch.planes import Assumption, Plane, RoofShape, roof_shape
from gardenwater.catch.rooflines import RoofLines, roof_lines
from gardenwater.catch.running import led_aside, runs_of_mm
from gardenwater.catch.sharing import RoofPart, parts
from gardenwater.catch.spilling import RainAccount, Spills, SpillSource, SpillWhy, spills, typed_spills

__all__ = [
    "Assumption",
    "Capacities",
    "Capacity",
    "Joined",
    "PipeYield",
    "Plane",
    "RainAccount",
    "RoofLines",
    "RoofPart",
    "RoofShape",
    "SpillSource",
    "SpillWhy",
    "Spills",
    "Unjoined",
    "Wiring",
    "Yields",
    "capacities",
    "effective_area_m2",
    "gutter_carries_l_s",
    "led_aside",
    "outlet_carries_l_s",
    "parts",
    "pipe_carries_l_s",
    "roof_lines",
    "roof_shape",
    "runs_of_mm",
    "spills",
    "typed_spills",
    "wiring",
    "year_yields",
    "yields",
]
