"""The store, day by day: what comes in, what the beds are given, what spills, every litre of it."""

from __future__ import annotations

from gardenwater.balance.model import Feed, Gather, Pipe, Plot, Rules, Shape, Store, System
from gardenwater.balance.result import ORDER, ORDER_AFTER_RAIN, Balance
from gardenwater.balance.summary import YearFigures, longest_run, year_figures
from gardenwater.site.storing import BedOrder, TankOrder, YieldRule

__all__ = [
    "ORDER",
    "ORDER_AFTER_RAIN",
    "Balance",
    "BedOrder",
    "Feed",
    "Gather",
    "Pipe",
    "Plot",
    "Rules",
    "Shape",
    "Store",
    "System",
    "TankOrder",
    "YearFigures",
    "YieldRule",
    "longest_run",
    "year_figures",
]
