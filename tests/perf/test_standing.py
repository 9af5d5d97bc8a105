"""How fast the map of places for a tank is, beside a general-purpose shortest-way engine. Measures; asserts no time.

Run with `pytest tests/perf/test_standing.py -o addopts=--import-mode=importlib -s`. One pass of the engine (skimage's
MCP_Geometric) over as many cells as the map has is taken in turns with the map in one process, so that what else the
machine does falls on both; what is printed is the ratio of their processor times. Aimed at: the map of 1,000 x 1,000
cells with six downpipes and eight beds, whose needed levels are at hand, in a third of one pass; its ranked spots in a
tenth of it; all needed levels with the map within a pass and a half for each bed.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import cache

import numpy as np
from affine import Affine
from numpy.typing import NDArray
from shapely import box
from skimage.graph import MCP_Geometric

from gardenwater.ground import Ground
from gardenwater.hydraulics import Line
from gardenwater.reach import (
    BedNeed,
    FeedPoint,
    Prepared,
    StandLimits,
    StandMap,
    TankMeasure,
    needed_level,
    prepare,
    ranked_spots,
    stand_map,
)

CELLS = 1000
CELL_M = 0.25
LINE = Line(25, flow_l_min=10.0)
TANK = TankMeasure(half_width_m=0.6, inlet_height_m=1.32, serving_height_m=0.67)
HOUSES = [box(60, 150, 72, 160), box(150, 120, 160, 132)]
PIPES = [(60.0, 150.0), (72.0, 150.0), (72.0, 160.0), (150.0, 120.0), (160.0, 120.0), (160.0, 132.0)]
BEDS = [box(30 + 24 * number, 40 + 7 * (number % 3), 36 + 24 * number, 44 + 7 * (number % 3)) for number in range(8)]
ROUNDS = 5


@cache
def prepared() -> Prepared:
    """A garden slope with terraces and hummocks, 250 m at a side, two houses on it."""
    y, x = np.mgrid[:CELLS, :CELLS].astype(np.float32) * CELL_M
    noise = np.random.default_rng(1).normal(0.0, 0.005, (CELLS, CELLS))
    levels: NDArray[np.float32] = (
        100 - 0.03 * y + 0.3 * np.round(y / 40) / 10 + 0.2 * np.sin(x / 9) * np.sin(y / 13) + noise
    ).astype(np.float32)
    return prepare(Ground(levels, Affine(CELL_M, 0, 0, 0, -CELL_M, CELLS * CELL_M)), barriers=HOUSES)


@cache
def needs() -> tuple[BedNeed, ...]:
    """The needed levels of all beds."""
    return tuple(
        BedNeed(key=str(number), area_m2=bed.area, needed_level_m=needed_level(prepared(), bed=bed, line=LINE))
        for number, bed in enumerate(BEDS)
    )


@cache
def feeds() -> tuple[FeedPoint, ...]:
    """Six downpipes, their feed 2.3 m over the ground."""
    grid = prepared().ground
    found = []
    for number, at in enumerate(PIPES):
        cell = grid.cell_at(*at)
        assert cell is not None
        found.append(FeedPoint(key=f"pipe {number}", at=at, level_m=float(grid.level_m[cell]) + 2.3))
    return tuple(found)


def places() -> StandMap:
    """The whole map: feeders, stands, shares, reasons."""
    limits = StandLimits(most_feeder_m=16.0)
    return stand_map(
        prepared(), needs=needs(), feeds=feeds(), tank=TANK, limits=limits, taken=[*HOUSES, *BEDS], buildings=HOUSES
    )


def mcp() -> NDArray[np.float64]:
    """One pass of the engine over the same cells."""
    found, _ = MCP_Geometric(np.where(np.isfinite(prepared().level_m), 1.0, -1.0)).find_costs([(100, 100)])
    return np.asarray(found)


def in_turns(*jobs: Callable[[], object]) -> list[float]:
    """The least processor time of each job, s, taken in turns."""
    best = [np.inf] * len(jobs)
    for job in jobs:
        job()  # compiled, and its pages touched
    for _ in range(ROUNDS):
        for number, job in enumerate(jobs):
            start = time.process_time()
            job()
            best[number] = min(best[number], time.process_time() - start)
    return best


def test_the_map_of_places_beside_one_pass_of_the_engine() -> None:
    made = places()
    assert np.isfinite(made.stand_m).sum() > 1000  # there are places, with and without a stand
    assert set(np.unique(made.feed)) > {-1}
    engine_s, map_s, spots_s = in_turns(mcp, places, lambda: ranked_spots(made, most=5, sure_m=0.1))
    print(
        f"\n{CELLS} x {CELLS}, {len(PIPES)} pipes, {len(BEDS)} beds: engine {1000 * engine_s:.0f} ms, "
        f"map of places {map_s / engine_s:.2f} of it, ranked spots {spots_s / engine_s:.2f}"
    )


def test_a_first_answer_with_all_needed_levels() -> None:
    def first() -> StandMap:
        needs.cache_clear()
        return places()

    engine_s, first_s = in_turns(mcp, first)
    print(f"\nwith the needed levels of {len(BEDS)} beds: {first_s / engine_s / len(BEDS):.2f} of a pass for each bed")
