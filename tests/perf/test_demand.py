"""How fast beds are run, beside one pass over the same memory. Measures; asserts no time.

Run with `pytest tests/perf/test_demand.py -o addopts=--import-mode=importlib --benchmark-columns=min,median -s`.
Aimed at: at most 30 ns for a bed and a day; a bed's thirty years made ready in under 10 ms.
"""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

import numpy as np
import pytest
from shapely import box

from gardenwater.demand import BedStack, bed_days, common_sky, kernels_zone, stack
from gardenwater.demand.records_zone import PAST
from gardenwater.site.things import Bed
from gardenwater.weather import Weather, reference_et

YEARS, BEDS = 30, 20
PLACE = {"latitude_deg": 45.0, "altitude_m": 100.0}
CROPS = ("tomatoes", "lettuce", "potatoes", "mixed-vegetables", "apples")


@cache
def weather() -> Weather:
    """Thirty years: a sine of temperatures, rain on three days of ten."""
    days = (dt.date(1990 + YEARS, 1, 1) - dt.date(1990, 1, 1)).days
    random = np.random.default_rng(1)
    mean = 15.0 - 10.0 * np.cos(2.0 * np.pi * (np.arange(days) - 15) / 365.25) + random.normal(0.0, 2.0, days)
    rain = np.where(random.random(days) < 0.3, random.gamma(0.7, 9.0, days), 0.0)
    return Weather(start=dt.date(1990, 1, 1), rain_mm=rain, t_min_c=mean - 5.0, t_max_c=mean + 5.0)


def bed(number: int) -> Bed:
    """A bed with one of the crops."""
    return Bed(id=f"bed-{number}", shape=box(0.0, 0.0, 5.0, 2.0), crop=CROPS[number % len(CROPS)])


@cache
def beds() -> BedStack:
    """Twenty beds over thirty years."""
    et0_mm = reference_et(weather(), **PLACE)
    sky = common_sky(weather(), et0_mm, **PLACE)
    return stack([bed_days(bed(number), weather(), et0_mm, **PLACE, sky=sky) for number in range(BEDS)])


@pytest.mark.benchmark(group="thirty years of twenty beds")
def test_the_beds_are_run(benchmark: Any) -> None:
    block, past = beds(), np.zeros(beds().days.shape, dtype=PAST)

    def run() -> None:
        kernels_zone.run(block.days, block.beds, block.state.copy(), past)

    run()
    benchmark(run)
    benchmark.extra_info["ns a bed-day"] = benchmark.stats.stats.min * 1e9 / block.days.size


@pytest.mark.benchmark(group="thirty years of twenty beds")
def test_the_same_memory_is_read_and_written_once(benchmark: Any) -> None:
    days, past = beds().days, np.zeros(beds().days.shape, dtype=PAST)

    def copy() -> None:
        past["depletion_mm"] = days["water_mm"]
        for name in ("transpiration_mm", "drying_mm", "bare"):
            past["depletion_mm"] += days[name]

    benchmark(copy)


@pytest.mark.benchmark(group="one bed")
def test_a_beds_days_are_made_ready(benchmark: Any) -> None:
    et0_mm = reference_et(weather(), **PLACE)
    sky = common_sky(weather(), et0_mm, **PLACE)
    benchmark(lambda: bed_days(bed(0), weather(), et0_mm, **PLACE, sky=sky))
