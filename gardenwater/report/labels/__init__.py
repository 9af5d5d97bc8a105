"""Words on the plan: blocks at their signs, then words along lines."""

from __future__ import annotations

from gardenwater.report.labels.along import LineWords, PlacedWords, place_along
from gardenwater.report.labels.buckets import Costs
from gardenwater.report.labels.model import Hurdle, Label, Leader, Line, Placed, Setting
from gardenwater.report.labels.placing import place

__all__ = [
    "Costs",
    "Hurdle",
    "Label",
    "Leader",
    "Line",
    "LineWords",
    "Placed",
    "PlacedWords",
    "Setting",
    "place",
    "place_along",
]
