"""Where a tank can deliver by gravity, how fast, and how high it must stand for a bed."""

from __future__ import annotations

from gardenwater.hydraulics import Line, flow_l_min, head_loss_m
from gardenwater.reach.map import ReachMap, Spot
from gardenwater.reach.needed import delivery_spot, needed_level
from gardenwater.reach.prepared import Prepared, coarse, prepare
from gardenwater.reach.reaching import water_reach
from gardenwater.reach.reason import Reason

__all__ = [
    "Line",
    "Prepared",
    "ReachMap",
    "Reason",
    "Spot",
    "coarse",
    "delivery_spot",
    "flow_l_min",
    "head_loss_m",
    "needed_level",
    "prepare",
    "water_reach",
]
