"""How stored water is used: rules that people choose among."""

from __future__ import annotations

from enum import StrEnum


class YieldRule(StrEnum):
    """Whether a day's draw is decided before the day's rain or after it."""

    AFTER_SPILL = "before the rain"
    BEFORE_SPILL = "after the rain"


class TankOrder(StrEnum):
    """From which tank a bed is served first, of those that can."""

    LOWEST = "lowest tank first"
    FULLEST = "fullest tank first"
    LISTED = "as listed"


class BedOrder(StrEnum):
    """Which bed is served first."""

    DRIEST = "driest bed first"
    LISTED = "as listed"
    SMALLEST = "smallest want first"
