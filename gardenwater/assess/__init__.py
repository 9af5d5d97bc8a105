"""Runs the engines on a site and keeps what was worked out for as long as its inputs are the same."""

from __future__ import annotations

from gardenwater.assess.answers import (
    Answers,
    BedReach,
    BestReach,
    CatchAnswer,
    OverflowAnswer,
    ReachAnswer,
    SourceEnd,
    Status,
    Sureness,
    TankReach,
    WaterAccount,
)

__all__ = [
    "Answers",
    "BedReach",
    "BestReach",
    "CatchAnswer",
    "OverflowAnswer",
    "ReachAnswer",
    "SourceEnd",
    "Status",
    "Sureness",
    "TankReach",
    "WaterAccount",
]
