from __future__ import annotations

import numpy as np
import pytest
import shapely
from affine import Affine

from gardenwater.ground import Ground
from gardenwater.report.drawing import Fill, Picture, Rect
from gardenwater.report.fields import Curve, Curves, corners, equal_lines, finer, rings_above, times_finer, to_view
from gardenwater.report.palette import Scheme, palette
from gardenwater.report.pixels import patch_of
from gardenwater.report.view import View


def ground(rows: int = 40, cols: int = 60, cell_x: float = 1.0, cell_y: float = 0.5) -> Ground:
    return Ground(np.zeros((rows, cols)), Affine(cell_x, 0, 10, 0, -cell_y, 50))


def centres(on: Ground) -> tuple[np.ndarray, np.ndarray]:
    rows, cols = on.shape
    x = on.transform.c + (np.arange(cols) + 0.5) * on.cell_x_m
    y = on.transform.f - (np.arange(rows) + 0.5) * on.cell_y_m
    return np.meshgrid(x, y)


def test_finer_cells_lie_on_the_same_plane() -> None:
    down, across = np.mgrid[0:6, 0:8].astype(np.float32)
    fine = finer(2 * across + 3 * down, 4)
    at_down, at_across = (np.mgrid[0:24, 0:32] + 0.5) / 4 - 0.5
    inner = (slice(2, -2), slice(2, -2))
    assert fine[inner] == pytest.approx((2 * at_across + 3 * at_down)[inner], abs=1e-4)


def test_finer_keeps_what_is_not_known() -> None:
    field = np.ones((4, 4), dtype=np.float32)
    field[1, 2] = np.nan
    fine = finer(field, 3)
    assert np.isnan(fine[3:6, 6:9]).all()
    assert np.isnan(fine).sum() == 9
    assert np.nanmin(fine) == np.nanmax(fine) == 1.0


@pytest.mark.parametrize(("cell", "times"), [(0.1, 1), (0.5, 3), (1.0, 5), (30.0, 6)])
def test_cells_are_drawn_no_finer_than_is_seen(cell: float, times: int) -> None:
    assert times_finer(ground(20, 20, cell, cell)) == times
    assert times_finer(ground(1500, 1500, cell, cell)) == 1


def test_a_line_of_equal_value_runs_where_it_should() -> None:
    on = ground()
    x, y = centres(on)
    distance = np.hypot(x - 40, y - 40).astype(np.float32)
    (circle,) = equal_lines(distance, on, (7.0,))
    # a circle of 7 m on cells of 1 m by 0.5 m; cutting corners moves it by less than an eighth of a cell
    assert np.hypot(*(circle.points - (40, 40)).T) == pytest.approx(7.0, abs=0.125)


def test_no_line_runs_through_what_is_not_known() -> None:
    on = ground()
    x, _ = centres(on)
    field = x.astype(np.float32)
    field[:, 25:35] = np.nan
    assert equal_lines(field, on, (40.0,)) == []


def test_rings_run_round_the_ground_above_a_value_to_the_edge_of_the_grid() -> None:
    on = ground()
    _, y = centres(on)
    rings = rings_above(y.astype(np.float32), on, 40.0)
    west, _, east, north = on.bounds
    assert sum(shapely.Polygon(ring).area for ring in rings) == pytest.approx((east - west) * (north - 40), rel=0.01)


def test_what_is_not_known_is_a_hole() -> None:
    on = ground()
    field = np.ones(on.shape, dtype=np.float32)
    field[15:25, 20:40] = np.nan
    rings = rings_above(field, on, 0.5)
    assert len(rings) == 2


def test_curves_out_of_sight_are_left_out_and_long_ones_cut() -> None:
    long = np.column_stack((np.linspace(0, 1000, 2000), np.zeros(2000)))
    curves = Curves([Curve(long, 1.0), Curve(long + np.array((0, 500)), 2.0)])
    view = View(500, 0, 0.1, 600, 400)
    (seen,) = curves.in_sight(view)
    assert seen.value == 1.0
    assert 100 < len(seen.points) < 200  # 55 m and the room around, two points a metre
    assert Curves([]).in_sight(view) == []


def test_cells_stand_where_their_ground_does() -> None:
    on = ground()
    view = View(40, 40, 0.1, 800, 600)
    a, b, c, d, e, f = to_view(corners(on), view)
    col, row = 7, 3
    centre = on.centre_of(row, col)
    at = (a * (col + 0.5) + b * (row + 0.5) + c, d * (col + 0.5) + e * (row + 0.5) + f)
    assert at == pytest.approx(view.to_px(*centre))


@pytest.mark.parametrize("smooth", [False, True])
def test_the_pixels_of_a_picture_have_the_colours_of_their_cells(smooth: bool) -> None:
    cells = np.array(((0, 1), (2, 1)), dtype=np.uint8)
    table = (None, Fill("reach_1"), Fill("reach_5", 0.5))
    picture = Picture(cells, table, (40.0, 0.0, 10.0, 0.0, 40.0, 20.0), smooth=smooth)
    day = palette(Scheme.LIGHT)
    patch = patch_of(picture, day, within=Rect(0, 0, 200, 200), pixels_per_px=1.0)
    assert patch is not None
    assert patch.box == Rect(10, 20, 80, 80)
    assert patch.rgba.shape == (80, 80, 4)
    assert tuple(patch.rgba[10, 70]) == (*day.rgb("reach_1"), 255)
    assert patch.rgba[10, 10, 3] == 0
    assert patch.rgba[70, 10] == pytest.approx((*day.rgb("reach_5"), 128), abs=1)


def test_a_picture_out_of_sight_has_no_pixels() -> None:
    picture = Picture(np.zeros((2, 2), dtype=np.uint8), (None,), (1.0, 0.0, 500.0, 0.0, 1.0, 500.0))
    assert patch_of(picture, palette(Scheme.LIGHT), within=Rect(0, 0, 200, 200), pixels_per_px=1.0) is None


def test_a_turned_picture_is_turned() -> None:
    cells = np.zeros((2, 4, 4), dtype=np.uint8)
    cells[0, 0] = (255, 0, 0, 255)
    picture = Picture(cells, None, (0.0, -10.0, 60.0, 10.0, 0.0, 20.0))  # a quarter turn to the right
    patch = patch_of(picture, palette(Scheme.LIGHT), within=Rect(0, 0, 200, 200), pixels_per_px=1.0)
    assert patch is not None
    red = np.argwhere(patch.rgba[..., 0] == 255)
    assert patch.box.x + red[:, 1].min() == pytest.approx(50)
    assert patch.box.y + red[:, 0].min() == pytest.approx(20)
