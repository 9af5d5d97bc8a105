"""Contours of a cone, of planes with holes, and of real ground."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from affine import Affine

from gardenwater.errors import Cancelled, InputError
from gardenwater.ground import Ground, contours, levels_at, nice_step_m


def cone(cells: int = 201, cell_m: float = 0.25) -> Ground:
    """A cone of 1 in 2, its top at 10 m in the middle."""
    middle = cells * cell_m / 2
    at = (np.arange(cells) + 0.5) * cell_m - middle
    return Ground(10 - np.hypot(*np.meshgrid(at, at)) / 2, Affine(cell_m, 0, -middle, 0, -cell_m, middle))


def test_contours_of_a_cone_are_joined_circles() -> None:
    lines = [line for line in contours(cone(), 1.0) if line.level_m > 0]
    assert [line.level_m for line in lines] == [float(level) for level in range(1, 10)]
    for line in lines:
        assert line.shape.is_ring
        radius = np.hypot(*shapely.get_coordinates(line.shape).T)
        # 1 in 2: the circle of level z has the radius 2 (10 - z); straight between cells is off by far under a cell.
        assert radius == pytest.approx(2 * (10 - line.level_m), abs=0.02)


def test_smoothed_contours_stay_within_a_quarter_cell_and_closed() -> None:
    for plain, smooth in zip(contours(cone(), 2.0), contours(cone(), 2.0, smooth=2), strict=True):
        assert plain.shape.is_closed == smooth.shape.is_closed
        assert plain.shape.hausdorff_distance(smooth.shape) < 0.25 / 4
        if not plain.shape.is_closed:
            assert plain.shape.coords[0] == smooth.shape.coords[0]
            assert plain.shape.coords[-1] == smooth.shape.coords[-1]
    assert any(not line.shape.is_closed for line in contours(cone(), 2.0))


def test_no_contour_crosses_what_has_no_level() -> None:
    levels = np.arange(12.0)[None, :].repeat(9, axis=0) + 0.5
    levels[3:6, 4:8] = np.nan
    ground = Ground(levels, Affine(1, 0, 0, 0, -1, 9))
    hole = shapely.box(4.5, 3.5, 7.5, 5.5)  # between the centres of the cells without a level
    lines = contours(ground, 1.0)
    assert {line.level_m for line in lines} == {float(level) for level in range(1, 12)}
    assert not any(line.shape.intersects(hole) for line in lines)
    assert sum(line.level_m == 6.0 for line in lines) == 2


def test_on_real_ground_every_contour_runs_at_its_level(nsw: Ground) -> None:
    lines = contours(nsw, 2.0)
    assert {line.level_m for line in lines} == {float(level) for level in range(972, 998, 2)}
    for line in lines[:40]:
        x, y = shapely.get_coordinates(line.shape).T
        assert levels_at(nsw, x, y) == pytest.approx(line.level_m, abs=2e-3)


def test_short_lines_are_left_out(nsw: Ground) -> None:
    every, long = contours(nsw, 0.5), contours(nsw, 0.5, least_length_m=10.0)
    assert 0 < len(long) < len(every)
    assert [line.shape.wkb for line in every if line.shape.length > 10.0] == [line.shape.wkb for line in long]


def test_ground_without_relief_has_no_contours() -> None:
    assert contours(Ground(np.full((5, 5), 3.0), Affine(1, 0, 0, 0, -1, 5)), 0.5) == ()
    assert contours(Ground(np.full((5, 5), np.nan), Affine(1, 0, 0, 0, -1, 5)), 0.5) == ()
    assert contours(Ground([[1.0, 2.0]], Affine(1, 0, 0, 0, -1, 1)), 0.5) == ()


@pytest.mark.parametrize("step_m", [0.0, -1.0, float("nan"), 1e-6])
def test_a_step_that_makes_no_sense_is_refused(step_m: float) -> None:
    with pytest.raises(InputError, match=r"step"):
        contours(cone(41), step_m)


def test_contours_can_be_cancelled() -> None:
    with pytest.raises(Cancelled):
        contours(cone(41), 0.5, cancel=lambda: True)


@pytest.mark.parametrize(
    ("relief_m", "expected"),
    [(0.0, 0.1), (0.3, 0.01), (2.2, 0.1), (6.5, 0.2), (27.4, 1.0), (40.0, 1.0), (41.0, 2.0), (4e6, 1e5)],
)
def test_nice_step_needs_forty_lines_at_most(relief_m: float, expected: float) -> None:
    # By the rule itself: 6.5 / 0.2 = 33 lines, 6.5 / 0.1 would be 65.
    assert nice_step_m(relief_m) == pytest.approx(expected)
