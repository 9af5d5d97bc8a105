"""Rain on the ground itself, by closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import box

from gardenwater.overflow import Source, Taker, prepare, spill_all
from tests.overflow.grounds import ground_of, hummocks


def test_rain_that_the_soil_takes_as_fast_leaves_nothing_to_run() -> None:
    found = spill_all(prepare(ground_of(hummocks(1))), [], over_h=2.0, soak_mm_h=15.0, rain_mm=30.0)
    assert found.soaked_m3 == pytest.approx(3600 * 0.030)
    assert found.pooled_m3 == 0.0
    assert not found.routes


def test_what_falls_faster_runs_together_in_the_hollow_of_its_catchment() -> None:
    """A square pyramid turned upside down: all of 40 x 40 m runs to its middle; 1 h of 20 mm, of which 5 soak."""
    rows, cols = np.mgrid[0:40, 0:40]
    level = np.maximum(np.abs(rows - 19.5), np.abs(cols - 19.5)) * 0.1
    found = spill_all(prepare(ground_of(level), edge="wall"), [], over_h=1.0, soak_mm_h=5.0, rain_mm=20.0)
    (pool,) = found.pools
    assert pool.volume_m3 == pytest.approx(1600 * 0.015)
    assert pool.sources == (0,)
    assert found.soaked_m3 == pytest.approx(1600 * 0.005)
    assert pool.hours_to_soak == pytest.approx(pool.depth_m / 0.005)


def test_rain_off_a_slope_leaves_over_its_edge_and_a_taker_keeps_what_comes_to_it() -> None:
    rows, _ = np.mgrid[0:20, 0:30]
    slope = prepare(ground_of(5.0 - 0.05 * rows))
    bare = spill_all(slope, [], soak_mm_h=0.0, rain_mm=10.0)
    assert bare.rain_off_m3 == pytest.approx(600 * 0.010)
    # a pond across rows 10 and 11, columns 5 to 14: it gets what falls on it and on the ten rows above
    pond = Taker(box(5.0, 8.0, 15.0, 10.0), room_m3=100.0)
    held = spill_all(slope, [], soak_mm_h=0.0, rain_mm=10.0, takers=[pond])
    assert held.taken_m3[0] == pytest.approx(10 * 12 * 0.010)
    assert held.rain_off_m3 == pytest.approx((600 - 120) * 0.010)
    assert abs(held.residual_m3) < 1e-9


def test_a_spill_soaks_less_while_rain_falls_on_the_ground_too() -> None:
    ground = prepare(ground_of(10.0 - 0.05 * np.mgrid[0:60, 0:20][0]))
    source = [Source((10.0, 55.0), 0.6)]
    dry = spill_all(ground, source, over_h=2.0, soak_mm_h=15.0)
    wet = spill_all(ground, source, over_h=2.0, soak_mm_h=15.0, rain_mm=20.0)
    without = spill_all(ground, source, over_h=2.0, soak_mm_h=5.0)
    # 10 mm an hour of the 15 go to the rain
    assert wet.exits[0].volume_m3 == pytest.approx(without.exits[0].volume_m3)
    assert wet.exits[0].volume_m3 > dry.exits[0].volume_m3
