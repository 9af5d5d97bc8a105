"""What must hold of any spill: symmetry, great floods, the account, and that each route ends where water came.

Fill-spill-merge's own kinds of cases: Barnes, Callaghan and Wickert (2021), doi 10.5194/esurf-9-105-2021, section 4.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray
from shapely import LineString, Point, box

from gardenwater.overflow import End, Source, Spill, prepare, spill, spill_all
from tests.overflow.grounds import examples, ground_of, hummocks

SIZE = 60
SPOTS = ((12.3, 40.2), (33.7, 21.6), (47.1, 52.4), (8.6, 9.9))


def turned(spot: tuple[float, float]) -> tuple[float, float]:
    """A spot after a quarter-turn against the clock about the middle of the plot."""
    return SIZE - spot[1], spot[0]


def mirrored(spot: tuple[float, float]) -> tuple[float, float]:
    """A spot in a mirror along the north-south line through the middle of the plot."""
    return SIZE - spot[0], spot[1]


def poured(level: NDArray[np.floating], spots: list[tuple[float, float]], **asked: float) -> Spill:
    return spill_all(prepare(ground_of(level)), [Source(spot, 0.7) for spot in spots], over_h=3.0, **asked)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("asked", [{}, {"soak_mm_h": 12.0}, {"soak_mm_h": 4.0, "rain_mm": 20.0}])
def test_a_turned_or_mirrored_plot_spills_the_same(seed: int, asked: dict[str, float]) -> None:
    level = hummocks(seed)
    plain = poured(level, list(SPOTS), **asked)
    turn = poured(np.rot90(level), [turned(spot) for spot in SPOTS], **asked)
    mirror = poured(level[:, ::-1], [mirrored(spot) for spot in SPOTS], **asked)
    for other, back in ((turn, np.rot90(turn.pool_depth_m, -1)), (mirror, mirror.pool_depth_m[:, ::-1])):
        np.testing.assert_allclose(back, plain.pool_depth_m, atol=1e-7)
        assert other.off_site_m3 == pytest.approx(plain.off_site_m3, abs=1e-9)
        assert other.soaked_m3 == pytest.approx(plain.soaked_m3, rel=1e-9)
        assert [route.end for route in other.routes] == [route.end for route in plain.routes]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("soak_mm_h", [0.0, 10.0])
def test_on_noisy_ground_each_route_ends_in_what_got_its_water(seed: int, soak_mm_h: float) -> None:
    ground = ground_of(hummocks(seed, noise_m=0.02))
    spots = np.random.default_rng(seed).uniform(3, 57, (12, 2))
    found = spill_all(prepare(ground), [Source((x, y), 0.5) for x, y in spots.tolist()], over_h=4, soak_mm_h=soak_mm_h)
    assert abs(found.residual_m3) <= 1e-9 * found.poured_m3
    for route in found.routes:
        end = Point(route.line.coords[-1])
        if route.end is End.POOL:
            pool = found.pools[route.end_index]
            assert pool.outline.distance(end) < 1e-6
            assert set(route.sources) <= set(pool.sources)
        elif route.end is End.OFF_SITE:
            leaving = found.exits[route.end_index]
            assert end.distance(Point(leaving.at)) < 1e-6
            assert leaving.volume_m3 > 0.0
            assert set(route.sources) <= set(leaving.sources)
        elif route.end is End.JOINS:
            assert found.routes[route.end_index].line.distance(end) < 0.2
            assert set(route.sources) <= set(found.routes[route.end_index].sources)
        else:
            assert route.end is End.SOAKED
            assert soak_mm_h > 0.0
            assert route.volume_end_m3 == 0.0
    for number, fate in enumerate(found.fates):
        assert fate is not None
        assert fate.route < 0 or number in found.routes[fate.route].sources


@given(
    level=arrays(np.float64, (7, 8), elements=st.integers(0, 5).map(float)),
    at=st.tuples(st.integers(0, 7), st.integers(0, 6)),
)
@settings(max_examples=examples(60))
def test_a_great_flood_stands_at_the_filled_surface_where_it_comes_and_nothing_moves_it_further(
    level: NDArray[np.float64], at: tuple[int, int]
) -> None:
    prepared = prepare(ground_of(level))
    source = Source((at[0] + 0.5, at[1] + 0.5), 1e6)
    found, twice = spill_all(prepared, [source]), spill_all(prepared, [source, source])
    wet = found.pool_depth_m > 0
    np.testing.assert_allclose((level + found.pool_depth_m)[wet], prepared.filled_m()[wet], atol=1e-9)
    np.testing.assert_allclose(twice.pool_depth_m, found.pool_depth_m, atol=1e-9)


@given(
    level=arrays(np.float64, (7, 8), elements=st.integers(0, 5).map(float)),
    volumes=st.lists(st.floats(0.05, 20.0), min_size=1, max_size=3),
    soak_mm_h=st.sampled_from([0.0, 30.0]),
    rain_mm=st.sampled_from([0.0, 15.0, 200.0]),
)
@settings(max_examples=examples(60))
def test_the_account_closes_with_rain_on_the_ground_too(
    level: NDArray[np.float64], volumes: list[float], soak_mm_h: float, rain_mm: float
) -> None:
    level[2, 3] = np.nan
    sources = [Source(((3 * n) % 8 + 0.5, (5 * n) % 6 + 0.5), volume) for n, volume in enumerate(volumes)]
    found = spill_all(prepare(ground_of(level)), sources, soak_mm_h=soak_mm_h, rain_mm=rain_mm)
    assert found.ground_rain_m3 == pytest.approx(55 * rain_mm / 1000.0)
    assert found.poured_m3 == pytest.approx(sum(volumes) + found.ground_rain_m3)
    assert abs(found.residual_m3) <= 1e-9 * found.poured_m3
    standing = math.fsum(pool.volume_m3 for pool in found.pools)
    assert standing <= found.pooled_m3 * (1 + 1e-9) + 1e-12


def test_a_cone_sends_water_to_all_sides_and_a_valley_gathers_it() -> None:
    rows, cols = np.mgrid[0:121, 0:121]
    cone = prepare(ground_of(20.0 - 0.1 * np.hypot(rows - 60, cols - 60)))
    bearings = np.radians(np.arange(0.0, 360.0, 22.5) + 3.0)
    around = [(60.5 + 12.0 * math.sin(b), 60.5 + 12.0 * math.cos(b)) for b in bearings]
    for bearing, at in zip(bearings, around, strict=True):
        (route,) = spill(cone, at=at, volume_m3=1.0).routes
        x, y = route.line.coords[-1]
        away = math.remainder(math.atan2(x - 60.5, y - 60.5) - bearing, 2 * math.pi)
        assert abs(away) * math.hypot(x - 60.5, y - 60.5) < 1.0  # a cell, at the edge of the plot
    valley = prepare(ground_of(20.0 + 0.1 * np.abs(cols - 60) + 0.02 * rows))
    ends = [spill(valley, at=(x, 10.0), volume_m3=1.0).exits[0].at for x in (5.0, 40.0, 60.5, 77.0, 118.0)]
    assert max(y for _, y in ends) == pytest.approx(121.0, abs=0.6)  # row 0, the low end, is in the north
    assert np.ptp([x for x, _ in ends]) < 1.0


def test_flats_and_edges_of_no_data_drain() -> None:
    level = np.full((30, 40), 5.0)
    level[10:20, 12:20] = np.nan
    flat = ground_of(level)
    assert spill(prepare(flat), at=(30.0, 15.0), volume_m3=2.0).off_site_m3 == pytest.approx(2.0)
    hole = spill(prepare(flat, edge="wall", nodata="open"), at=(30.0, 15.0), volume_m3=2.0)
    assert hole.off_site_m3 == pytest.approx(2.0)
    assert box(12, 10, 20, 20).distance(Point(hole.exits[0].at)) < 0.6
    shut = spill(prepare(flat, edge="wall"), at=(30.0, 15.0), volume_m3=2.0)
    # 1,200 cells less the 80 without a level share it evenly
    assert shut.pools[0].depth_m == pytest.approx(2.0 / 1120.0)


@pytest.mark.parametrize(("height_m", "runs_over"), [(0.05, True), (0.3, False)])
def test_a_kerb_holds_water_up_to_its_height(height_m: float, runs_over: bool) -> None:
    """A trough 3 m wide, 20 m long, falling 1 in 100: what stands behind the kerb is a wedge, h^2 / (2 S) x 3 m."""
    rows, _ = np.mgrid[0:80, 0:12]
    level = 10.0 + 0.0025 * rows + np.where(np.abs(np.arange(12) - 5.5) > 5.0, 2.0, 0.0)
    ground = ground_of(level, 0.25)
    kerb = LineString([(0.0, 18.0), (3.0, 18.0)]).buffer(0.06, cap_style="flat")
    prepared = prepare(ground, walls=[(kerb, height_m)])
    found = spill(prepared, at=(1.5, 4.0), volume_m3=0.9)
    behind = [pool for pool in found.pools if pool.outline.distance(kerb) < 0.5]
    assert len(behind) == 1
    assert bool(found.exits) is runs_over
    if runs_over:
        # the kerb's foot is at row 9 (level 10.0225 + 0.05); wedge of 10 cells across
        wedge_m3 = sum(max(0.05 - 0.0025 * row, 0.0) for row in range(1, 30)) * 10 * 0.0625
        assert behind[0].volume_m3 == pytest.approx(wedge_m3, rel=0.06)
        assert found.off_site_m3 == pytest.approx(0.9 - behind[0].volume_m3)


def test_pits_within_a_pit_fill_from_the_lowest() -> None:
    """A basin 8 x 12 m with two pits of 2 x 2 x 1 m in its floor, 1 m below its rim (volumes of prisms)."""
    level = np.full((10, 14), 3.0)
    level[1:9, 1:13] = 2.0
    level[4:6, 3:5] = 1.0
    level[4:6, 9:11] = 1.0
    prepared = prepare(ground_of(level))
    at = (4.0, 5.0)
    assert [pool.depth_m for pool in spill(prepared, at=at, volume_m3=3.0).pools] == pytest.approx([0.75])
    two = spill(prepared, at=at, volume_m3=7.0)
    assert sorted(pool.volume_m3 for pool in two.pools) == pytest.approx([3.0, 4.0])
    whole = spill(prepared, at=at, volume_m3=8.0 + 48.0)  # both pits, and half a metre on 96 m²
    assert [pool.level_m for pool in whole.pools] == pytest.approx([2.5])
    over = spill(prepared, at=at, volume_m3=200.0)
    assert over.pooled_m3 == pytest.approx(8.0 + 96.0)
    assert over.off_site_m3 == pytest.approx(96.0)
