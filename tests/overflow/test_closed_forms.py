"""Spilled water against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from affine import Affine
from numpy.typing import NDArray

from gardenwater.ground import Ground
from gardenwater.overflow import spill


def ground_of(level: NDArray[np.floating], cell: float = 1.0, cell_y: float | None = None) -> Ground:
    return Ground(level, Affine(cell, 0, 0, 0, -(cell_y or cell), level.shape[0] * (cell_y or cell)))


def plane(azimuth_deg: float, size: int = 401, cell_y: float = 1.0) -> Ground:
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
    assert route.length > 100


def test_a_cone_shaped_hollow_holds_what_a_cone_holds() -> None:
    rows, cols = np.mgrid[0:201, 0:201]
    ground = ground_of(0.1 * np.hypot(rows - 100, cols - 100) * 0.25, 0.25)
    found = spill(ground, at=(25.0, 30.0), volume_m3=2.0)
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
