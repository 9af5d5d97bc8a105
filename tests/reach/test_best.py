"""The best of several tanks, cell by cell, against a plain search through the maps."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import box

from gardenwater.hydraulics import Line
from gardenwater.reach import Reason, best_of, prepare, water_reach
from tests.reach.grounds import ground_of

NEAREST = (
    Reason.IN_REACH,
    Reason.SLOW,
    Reason.RIDGE,
    Reason.TOO_FAR,
    Reason.TOO_HIGH,
    Reason.BARRIER,
    Reason.NO_DATA,
)


def test_each_cell_goes_to_the_map_that_comes_first() -> None:
    rng = np.random.default_rng(3)
    levels = rng.normal(0.0, 0.4, (30, 40))
    levels[rng.random(levels.shape) < 0.02] = np.nan
    ground = ground_of(levels)
    prepared = prepare(ground, barriers=[box(10, 8, 14, 12), box(25, 15, 30, 16)])
    spots = [(row, col) for row, col in ((5, 5), (12, 30), (20, 18)) if np.isfinite(levels[row, col])]
    maps = [
        water_reach(prepared, at=ground.centre_of(*spot), water_level_m=1.0, line=Line(16, flow_l_min=4.0))
        for spot in spots
    ]
    sureness = [np.where(each.margin_m > 0.3, 2, each.reason == 0).astype(np.uint8) for each in maps]
    best = best_of(ground, maps, sureness)
    assert len({int(number) for number in best.tank.ravel()}) == len(maps) + 1  # each is best somewhere, none somewhere

    def order(number: int, cell: tuple[int, int]) -> tuple[int, float, int]:
        minutes = float(maps[number].minutes_per_can[cell])
        return NEAREST.index(Reason(maps[number].reason[cell])), np.inf if np.isnan(minutes) else minutes, number

    for cell in np.ndindex(*ground.shape):
        first = min(range(len(maps)), key=lambda number: order(number, cell))
        arrives = maps[first].reason[cell] in (Reason.IN_REACH, Reason.SLOW)
        assert best.tank[cell] == (first if arrives else -1)
        assert best.reason[cell] == maps[first].reason[cell]
        for got, given in (
            (best.minutes, maps[first].minutes_per_can),
            (best.head, maps[first].residual_head_m),
            (best.distance, maps[first].distance_m),
            (best.flow, maps[first].flow_l_min),
        ):
            assert got[cell] == pytest.approx(given[cell], nan_ok=True, abs=0)
        assert best.sureness[cell] == max(sure[cell] for sure in sureness)
    assert not best.minutes.flags.writeable


def test_without_a_map_nothing_is_in_reach() -> None:
    best = best_of(ground_of(np.zeros((3, 4))), [], [])
    assert best.tank.shape == (3, 4)
    assert (best.tank == -1).all()
    assert np.isnan(best.minutes).all()
    assert (best.reason == Reason.NO_DATA).all()
