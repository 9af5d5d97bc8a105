"""Quantities and their people's units; SI inside, converted at the edge."""

from __future__ import annotations

from gardenwater.units.quantity import Quantity, UnitSystem

__all__ = ["Quantity", "UnitSystem"]
