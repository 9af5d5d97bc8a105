"""Real ground: spots picked by hand, their way, losses and tightest margin worked out again in plain Python."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, friction_slope, head_loss_m, velocity_head_m
from gardenwater.reach import ReachMap, Reason, needed_level, prepare, water_reach
from tests.reach.oracle import crossed

DATA = Path(__file__).parent.parent / "data"
LINE = Line(25, flow_l_min=10.0, lift_m=0.2)


def read(path: Path) -> Ground:
    import rasterio

    with rasterio.open(path) as source:
        return Ground(source.read(1, masked=True).filled(np.nan), source.transform, str(source.crs))


def check_way(answer: ReachMap, x: float, y: float) -> None:
    """The route is as long as the map says, over ground that the water can pass, and leaves the head that it says."""
    line, ground = answer.line, answer.ground
    route = answer.route_to(x, y)
    cell = ground.cell_at(x, y)
    assert route is not None
    assert cell is not None
    assert answer.distance_m[cell] == pytest.approx(route.length, rel=1e-5)
    level = float(ground.level_m[cell])
    left = answer.water_level_m - float(head_loss_m(line.flow_l_min, route.length, line)) - level - line.lift_m
    assert answer.residual_head_m[cell] == pytest.approx(left, abs=1e-3)
    slope = float(friction_slope(line.flow_l_min, line))
    entry = (line.fittings_k - line.exit_k) * float(velocity_head_m(line.flow_l_min, line))
    way, least = 0.0, left
    for start, end in zip(route.coords, route.coords[1:], strict=False):
        here, there = ground.cell_at(*start), ground.cell_at(*end)
        assert here is not None
        assert there is not None
        for cells, share in crossed(there[0] - here[0], there[1] - here[1]):
            passed = min(float(answer.bars_m[here[0] + row, here[1] + col]) for row, col in cells)
            margin = answer.water_level_m - entry - slope * (way + share * math.dist(start, end)) - passed
            least = min(least, margin)
        way += math.dist(start, end)
    assert least >= -0.005
    # every cell that is crossed counts here, those by whose centre the line passes there: levels of neighbours apart
    assert least - 0.02 <= answer.margin_m[cell] <= least + 0.05 + 0.1 * abs(least)


def test_a_hillside_with_cells_that_are_not_square() -> None:
    ground = read(DATA / "nsw_dtm_1m.tif")
    assert ground.cell_x_m != ground.cell_y_m
    at, level_m = ground.centre_of(100, 100), float(ground.level_m[100, 100])
    answer = water_reach(ground, at=at, water_level_m=level_m + 1.5, line=LINE)
    counts = {reason: int((answer.reason == reason).sum()) for reason in Reason}
    assert counts[Reason.IN_REACH] > 20_000
    assert counts[Reason.TOO_HIGH] > 4_000
    assert counts[Reason.NO_DATA] == counts[Reason.BARRIER] == 0
    # no spot above the water is reached, and of those well below it nearly all are
    assert (answer.reason[ground.level_m > level_m + 1.3] == Reason.TOO_HIGH).all()
    reached = answer.reason == Reason.IN_REACH
    for row, col in np.argwhere(reached)[:: int(reached.sum()) // 25]:
        check_way(answer, *ground.centre_of(int(row), int(col)))
    straight = np.hypot((np.arange(200) - 100) * ground.cell_x_m, ((np.arange(200) - 100) * ground.cell_y_m)[:, None])
    assert (answer.distance_m[reached] >= straight[reached] * (1 - 1e-6)).all()


def test_needed_level_and_reach_agree_on_a_hillside() -> None:
    ground = read(DATA / "nsw_dtm_1m.tif")
    spot = ground.centre_of(70, 120)
    need = needed_level(ground, bed=shapely.Point(spot).buffer(0.4), line=LINE)
    for row, col in ((100, 100), (40, 60), (150, 40), (90, 180)):
        level_m = float(need[row, col])
        at = ground.centre_of(row, col)
        for more, served in ((0.02, True), (-0.02, False)):
            answer = water_reach(ground, at=at, water_level_m=level_m + more, line=LINE)
            assert bool(answer.reason[70, 120] == Reason.IN_REACH) is served


def test_ground_below_the_sea_with_a_canal_that_has_no_data() -> None:
    ground = read(DATA / "delft_dtm_0p5m.tif")
    missing = np.isnan(ground.level_m)
    assert missing.sum() == 483  # tests/data/SOURCES.md
    at, level_m = ground.centre_of(100, 100), float(ground.level_m[100, 100])
    answer = water_reach(ground, at=at, water_level_m=level_m + 1.0, line=LINE)
    assert (answer.reason[missing] == Reason.NO_DATA).all()
    assert np.isnan(answer.minutes_per_can[missing]).all()
    reached = answer.reason == Reason.IN_REACH
    assert reached.sum() > 25_000
    for row, col in np.argwhere(reached)[:: int(reached.sum()) // 20]:
        check_way(answer, *ground.centre_of(int(row), int(col)))


def test_a_town_with_160_buildings(shared_data: Path) -> None:
    ground = read(shared_data / "site-delft-nl" / "dtm_0p5m.tif")
    outlines = json.loads((shared_data / "site-delft-nl" / "buildings_bgt.geojson").read_text(encoding="utf-8"))
    buildings: list[BaseGeometry] = [shapely.geometry.shape(feature["geometry"]) for feature in outlines["features"]]
    prepared = prepare(ground, barriers=buildings)
    barred = np.isinf(prepared.level_m)
    assert 0.1 < barred.mean() < 0.25
    free = np.argwhere(np.isfinite(prepared.level_m))
    row, col = free[len(free) // 2]
    at = ground.centre_of(int(row), int(col))
    answer = water_reach(prepared, at=at, water_level_m=float(ground.level_m[row, col]) + 1.0, line=LINE)
    assert (answer.reason[barred] == Reason.BARRIER).all()
    walls = shapely.union_all([building.buffer(-0.01) for building in buildings])
    reached = np.argwhere(answer.reason == Reason.IN_REACH)
    assert len(reached) > 20_000
    for row, col in reached[:: len(reached) // 25]:
        x, y = ground.centre_of(int(row), int(col))
        check_way(answer, x, y)
        route = answer.route_to(x, y)
        assert route is not None
        assert not route.intersects(walls)
