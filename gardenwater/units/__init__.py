"""Quantities and their people's units; SI inside, converted at the edge."""

from __future__ import annotations

from gardenwater.units.quantity import Quantity, UnitSystem
from gardenwater.units.scales import FOOT_M
from gardenwater.units.shown import (
    PLAIN,
    Marks,
    can_time,
    decimals,
    exact_text,
    long_time,
    range_text,
    step,
    text,
    unit_word,
)
from gardenwater.units.typed import parse

__all__ = [
    "FOOT_M",
    "PLAIN",
    "Marks",
    "Quantity",
    "UnitSystem",
    "can_time",
    "decimals",
    "exact_text",
    "long_time",
    "parse",
    "range_text",
    "step",
    "text",
    "unit_word",
]
