from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.report.drawing import Rect
from gardenwater.report.paths import (
    after,
    at_lengths,
    below,
    circle,
    each,
    hatch,
    heads,
    inside,
    left_of,
    lengths,
    outset,
    outside,
    parallel,
    rounded,
    scallops,
    signed_area,
)

SQUARE = np.array(((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)))
ELL = np.array(((0.0, 0.0), (90.0, 0.0), (90.0, 30.0), (40.0, 30.0), (40.0, 80.0), (0.0, 80.0)))


def test_a_circle_has_its_radius() -> None:
    assert np.hypot(*(circle(5, 7, 30).points - (5, 7)).T) == pytest.approx(30)


def test_left_is_up_for_what_runs_to_the_right_on_the_screen() -> None:
    assert left_of(np.array(((1.0, 0.0),)))[0] == pytest.approx((0, -1))


def test_a_parallel_keeps_its_distance_round_a_corner() -> None:
    run = np.array(((0.0, 0.0), (50.0, 0.0), (50.0, 40.0)))
    moved = parallel(run, 5.0)
    assert moved == pytest.approx(np.array(((0, -5), (55, -5), (55, 40))))


@pytest.mark.parametrize("outline", [SQUARE, SQUARE[::-1], ELL, ELL[::-1]])
def test_an_outset_outline_lies_outside(outline: np.ndarray) -> None:
    grown = shapely.Polygon(outset(outline, 4.0))
    wanted = shapely.Polygon(outline).buffer(4.0, join_style="mitre")
    assert grown.symmetric_difference(wanted).area == pytest.approx(0, abs=1e-6)


def test_stops_along_a_run_lie_at_their_lengths() -> None:
    run = np.array(((0.0, 0.0), (30.0, 0.0), (30.0, 40.0)))
    points, direction = at_lengths(run, [0, 30, 50, 1000])
    assert points == pytest.approx(np.array(((0, 0), (30, 0), (30, 20), (30, 40))))
    assert direction[-1] == pytest.approx((0, 1))
    assert lengths(run) == pytest.approx((0, 30, 70))


def test_each_leaves_half_a_step_before_the_first() -> None:
    points, _ = each(np.array(((0.0, 0.0), (100.0, 0.0))), 40.0)
    assert points[:, 0] == pytest.approx((20, 60))


def test_heads_end_in_their_tips() -> None:
    ends = heads(np.array(((10.0, 10.0),)), np.array(((1.0, 0.0),)), 6.0, 4.0)
    assert ends.shape == (2, 2, 2)
    assert any(np.allclose(stroke[1], (10, 10)) for stroke in ends)
    assert ends[:, :, 0].min() == pytest.approx(4)


@given(st.floats(-90, 90), st.floats(3, 25), st.sampled_from([SQUARE, ELL]))
def test_hatches_lie_inside_and_are_as_dense_as_asked(angle: float, spacing: float, outline: np.ndarray) -> None:
    strokes = hatch([outline], spacing, angle)
    ground = shapely.Polygon(outline).buffer(1e-6)
    lines = [shapely.LineString(stroke) for stroke in strokes]
    assert all(line.within(ground) for line in lines)
    total = sum(line.length for line in lines)
    # all strokes together, each as wide as the spacing, cover the ground but for one stroke at either side
    assert total * spacing == pytest.approx(ground.area, abs=2.2 * spacing * np.hypot(100, 80))


def test_a_hole_is_left_free_of_hatches() -> None:
    hole = np.array(((30.0, 20.0), (70.0, 20.0), (70.0, 40.0), (30.0, 40.0)))
    strokes = hatch([SQUARE, hole], 5.0, 45.0)
    assert not any(shapely.LineString(stroke).intersects(shapely.Polygon(hole).buffer(-1e-6)) for stroke in strokes)


def test_hatches_move_with_what_they_fill() -> None:
    shift = np.array((13.7, 4.2))
    assert hatch([SQUARE + shift], 6.0, -45.0) == pytest.approx(hatch([SQUARE], 6.0, -45.0) + shift)


def test_hatches_are_made_for_what_is_seen_only() -> None:
    few = hatch([SQUARE * 1000], 7.0, -45.0, within=Rect(0, 0, 100, 100))
    assert 0 < len(few) < 60


@pytest.mark.parametrize(("level", "area"), [(0, 6000), (30, 3000), (45, 1500), (61, 0)])
def test_what_lies_below_a_level(level: float, area: float) -> None:
    part = below(SQUARE, level)
    assert (abs(signed_area(part)) if len(part) else 0.0) == pytest.approx(area)


def test_inside_is_even_odd() -> None:
    hole = SQUARE * 0.2 + (40, 20)
    points = np.array(((5.0, 5.0), (45.0, 25.0), (150.0, 5.0)))
    assert inside(points, [SQUARE, hole]).tolist() == [True, False, False]


def test_outside_of_boxes() -> None:
    points = np.array(((5.0, 5.0), (50.0, 50.0)))
    assert outside(points, [Rect(0, 0, 10, 10)]).tolist() == [False, True]
    assert outside(points[:0], [Rect(0, 0, 10, 10)]).tolist() == []


@pytest.mark.parametrize("outline", [SQUARE, SQUARE[::-1]])
def test_scallops_swell_outwards(outline: np.ndarray) -> None:
    edge = shapely.Polygon(scallops(outline, 10.0, 0.3).points)
    assert edge.area > shapely.Polygon(outline).area
    assert edge.within(shapely.Polygon(outline).buffer(4.0))


def test_rounded_corners_take_off_little() -> None:
    # an arc would take off (1 - pi / 4) r^2 of each corner; three points take a little more
    taken_off = 6000 - shapely.Polygon(rounded(SQUARE, 2.0).points).area
    assert 4 * 4 * (1 - np.pi / 4) <= taken_off < 1.4 * 4 * 4 * (1 - np.pi / 4)


def test_after_is_the_next_corner() -> None:
    assert after(SQUARE)[-1] == pytest.approx(SQUARE[0])
