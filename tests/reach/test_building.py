"""Round a building: the way is the exact shortest one, by its corners."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from shapely import LineString, Polygon, box

from gardenwater.hydraulics import Line
from gardenwater.reach import Reason, water_reach
from tests.reach.grounds import centres, ground_of

LINE = Line(25)


def exact_m(start: tuple[float, float], end: tuple[float, float], building: Polygon) -> float:
    """Closed form: straight, or by one or two corners of a rectangle, whichever is clear and shortest."""
    inside = building.buffer(-1e-9)
    corners = list(building.exterior.coords)[:4]
    ways = [()] + [(corner,) for corner in corners] + list(itertools.permutations(corners, 2))
    lengths = [line.length for way in ways if not (line := LineString([start, *way, end])).intersects(inside)]
    return min(lengths)


@pytest.mark.parametrize(("cell_x", "cell_y"), [(0.25, 0.25), (0.2, 0.4)])
def test_within_1_percent_of_the_exact_shortest_way(cell_x: float, cell_y: float) -> None:
    ground = ground_of(np.zeros((int(40 / cell_y), int(40 / cell_x))), cell_x, cell_y)
    building, at = box(14, 16, 28, 24), (18.1, 9.7)
    answer = water_reach(ground, at=at, water_level_m=2.0, line=LINE, barriers=[building])
    x, y = centres(ground)
    straight = np.hypot(x - at[0], y - at[1])
    assert (answer.reason == Reason.BARRIER).sum() == round(14 * 8 / cell_x / cell_y)
    behind = np.argwhere((answer.reason == Reason.IN_REACH) & (answer.distance_m > straight * 1.001))
    assert len(behind) > 1000
    for row, col in behind[:: len(behind) // 200]:
        exact = exact_m(at, (x[row, col], y[row, col]), building)
        assert answer.distance_m[row, col] == pytest.approx(exact, rel=0.01)


def test_the_drawn_way_goes_round_the_building_and_is_as_long_as_the_map_says() -> None:
    ground = ground_of(np.zeros((80, 80)), 0.5, 0.5)
    building, at = box(14, 16, 28, 24), (18.1, 9.7)
    answer = water_reach(ground, at=at, water_level_m=2.0, line=LINE, barriers=[building])
    for x, y in ((20.0, 30.0), (27.0, 25.0), (15.0, 38.0), (39.0, 39.0)):
        route = answer.route_to(x, y)
        assert route is not None
        assert not route.intersects(building.buffer(-1e-6))
        assert route.coords[0] == at
        cell = ground.cell_at(x, y)
        assert cell is not None
        assert route.coords[-1] == ground.centre_of(*cell)
        assert route.length == pytest.approx(float(answer.distance_m[cell]), rel=1e-6)


@pytest.mark.parametrize("bearing_deg", [0, 7, 30, 45, 62, 90, 117, 171])
@pytest.mark.parametrize("thick_m", [0.0, 0.01, 0.3])
def test_no_wall_leaks_at_any_angle(bearing_deg: float, thick_m: float) -> None:
    """A wall through the middle, from edge to edge: all that lies beyond is closed off."""
    ground = ground_of(np.zeros((40, 40)))
    way = math.radians(bearing_deg)
    east, north = math.sin(way), math.cos(way)
    wall = LineString([(20 - 60 * east, 20 - 60 * north), (20 + 60 * east, 20 + 60 * north)])
    at = (20.0 + 8 * north, 20.0 - 8 * east)
    barrier = wall.buffer(thick_m / 2, cap_style="flat") if thick_m else wall
    answer = water_reach(ground, at=at, water_level_m=3.0, line=LINE, barriers=[barrier])
    x, y = centres(ground)
    beyond = (x - 20) * north - (y - 20) * east < -1.5
    assert beyond.sum() > 500
    assert (answer.reason[beyond] == Reason.BARRIER).all()
    assert np.isnan(answer.distance_m[beyond]).all()
    assert (answer.reason[(x - 20) * north - (y - 20) * east > 1.5] == Reason.IN_REACH).all()


def test_a_tank_against_a_wall_stands_on_a_free_cell() -> None:
    ground = ground_of(np.zeros((20, 20)))
    building = box(5.0, 5.0, 15.0, 10.2)  # reaches into the row of cells that the tank stands on
    answer = water_reach(ground, at=(10.5, 10.7), water_level_m=2.0, line=LINE, barriers=[building])
    assert answer.reason[9, 10] == Reason.IN_REACH
    assert answer.reason[9, 9] == answer.reason[9, 11] == Reason.BARRIER
    assert (answer.reason[:9] == Reason.IN_REACH).all()
    assert (answer.reason[15:] == Reason.IN_REACH).all()
