"""How fast reach is, beside a general-purpose shortest-way engine on the same ground. Measures; asserts no time.

Run with `pytest tests/perf/test_reach.py -o addopts=--import-mode=importlib --benchmark-columns=min,median -s`.
Aimed at: the exact map on 1,000 x 1,000 cells in a quarter of the time of skimage's MCP_Geometric at a tenth of its
distance error; it and the needed level in 1.5 times a bare pass over 16 neighbours, which gives distances alone, 2.7 %
wrong; ten tanks in 1.2 times ten by themselves shared among the cores; a thinned map in under 5 ms; 4,000 x 4,000 cells
in under 1.5 GiB. Ratios are taken in turns in one process, by processor time but where cores are shared.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable
from functools import cache, partial
from typing import Any

import numpy as np
import pytest
from affine import Affine
from numpy.typing import NDArray
from shapely import Polygon, box
from skimage.graph import MCP_Geometric

from gardenwater.ground import Ground
from gardenwater.hydraulics import Line
from gardenwater.reach import Prepared, ReachMap, needed_level, prepare, side_by_side, water_reach
from tests.perf.bare_pass import bare_ways

CELLS = 1000
AT = (500.3, 500.2)
LINE = Line(25, flow_l_min=10.0)
LEVEL_M = 8.0


def levels(kind: str, cells: int = CELLS) -> NDArray[np.float32]:
    """Flat; or a garden: tilt, terraces, hummocks, 5 mm of noise in each cell."""
    if kind == "flat":
        return np.zeros((cells, cells), dtype=np.float32)
    y, x = np.mgrid[:cells, :cells].astype(np.float32)
    noise = np.random.default_rng(1).normal(0.0, 0.005, (cells, cells))
    tilt = 0.004 * (x - cells / 2) + 0.4 * np.round(y / 90)
    garden: NDArray[np.float32] = (tilt + 0.3 * np.sin(x / 17) * np.sin(y / 23) + noise).astype(np.float32)
    return garden - garden[cells // 2, cells // 2]


def buildings(kind: str) -> list[Polygon]:
    """None, a few spread over the ground, or a town."""
    if kind == "none":
        return []
    step = {"some": 150, "town": 65}[kind]
    return [box(x, y, x + 18, y + 12) for x in range(30, CELLS - 30, step) for y in range(30, CELLS - 30, step)]


@cache
def prepared(kind: str, barriers: str, factor: int = 1) -> Prepared:
    """The ground with its barriers."""
    grid = Ground(levels(kind), Affine(1, 0, 0, 0, -1, CELLS))
    return prepare(grid, barriers=buildings(barriers), factor=factor)


def reach(on: Prepared, at: tuple[float, float] = AT) -> ReachMap:
    """The whole map: ways, heads, margins, flows, minutes, reasons."""
    return water_reach(on, at=at, water_level_m=LEVEL_M, line=LINE)


def mcp(on: Prepared) -> NDArray[np.float64]:
    """Distances by skimage's engine over the same cells."""
    costs = np.where(np.isfinite(on.level_m) & (on.level_m <= LEVEL_M), 1.0, -1.0)
    found, _ = MCP_Geometric(costs).find_costs([(499, 500)])
    return np.asarray(found)


def bare(on: Prepared) -> NDArray[np.float32]:
    """Distances by a bare pass over the same cells."""
    return bare_ways(np.isfinite(on.level_m) & (on.level_m <= LEVEL_M), (499, 500))


def needs(on: Prepared) -> NDArray[np.float32]:
    """The needed level of a bed at the spot where the tank stands otherwise."""
    return needed_level(on, bed=box(*AT, AT[0] + 4, AT[1] + 4), line=LINE)


def least_seconds(
    works: dict[str, Callable[[], Any]], rounds: int, clock: Callable[[], float] = time.process_time
) -> dict[str, float]:
    """The least time of each of several works, taken in turns, s."""
    least = dict.fromkeys(works, float("inf"))
    for _ in range(rounds):
        for name, work in works.items():
            began = clock()
            work()
            least[name] = min(least[name], clock() - began)
    return least


GROUNDS = [("flat", "none"), ("garden", "none"), ("garden", "some"), ("flat", "town"), ("garden", "town")]


@pytest.mark.parametrize(("kind", "barriers"), GROUNDS)
@pytest.mark.parametrize("engine", [mcp, reach], ids=["MCP_Geometric", "water_reach"])
def test_one_tank(benchmark: Any, engine: Callable[[Prepared], Any], kind: str, barriers: str) -> None:
    on = prepared(kind, barriers)
    benchmark.group = f"{CELLS} x {CELLS}, {kind}, {barriers}"
    benchmark.pedantic(engine, args=(on,), rounds=7, warmup_rounds=2)


@pytest.mark.parametrize("factor", [4, 8])
@pytest.mark.parametrize(("kind", "barriers"), GROUNDS)
def test_preview(benchmark: Any, factor: int, kind: str, barriers: str) -> None:
    on = prepared(kind, barriers, factor)
    benchmark.group = "preview"
    benchmark.pedantic(reach, args=(on,), rounds=40, warmup_rounds=3)


@pytest.mark.parametrize(("kind", "barriers"), GROUNDS)
def test_ratios_in_one_run(kind: str, barriers: str) -> None:
    on = prepared(kind, barriers)
    engines = {"MCP_Geometric": mcp, "bare pass": bare, "water_reach": reach, "needed_level": needs}
    for engine in engines.values():
        engine(on)
    took = least_seconds({name: partial(engine, on) for name, engine in engines.items()}, rounds=5)
    print(f"\n{kind}, {barriers}: " + ", ".join(f"{name} {1000 * each:.0f} ms" for name, each in took.items()))
    for name in ("water_reach", "needed_level"):
        print(
            f"  {name}: {took[name] / took['bare pass']:.2f} bare passes, "
            f"1/{took['MCP_Geometric'] / took[name]:.1f} of MCP_Geometric"
        )
    way, exact = bare(on), reach(on).distance_m
    far = exact > 50.0  # the bare pass begins at the middle of a cell, up to 0.4 m off the tank
    assert np.isfinite(way[far]).all()
    assert 0.98 < np.min(way[far] / exact[far]) <= np.max(way[far] / exact[far]) < 1.04  # the same ways, 2.7 % wrong


def test_ten_tanks() -> None:
    on = prepared("garden", "some")
    works = [partial(reach, on, (95.5 + 90 * number, 905.5 - 80 * number)) for number in range(10)]
    ways: dict[str, Callable[[], Any]] = {
        "one by one": lambda: [work() for work in works],
        "side by side": lambda: side_by_side(works),
    }
    side_by_side(works)
    cores = min(os.cpu_count() or 1, 8)
    wall, processor = least_seconds(ways, 3, time.perf_counter), least_seconds(ways, 3)
    shared = wall["one by one"] / cores
    print(
        f"\nten tanks: {wall['one by one']:.2f} s one by one, {wall['side by side']:.2f} s side by side: "
        f"{wall['side by side'] / shared:.2f} times a share of {cores} cores; "
        f"{processor['side by side'] / processor['one by one']:.2f} times the processor time"
    )


@pytest.mark.parametrize(("kind", "barriers"), GROUNDS)
def test_needed_level(benchmark: Any, kind: str, barriers: str) -> None:
    benchmark.group = "needed level"
    benchmark.pedantic(needs, args=(prepared(kind, barriers),), rounds=5, warmup_rounds=1)


def test_distance_error_on_open_ground() -> None:
    on = prepared("flat", "none")
    answer = water_reach(on, at=(500.5, 500.5), water_level_m=LEVEL_M, line=Line(50))
    y, x = np.mgrid[:CELLS, :CELLS]
    exact = np.hypot(x - 500, y - 499)
    exact[499, 500] = np.nan
    worst = {}
    for name, found in (("MCP_Geometric", mcp(on)), ("water_reach", answer.distance_m)):
        wrong = np.abs(found / exact - 1)
        worst[name] = float(np.nanmax(wrong))
        print(f"\n{name}: distance wrong by {100 * np.nanmean(wrong):.4f} %, at worst {100 * worst[name]:.4f} %")
    assert worst["water_reach"] < 0.1 * worst["MCP_Geometric"]


def test_memory_of_a_large_ground() -> None:
    grid = Ground(levels("garden", 4000), Affine(0.25, 0, 0, 0, -0.25, 1000))
    answer = water_reach(grid, at=(500.0, 500.0), water_level_m=12.0, line=LINE, barriers=buildings("some"))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024**2 if sys.platform != "darwin" else 1024**3)
    print(f"\n4,000 x 4,000: peak of the whole process {peak:.2f} GiB")
    assert np.isfinite(answer.minutes_per_can).sum() > 10**6
