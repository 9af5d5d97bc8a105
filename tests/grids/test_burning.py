"""Barriers drawn on a grid: which cells, and that nothing leaks."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.ndimage import label
from shapely import GeometryCollection, LineString, MultiPoint, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn

SQUARE = Affine(1, 0, 0, 0, -1, 6)


def picture(*shapes: BaseGeometry, leakless: bool = True) -> list[str]:
    """What is drawn on six by six cells of 1 m, north at the top."""
    return ["".join(".#"[cell] for cell in row) for row in burn(shapes, SQUARE, (6, 6), leakless=leakless).astype(int)]


def test_an_outline_along_the_edge_of_cells_takes_no_cell_beside_it() -> None:
    assert picture(box(1, 1, 4, 3)) == ["......", "......", "......", ".###..", ".###..", "......"]


def test_an_area_takes_every_cell_that_it_reaches_into() -> None:
    assert picture(box(1.9, 1.9, 4.1, 3.1)) == ["......", "......", ".####.", ".####.", ".####.", "......"]


def test_a_wall_along_the_edge_of_cells_takes_both_sides() -> None:
    assert picture(LineString([(3, -1), (3, 7)])) == ["..##.."] * 6


def test_a_diagonal_takes_the_cells_beside_each_corner() -> None:
    assert picture(LineString([(0.5, 0.5), (3.5, 3.5)])) == [
        "......",
        "......",
        "..##..",
        ".###..",
        "###...",
        "##....",
    ]


def test_points_collections_and_crossed_outlines() -> None:
    assert picture(GeometryCollection([MultiPoint([(0.5, 5.5), (5.5, 0.5)]), Polygon()])) == [
        "#.....",
        "......",
        "......",
        "......",
        "......",
        ".....#",
    ]
    bow = Polygon([(0, 0), (4, 4), (4, 0), (0, 4)])  # two triangles that meet in a point
    assert burn([bow], SQUARE, (6, 6)).sum() == burn([bow.buffer(0), shapely.make_valid(bow)], SQUARE, (6, 6)).sum()


def test_what_lies_off_the_grid_or_is_empty_takes_nothing() -> None:
    assert not burn([], SQUARE, (6, 6)).any()
    assert not burn([Polygon(), Point(99, 99), box(-9, -9, -1, -1), LineString()], SQUARE, (6, 6)).any()


def test_by_centres_an_area_may_miss_all_cells() -> None:
    assert picture(box(1.6, 1.6, 4.6, 3.4), leakless=False) == ["......"] * 3 + ["..###."] + ["......"] * 2
    assert not burn([box(1.6, 1.6, 2.4, 2.4), LineString([(0, 0), (6, 6)])], SQUARE, (6, 6), leakless=False).any()


def test_a_turned_grid_is_refused() -> None:
    with pytest.raises(InputError, match="turned"):
        burn([box(0, 0, 1, 1)], Affine(1, 0.2, 0, 0.2, -1, 6), (6, 6))


def cells_of(transform: Affine, shape: tuple[int, int]) -> NDArray[np.object_]:
    """The cells as boxes, a hair smaller."""
    row, col = np.mgrid[: shape[0], : shape[1]]
    hair = 1e-6
    west, north = transform.c + col * transform.a, transform.f + row * transform.e
    inset_x, inset_y = hair * transform.a, hair * transform.e
    cells: NDArray[np.object_] = shapely.box(
        west + inset_x, north + transform.e - inset_y, west + transform.a - inset_x, north + inset_y
    )
    return cells


spots = st.tuples(st.floats(-3, 12), st.floats(-3, 12))


@given(st.lists(spots, min_size=3, max_size=7), st.floats(0.3, 2.0), st.floats(0.3, 2.0))
def test_as_each_cell_asked_by_itself(corners: list[tuple[float, float]], cell_x: float, cell_y: float) -> None:
    area = MultiPoint(corners).convex_hull.buffer(0.01)
    transform, shape = Affine(cell_x, 0, 0.1, 0, -cell_y, 9.3), (9, 8)
    expected = shapely.intersects(cells_of(transform, shape), area)
    assert (burn([area], transform, shape) == expected).all()


@given(st.lists(spots, min_size=2, max_size=5, unique=True), st.floats(0.3, 2.0))
def test_a_wall_that_crosses_the_grid_parts_it(spots_: list[tuple[float, float]], cell_y: float) -> None:
    """From the west edge to the east edge, by any spots between: no way is left from north to south, eight ways."""
    shape = (30, 10)
    transform = Affine(1, 0, 0, 0, -cell_y, 15 * cell_y)
    inside = [(x, max(min(y, 10.0), -10.0) * cell_y) for x, y in sorted(spots_) if 0 < x < 10]
    wall = LineString([(-1.0, 0.0), *inside, (11.0, 0.0)])
    burnt = burn([wall], transform, shape)
    numbered, _ = label(~burnt, structure=np.ones((3, 3)))
    assert burnt.any(axis=0).all()
    assert not set(numbered[0]) & set(numbered[-1])
