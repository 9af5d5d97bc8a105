"""The needed level: closed form on even ground, by brute force, and the forward pass turned round."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, box

from gardenwater.errors import Cancelled, InputError
from gardenwater.hydraulics import Line, friction_slope, head_loss_m
from gardenwater.reach import Reason, delivery_spot, needed_level, prepare, water_reach
from tests.reach.grounds import centres, ground_of

LINE = Line(19, flow_l_min=3.0)


def test_on_even_ground_it_is_ground_lift_and_losses() -> None:
    line = Line(19, flow_l_min=5.0, lift_m=0.3, least_head_m=0.2, line_height_m=0.1)
    ground = ground_of(np.full((60, 60), 12.0), 0.5, 0.8)
    need = needed_level(ground, bed=box(14, 20, 16, 22), line=line, deliver_at=(15.25, 20.4))
    x, y = centres(ground)
    length = np.hypot(x - 15.25, y - 20.4)
    assert need.dtype == np.float32
    np.testing.assert_allclose(need, 12.0 + 0.5 + np.asarray(head_loss_m(5.0, length, line)), atol=1e-4)
    assert not need.flags.writeable


def test_a_bed_is_served_when_its_highest_cell_is() -> None:
    levels = np.zeros((10, 10))
    levels[3, 4] = 0.4
    levels[5, 5] = 0.3
    ground = ground_of(levels)
    assert delivery_spot(ground, box(3, 3, 7, 8)) == (4.5, 6.5)
    need = needed_level(ground, bed=box(3, 3, 7, 8), line=LINE)
    assert need[3, 4] == pytest.approx(0.4 + float(head_loss_m(3.0, 0.0, LINE)), abs=1e-5)
    # a bed finer than a cell takes the cell that it touches
    assert delivery_spot(ground, box(5.1, 4.1, 5.2, 4.2)) == (5.5, 4.5)
    # a cell that a wall touches cannot be delivered to, while there are others
    wall = LineString([(4.5, 6.5), (4.6, 6.5)])
    assert delivery_spot(prepare(ground, barriers=[wall]), box(3, 3, 7, 8)) == (5.5, 4.5)


def test_a_ridge_between_asks_for_its_own_level() -> None:
    levels = np.zeros((5, 30))
    levels[:, 12] = 2.0
    ground = ground_of(levels)
    need = needed_level(ground, bed=box(2, 2, 3, 3), line=LINE)
    slope = float(friction_slope(3.0, LINE))
    entry = float(head_loss_m(3.0, 0.0, Line(19, fittings_k=1.5)))
    assert need[2, 12] == pytest.approx(2.0 + entry, abs=1e-5)
    assert need[2, 29] == pytest.approx(2.0 + 17 * slope + entry, abs=1e-4)
    assert need[2, 11] < 0.1


def test_on_a_barrier_where_a_line_can_be_led_away_and_nowhere_that_is_closed_off() -> None:
    ground = ground_of(np.zeros((9, 12)))
    yard = box(6.2, 2.2, 10.8, 6.8)
    need = needed_level(ground, bed=box(1, 4, 2, 5), line=LINE, barriers=[yard])
    assert np.isfinite(need[4, 6])  # at the wall
    assert np.isnan(need[4, 8])  # inside the building
    blocked = needed_level(ground, bed=box(8, 4, 9, 5), line=LINE, barriers=[yard])
    assert np.isnan(blocked).all()  # a bed inside it


@st.composite
def gardens(draw: st.DrawFn) -> tuple[np.ndarray, tuple[float, float], list[LineString], Line, float]:
    rows, cols = draw(st.integers(3, 9)), draw(st.integers(3, 9))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    if draw(st.booleans()):
        levels = rng.normal(0, 0.3, (rows, cols))
    else:
        ridges = rng.random((rows, cols)) < 0.3
        levels = np.where(ridges, rng.uniform(0.5, 1.2, (rows, cols)), rng.uniform(0, 0.3, (rows, cols)))
    levels[rng.random((rows, cols)) < 0.05] = np.nan
    cell = draw(st.floats(0.5, 2.0)), draw(st.floats(0.5, 2.0))
    walls = [
        LineString(rng.uniform(0, 1, (2, 2)) * (cols * cell[0], rows * cell[1])) for _ in range(draw(st.integers(0, 2)))
    ]
    line = Line(
        19,
        flow_l_min=draw(st.sampled_from([0.5, 3.0])),
        lift_m=draw(st.sampled_from([0.0, 0.3])),
        line_height_m=draw(st.sampled_from([0.0, 0.1])),
    )
    return levels, cell, walls, line, draw(st.floats(0, 1))


@settings(max_examples=15)
@given(gardens())
def test_a_spot_serves_a_bed_from_its_needed_level_on(
    garden: tuple[np.ndarray, tuple[float, float], list[LineString], Line, float],
) -> None:
    """Brute force from every cell: not served a band below the needed level, served a band above it."""
    levels, cell_m, walls, line, where = garden
    ground = ground_of(levels, *cell_m)
    known = [tuple(map(int, cell)) for cell in np.argwhere(~np.isnan(levels))]
    if not known:
        return
    spot = known[min(int(where * len(known)), len(known) - 1)]
    prepared = prepare(ground, barriers=walls)
    need = needed_level(prepared, bed=Polygon(), line=line, deliver_at=ground.centre_of(*spot))
    slope = float(friction_slope(line.flow_l_min, line))

    def reason(cell: tuple[int, int], level_m: float) -> tuple[int, float]:
        answer = water_reach(prepared, at=ground.centre_of(*cell), water_level_m=level_m, line=line)
        return int(answer.reason[spot]), float(answer.distance_m[spot])

    for cell in known[::5]:
        if cell == spot:
            continue
        level_m = float(need[cell])
        if math.isnan(level_m):
            assert reason(cell, 100.0)[0] != Reason.IN_REACH
            continue
        _, distance = reason(cell, level_m + 1.0)
        band = 0.005 + 0.005 * slope * distance
        assert reason(cell, level_m + band)[0] == Reason.IN_REACH
        assert reason(cell, level_m - band)[0] != Reason.IN_REACH


def test_a_lower_bed_never_needs_more() -> None:
    rng = np.random.default_rng(7)
    levels = rng.normal(0, 0.3, (20, 20))
    high = needed_level(ground_of(levels), bed=Polygon(), line=LINE, deliver_at=(10.5, 10.5))
    levels[9, 10] -= 0.2
    low = needed_level(ground_of(levels), bed=Polygon(), line=LINE, deliver_at=(10.5, 10.5))
    assert (low <= high + 1e-6).all()


def test_what_cannot_be_served_is_said() -> None:
    levels = np.zeros((5, 5))
    levels[0, :2] = np.nan
    ground = ground_of(levels)
    for bed in (box(50, 50, 51, 51), box(0.1, 4.1, 1.9, 4.9), Polygon()):
        with pytest.raises(InputError, match="under the bed"):
            needed_level(ground, bed=bed, line=LINE)
    for spot in ((9.0, 9.0), (0.5, 4.5), (math.nan, 1.0)):
        with pytest.raises(InputError, match="delivery spot"):
            needed_level(ground, bed=box(2, 2, 3, 3), line=LINE, deliver_at=spot)


def test_it_can_be_cancelled_and_tells_how_far_it_is() -> None:
    ground = ground_of(np.zeros((300, 300)))
    with pytest.raises(Cancelled):
        needed_level(ground, bed=box(2, 2, 3, 3), line=LINE, cancel=lambda: True)
    told: list[float] = []
    needed_level(ground, bed=box(2, 2, 3, 3), line=LINE, progress=lambda share, _: told.append(share))
    assert told[-1] == 1.0
    assert len(told) > 3
