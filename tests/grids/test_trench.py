"""Ways for trenches: always falling, round what is barred, as cheap as a plain search finds them."""

from __future__ import annotations

import heapq
import math

import numpy as np
import pytest
import shapely
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.grids import Trench, ways_from

PLAIN = Trench(fall=1 / 80, cover_m=0.3, deepest_m=1.0)
NORTH_UP = Affine(1.0, 0.0, 0.0, 0.0, -1.0, 60.0)


def slope(rows: int = 60, cols: int = 60, fall: float = 0.03) -> np.ndarray:
    return np.broadcast_to(100.0 - fall * np.arange(rows, dtype=float)[:, None], (rows, cols)).copy()


def test_down_an_even_slope_it_goes_straight_and_lies_at_its_cover() -> None:
    ways = ways_from(slope(), np.ones((60, 60)), NORTH_UP, start=(30.5, 55.5), trench=PLAIN)
    way = ways.to(50, 30)
    assert way is not None
    assert way.line.length == pytest.approx(46.0)
    # the ground falls more than the trench must; levels are those of cells, a step of 0.03 m apart
    assert way.fall_m == pytest.approx(46.0 * 0.03, abs=0.03)
    assert way.cost == pytest.approx(46.0 * 1.3)  # a metre costs 1 + its depth


def test_against_the_slope_it_gets_deeper_until_it_may_not() -> None:
    ways = ways_from(slope(), np.ones((60, 60)), NORTH_UP, start=(30.5, 20.5), trench=PLAIN)
    up = np.flatnonzero(np.isfinite(ways.bed_m[:, 30]))
    # cover 0.3, deepest 1.0: 0.7 m are lost at 0.03 + 1/80 for each metre: 16 metres
    assert 39 - up.min() == math.floor(0.7 / (0.03 + 1 / 80))


@given(st.integers(0, 1000))
def test_every_way_falls_and_keeps_within_its_depths(seed: int) -> None:
    rng = np.random.default_rng(seed)
    level = slope(40, 40, 0.02) + 0.15 * rng.random((40, 40))
    weight = np.where(rng.random((40, 40)) < 0.15, np.inf, 1.0 + 3.0 * rng.random((40, 40)))
    transform = Affine(1.0, 0.0, 0.0, 0.0, -1.0, 40.0)
    ways = ways_from(level, weight, transform, start=(20.5, 35.5), trench=PLAIN)
    for row, col in rng.integers(0, 40, (12, 2)):
        way = ways.to(int(row), int(col))
        if way is None:
            continue
        corners = shapely.get_coordinates(way.line)
        for first, last, bed_1, bed_2 in zip(corners, corners[1:], way.beds_m, way.beds_m[1:], strict=False):
            assert bed_1 - bed_2 >= PLAIN.fall * math.dist(first, last) - 1e-9
        for barred_row, barred_col in zip(*np.nonzero(np.isinf(weight)), strict=True):
            cell = shapely.box(barred_col, 39 - barred_row, barred_col + 1, 40 - barred_row)
            if not cell.covers(shapely.Point(20.5, 35.5)):  # its own cell is free
                # lines are looked at each half cell: they may cut a corner, and never cross
                assert way.line.intersection(cell).length < 0.75


@given(st.integers(0, 1000))
def test_a_plain_search_finds_the_same_costs(seed: int) -> None:
    rng = np.random.default_rng(seed)
    level = slope(12, 12, 0.05) + 0.05 * rng.random((12, 12))
    weight = np.where(rng.random((12, 12)) < 0.2, np.inf, 1.0 + rng.random((12, 12)))
    transform = Affine(1.0, 0.0, 0.0, 0.0, -1.0, 12.0)
    trench = Trench(fall=1 / 100, cover_m=0.2, deepest_m=5.0)
    found = ways_from(level, weight, transform, start=(6.5, 10.5), trench=trench)
    weight[1, 6] = min(weight[1, 6], 1.0)
    np.testing.assert_allclose(found.cost, _plain_costs(level, weight, (1, 6), trench), rtol=1e-12)


def _plain_costs(level: np.ndarray, weight: np.ndarray, start: tuple[int, int], trench: Trench) -> np.ndarray:
    cost = np.full(level.shape, np.inf)
    cost[start] = 0.0
    done: set[tuple[int, int]] = set()
    waiting = [(0.0, start, level[start] - trench.cover_m)]
    bed_of = {start: level[start] - trench.cover_m}
    moves = [(a, b) for a in range(-2, 3) for b in range(-2, 3) if 1 <= a * a + b * b <= 5 and a * a + b * b != 4]

    def free(row: int, col: int) -> bool:
        return 0 <= row < level.shape[0] and 0 <= col < level.shape[1] and math.isfinite(weight[row, col])

    while waiting:
        _, cell, _ = heapq.heappop(waiting)
        if cell in done:
            continue
        done.add(cell)
        for down, right in moves:
            other = cell[0] + down, cell[1] + right
            if other in done or not free(*other):
                continue
            row, col = cell[0] + int(down / 2), cell[1] + int(right / 2)
            between = ((row, other[1]), (row, cell[1])) if abs(down) == 2 else ((other[0], col), (cell[0], col))
            if 2 in {abs(down), abs(right)} and not all(free(*each) for each in between):
                continue
            length = math.hypot(down, right)
            bed = min(bed_of[cell] - trench.fall * length, level[other] - trench.cover_m)
            deep = level[other] - bed
            whole = cost[cell] + 0.5 * (weight[cell] + weight[other]) * (1 + deep) * length
            if deep <= trench.deepest_m and whole < cost[other]:
                cost[other], bed_of[other] = whole, bed
                heapq.heappush(waiting, (whole, other, bed))
    return cost


def test_it_goes_round_a_building() -> None:
    weight = np.ones((60, 60))
    weight[25:35, 10:50] = np.inf
    way = ways_from(slope(), weight, NORTH_UP, start=(30.5, 55.5), trench=PLAIN).to(50, 30)
    assert way is not None
    assert not way.line.intersects(shapely.box(10.1, 25.1, 49.9, 34.9))
    # the shortest way round two corners, a cell's width off at most
    assert way.line.length == pytest.approx(2 * math.hypot(20, 20.5) + 10, rel=0.06)


@pytest.mark.parametrize(
    ("start", "trench"),
    [((-1.0, 5.0), PLAIN), ((5.5, 5.5), Trench(fall=0.01, cover_m=0.5, deepest_m=0.2))],
)
def test_what_cannot_be_dug_is_refused(start: tuple[float, float], trench: Trench) -> None:
    with pytest.raises(InputError):
        ways_from(slope(), np.ones((60, 60)), NORTH_UP, start=start, trench=trench)
