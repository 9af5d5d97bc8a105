"""The store, day by day: what comes in, what the beds are given, what spills, every litre of it."""

from __future__ import annotations

from gardenwater.balance.course import Course, course, runs_off
from gardenwater.balance.model import Feed, Gather, Pipe, Plot, Rules, Shape, Store, System
from gardenwater.balance.result import ORDER, ORDER_AFTER_RAIN, Balance
from gardenwater.balance.running import Totals, run, run_course, totals_of
from gardenwater.balance.summary import YearFigures, longest_run, year_figures
from gardenwater.site.storing import BedOrder, TankOrder, YieldRule

__all__ = [
    "ORDER",
    "ORDER_AFTER_RAIN",
    "Balance",
    "BedOrder",
    "Course",
    "Feed",
    "Gather",
    "Pipe",
    "Plot",
    "Rules",
    "Shape",
    "Store",
    "System",
    "TankOrder",
    "Totals",
    "YearFigures",
    "YieldRule",
    "course",
    "longest_run",
    "run",
    "run_course",
    "runs_off",
    "totals_of",
    "year_figures",
]
