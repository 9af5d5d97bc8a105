"""How fast the store runs: 30 years by day for 10 tanks and 20 beds, and a thousand variants of it.

Run with `pytest tests/perf/test_balance.py -o addopts=--import-mode=importlib --benchmark-columns=min,median -s`.
Measures; asserts no time. Aimed at: under 20 ms once, at most 30 ns for a tank or bed on a day; 1,000 variants in under
10 s on two cores, with progress, memory flat. Held against a plain loop over numpy arrays in the same run: all tanks
at once, each with a fixed need, without links, beds or levels.
"""

from __future__ import annotations

import resource
import sys
import time
from dataclasses import replace

import numpy as np
import pytest
from shapely import box

from gardenwater.assess.lasting_sizes import many_totals, with_tanks
from gardenwater.balance import Course, Feed, Gather, Pipe, Plot, Shape, Store, System, course, run_course, totals_of
from gardenwater.demand import bed_days, common_sky, open_water_mm
from gardenwater.site.things import Bed
from gardenwater.weather import Monthly, make_days, reference_et

YEARS, TANKS, BEDS, VARIANTS = 30, 10, 20, 1000
PLACE = {"latitude_deg": 51.0, "altitude_m": 50.0}
CROPS = ("lettuce", "cabbage", "green-beans", "carrots", "courgettes")
SKY = Monthly(
    rain_mm=(70, 50, 48, 46, 45, 40, 38, 42, 50, 72, 76, 72),
    wet_days=(15, 12, 11, 10, 9, 8, 7, 8, 9, 12, 14, 15),
    t_min_c=(2, 2, 3, 5, 8, 10, 12, 12, 10, 8, 5, 3),
    t_max_c=(8, 8, 11, 14, 17, 20, 22, 22, 19, 15, 11, 8),
)


@pytest.fixture(scope="module")
def garden() -> tuple[System, Course]:
    """Ten tanks, two pairs of them linked, two lying; twenty beds that each can get water from some of them."""
    weather = make_days(SKY, YEARS, 1)
    et0 = reference_et(weather, **PLACE)
    sky = common_sky(weather, et0, **PLACE)
    random = np.random.default_rng(1)
    tanks = tuple(
        Store(
            id=f"t{at}",
            shape=(Shape.lying if at % 5 == 4 else Shape.straight)(1.5, 1.2),
            floor_level_m=10.0 - 0.4 * at,
            rim_height_m=1.2,
            outlet_height_m=0.06,
            start_m3=1.0,
        )
        for at in range(TANKS)
    )
    beds = tuple(
        Plot(
            id=f"b{at}",
            area_m2=float(12 + 3 * (at % 5)),
            needed_level_m=np.where(random.random(TANKS) < 0.6, 6.5 + 3.0 * random.random(TANKS), np.nan),
            minutes_per_l=np.full(TANKS, 0.2),
            days=bed_days(
                Bed(id=f"b{at}", shape=box(0, 0, 3, 4 + at % 5), crop=CROPS[at % 5]), weather, et0, **PLACE, sky=sky
            ),
        )
        for at in range(BEDS)
    )
    links = (
        Pipe(id="one", first="t0", second="t1", level_m=10.1),
        Pipe(id="two", first="t4", second="t5", level_m=8.6),
    )
    gathers = tuple(
        Gather(
            id=f"p{at}",
            m3_mm=0.025,
            first_flush_m3=0.02 * (at % 3 == 0),
            feeds=(Feed(id=f"d{at}", tank=f"t{at}", stops=at % 2 == 0, share=0.9),),
        )
        for at in range(TANKS)
    )
    system = System(tanks=tanks, links=links, gathers=gathers, beds=beds)
    return system, course(system, weather, runoff_mm=sky.water_mm, evaporation_mm=open_water_mm(et0))


def thing_days(days: Course) -> int:
    return days.days * (TANKS + BEDS)


def plain_tanks(days: Course) -> float:
    """Yield after spillage of all tanks at once, a day at a time, by numpy: seconds for the same days."""
    runs = days.runoff_mm[:, None] * np.full(TANKS, 0.025)
    need, most, volume = np.full(TANKS, 0.05), np.full(TANKS, 1.5), np.full(TANKS, 1.0)
    met = np.zeros(TANKS)
    begun = time.perf_counter()
    for day in range(days.days):
        drawn = np.minimum(need, volume)
        volume = np.minimum(volume + runs[day] - drawn, most - drawn)
        met += drawn
    assert met.sum() > 0.0
    return time.perf_counter() - begun


def test_thirty_years_of_ten_tanks_and_twenty_beds(benchmark, garden: tuple[System, Course]) -> None:
    _, days = garden
    found = benchmark.pedantic(run_course, garden, warmup_rounds=2, rounds=15)
    assert found.residual_m3 < 1e-9 * found.moved_m3
    assert 0.05 < found.share_met_volume < 0.999
    best = benchmark.stats.stats.min
    plain = min(plain_tanks(days) for _ in range(3))
    benchmark.extra_info |= {"ns_a_thing_day": best / thing_days(days) * 1e9, "of_numpy_tanks": best / plain}
    print(f"\n{1e9 * best / thing_days(days):.0f} ns a thing-day, {best / plain:.2f} of the tanks alone by numpy")


def test_thirty_years_without_their_days(benchmark, garden: tuple[System, Course]) -> None:
    found = benchmark.pedantic(totals_of, garden, warmup_rounds=2, rounds=15)
    assert found.need_l.size == YEARS
    best = benchmark.stats.stats.min
    print(f"\n{1e9 * best / thing_days(garden[1]):.0f} ns a thing-day")


def test_a_thousand_variants_on_two_cores(benchmark, garden: tuple[System, Course]) -> None:
    system, days = garden
    variants = [with_tanks(system, factor) for factor in np.linspace(0.2, 8.0, VARIANTS)]
    said: list[float] = []

    def all_of_them() -> int:
        return sum(1 for _ in many_totals(variants, days, progress=lambda share, _: said.append(share)))

    totals_of(replace(system), days)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert benchmark.pedantic(all_of_them, rounds=1) == VARIANTS
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / (
        1024 if sys.platform != "darwin" else 2**20
    )
    assert said == sorted(said)
    assert said[-1] == 1.0
    took, plain = benchmark.stats.stats.min, plain_tanks(days)
    each = took / plain / VARIANTS
    print(f"\n{took:.1f} s, {each:.2f} of the tanks alone by numpy for each; {grown:.0f} MB more memory")
