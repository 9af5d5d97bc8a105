"""Where spilled water goes: its ways, the hollows it fills, what takes it, where it leaves."""

from __future__ import annotations

from gardenwater.overflow.asking import spill, spill_all
from gardenwater.overflow.lie import Wetness, wetness
from gardenwater.overflow.model import End, Exit, Fate, Pool, Route, Source, Spill, Taken, Taker
from gardenwater.overflow.mud import MUD_FROM_H, Mud, MudWhy, Underfoot, before_spill, muddy
from gardenwater.overflow.placing import Placed, place
from gardenwater.overflow.stretches import PUDDLE_M3
from gardenwater.overflow.surface import Prepared, prepare

__all__ = [
    "MUD_FROM_H",
    "PUDDLE_M3",
    "End",
    "Exit",
    "Fate",
    "Mud",
    "MudWhy",
    "Placed",
    "Pool",
    "Prepared",
    "Route",
    "Source",
    "Spill",
    "Taken",
    "Taker",
    "Underfoot",
    "Wetness",
    "before_spill",
    "muddy",
    "place",
    "prepare",
    "spill",
    "spill_all",
    "wetness",
]
