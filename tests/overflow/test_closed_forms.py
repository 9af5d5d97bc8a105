"""Spilled water against closed forms, another library's filled levels, and what must always hold."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pyflwdir
import pytest
import rasterio
from affine import Affine
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray
from shapely import LineString, Point, box

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.overflow import End, Source, Spill, Taker, prepare, spill, spill_all
from tests.overflow.grounds import COMPILED, examples, needs_compiler

DATA = Path(__file__).resolve().parents[1] / "data"


def ground_of(level: NDArray[np.floating], cell: float = 1.0, cell_y: float | None = None) -> Ground:
    return Ground(level, Affine(cell, 0, 0, 0, -(cell_y or cell), level.shape[0] * (cell_y or cell)))


SIDE = 401 if COMPILED else 81
MIDDLE = (SIDE - 1) / 2


def plane(azimuth_deg: float, size: int = SIDE, cell_y: float = 1.0) -> Ground:
    rows, cols = np.mgrid[0:size, 0:size]
    east, north = math.sin(math.radians(azimuth_deg)), math.cos(math.radians(azimuth_deg))
    return ground_of(200.0 - 0.05 * (cols * east - rows * cell_y * north), 1.0, cell_y)


@pytest.mark.parametrize("azimuth_deg", [0, 7, 22.5, 37, 45, 61, 90, 133, 180, 211, 270, 301, 349])
@pytest.mark.parametrize("cell_y", [1.0, 0.8])
def test_on_a_plane_water_keeps_the_way_down_within_a_cell_in_two_hundred(azimuth_deg: float, cell_y: float) -> None:
    ground = plane(azimuth_deg, cell_y=cell_y)
    west, south, east, north = ground.bounds
    begin = ((west + east) / 2 + 0.3, (south + north) / 2 - 0.2)
    route = spill(ground, at=begin, volume_m3=1.0).routes[0].line
    down = (math.sin(math.radians(azimuth_deg)), math.cos(math.radians(azimuth_deg)))
    for x, y in route.coords:
        along = (x - begin[0]) * down[0] + (y - begin[1]) * down[1]
        across = (x - begin[0]) * down[1] - (y - begin[1]) * down[0]
        assert abs(across) <= max(0.75, along / 200.0)
    assert route.length > SIDE / 4


def test_a_cone_shaped_hollow_holds_what_a_cone_holds() -> None:
    rows, cols = np.mgrid[0:131, 0:131]
    ground = ground_of(0.1 * np.hypot(rows - 65, cols - 65) * 0.25, 0.25)
    found = spill(ground, at=(16.375, 21.0), volume_m3=2.0)
    (pool,) = found.pools
    # V = pi r^2 h / 3 with h = 0.1 r
    depth = (3 * 2.0 * 0.1**2 / math.pi) ** (1 / 3)
    assert pool.depth_m == pytest.approx(depth, rel=5e-3)
    assert pool.volume_m3 == pytest.approx(2.0, rel=1e-9)
    assert pool.outline.area == pytest.approx(math.pi * (depth / 0.1) ** 2, rel=0.03)


def test_two_boxes_side_by_side_fill_one_after_the_other_and_then_as_one() -> None:
    level = np.full((9, 15), 2.0)
    level[2:7, 2:6] = 0.0  # 20 cells, 1 m deep under the sill between them
    level[2:7, 9:13] = 0.0
    level[4, 6:9] = 1.0
    ground = ground_of(level)
    one = spill(ground, at=(3.5, 4.5), volume_m3=15.0)
    assert [round(pool.level_m, 9) for pool in one.pools] == [0.75]
    both = spill(ground, at=(3.5, 4.5), volume_m3=30.0)
    assert sorted(round(pool.level_m, 9) for pool in both.pools) == [0.5, 1.0]
    merged = spill(ground, at=(3.5, 4.5), volume_m3=44.3)
    # 40 cells to 1 m, and the 43 cells of both and the sill above
    assert [round(pool.level_m, 9) for pool in merged.pools] == [1.1]
    over = spill(ground, at=(3.5, 4.5), volume_m3=200.0)
    assert over.pooled_m3 == pytest.approx(40.0 + 43.0)
    assert sum(leaving.volume_m3 for leaving in over.exits) == pytest.approx(200.0 - 83.0)


def flooded(ground: Ground, seed: int, sources: int) -> Spill:
    random = np.random.default_rng(seed)
    cells = np.argwhere(np.isfinite(ground.level_m))
    spots = [ground.centre_of(*cells[i]) for i in random.integers(0, len(cells), sources)]
    return spill_all(prepare(ground, nodata="open"), [Source(at=spot, volume_m3=1e6) for spot in spots])


@needs_compiler
@pytest.mark.parametrize("name", ["nsw_dtm_1m.tif", "delft_dtm_0p5m.tif"])
def test_a_great_flood_stands_at_another_librarys_filled_levels(name: str) -> None:
    """pyflwdir 0.5.12, `fill_depressions`, on real ground (sources in tests/data/SOURCES.md)."""
    with rasterio.open(DATA / name) as raster:
        level = raster.read(1, masked=True).filled(np.nan).astype(np.float32)
        ground = Ground(level, raster.transform)
    filled, _ = pyflwdir.fill_depressions(np.nan_to_num(level, nan=-9999.0), nodata=-9999.0, outlets="edge")
    found = flooded(ground, 5, 60)
    wet = found.pool_depth_m > 0
    assert wet.sum() > 20
    np.testing.assert_allclose(level[wet] + found.pool_depth_m[wet], filled[wet], atol=2e-5)
    assert abs(found.residual_m3) <= 1e-9 * found.poured_m3


small = arrays(np.float64, (8, 9), elements=st.integers(0, 6).map(float))


def account(found: Spill, ground: Ground) -> float:
    """All that is reported, added up anew: what stands is taken from the depths."""
    area = ground.cell_x_m * ground.cell_y_m
    return (
        float(np.nansum(found.pool_depth_m)) * area
        + found.soaked_m3
        + sum(taken.volume_m3 for taken in found.taken)
        + sum(leaving.volume_m3 for leaving in found.exits)
    )


@settings(max_examples=examples(60), deadline=None)
@given(level=small, soak=st.sampled_from([0.0, 20.0]), volumes=st.lists(st.floats(0.01, 40), min_size=1, max_size=4))
def test_every_litre_is_accounted_for(level: NDArray[np.float64], soak: float, volumes: list[float]) -> None:
    ground = ground_of(level)
    spots = [ground.centre_of((3 * i) % 8, (5 * i + 1) % 9) for i in range(len(volumes))]
    sources = [Source(at=spot, volume_m3=volume) for spot, volume in zip(spots, volumes, strict=True)]
    found = spill_all(prepare(ground), sources, soak_mm_h=soak)
    total = sum(volumes)
    assert abs(found.residual_m3) <= 1e-9 * total
    assert account(found, ground) == pytest.approx(total, rel=1e-6)


@settings(max_examples=examples(40), deadline=None)
@given(level=small, volumes=st.lists(st.floats(0.1, 30), min_size=2, max_size=4))
def test_the_order_of_sources_does_not_matter(level: NDArray[np.float64], volumes: list[float]) -> None:
    ground = ground_of(level)
    sources = [Source(at=ground.centre_of((2 * i + 1) % 8, (4 * i) % 9), volume_m3=v) for i, v in enumerate(volumes)]
    prepared = prepare(ground)
    one, other = spill_all(prepared, sources), spill_all(prepared, sources[::-1])
    np.testing.assert_allclose(one.pool_depth_m, other.pool_depth_m, atol=1e-9)


def test_nothing_spilled_changes_nothing() -> None:
    found = spill(plane(90), at=(MIDDLE, MIDDLE), volume_m3=0.0)
    assert not found.pools
    assert not found.pool_depth_m.any()


@needs_compiler
def test_on_real_ground_each_route_ends_where_water_came() -> None:
    with rasterio.open(DATA / "nsw_dtm_1m.tif") as raster:
        ground = Ground(raster.read(1), raster.transform)
    random = np.random.default_rng(2)
    spots = [ground.centre_of(*cell) for cell in random.integers(20, 180, (30, 2))]
    found = spill_all(prepare(ground), [Source(at=spot, volume_m3=0.8) for spot in spots], soak_mm_h=10, over_h=6)
    for route in found.routes:
        if route.end is End.POOL:
            assert found.pools[route.end_index].volume_m3 > 0
            assert found.pools[route.end_index].outline.distance(Point(route.line.coords[-1])) < 1.5
        elif route.end is End.OFF_SITE:
            assert found.exits[route.end_index].volume_m3 > 0
        elif route.end is End.SOAKED:
            assert route.volume_end_m3 == pytest.approx(0.0, abs=1e-9)
    assert {route.end for route in found.routes} >= {End.SOAKED, End.POOL}


def test_water_goes_round_a_building_and_through_a_gap() -> None:
    ground = plane(180, size=81)
    walls = [box(15, 40, 39, 46), box(43, 40, 66, 46)]
    gap = spill(ground, at=(41.0, 70.0), volume_m3=1.0, barriers=walls).routes[0].line
    assert gap.intersects(LineString([(39, 43), (43, 43)]))
    round_it = spill(ground, at=(41.0, 70.0), volume_m3=5000.0, barriers=[box(15, 40, 66, 46)])
    assert all(not route.line.crosses(box(16, 41, 65, 45)) for route in round_it.routes)
    assert round_it.exits or round_it.pools


def test_a_full_taker_spills_on() -> None:
    ground = plane(180, size=81)
    pond = Taker(shape=box(30, 40, 52, 50), room_m3=0.6, owner="pond-1")
    little = spill(ground, at=(41.0, 70.0), volume_m3=0.4, takers=[pond])
    assert little.routes[0].end is End.TAKER
    assert little.taken[0].volume_m3 == pytest.approx(0.4)
    much = spill(ground, at=(41.0, 70.0), volume_m3=1.0, takers=[pond])
    assert much.taken[0].volume_m3 == pytest.approx(0.6)
    assert sum(leaving.volume_m3 for leaving in much.exits) == pytest.approx(0.4)


def test_a_source_off_the_ground_is_told() -> None:
    with pytest.raises(InputError):
        spill(plane(0), at=(-50.0, 0.0), volume_m3=1.0)
