"""The straight skeleton: closed forms, and the laws that every outline obeys."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.affinity import rotate, translate

from gardenwater.catch.skeleton import Edge, corners_of, edges_of, skeleton_faces


def checked(outline: Polygon) -> list[tuple[Edge, Polygon]]:
    """The faces of an outline, held against what makes them a roof of one pitch.

    They sum to the outline, each touches its own edge along all of it, lies inside its edge's line, and where two meet
    they are equally high.
    """
    rings = edges_of(outline)
    edges = [edge for ring in rings for edge in ring]
    faces = skeleton_faces(rings)
    size = outline.length
    assert sum(face.area for face in faces) == pytest.approx(outline.area, rel=1e-9)
    assert shapely.union_all(faces).symmetric_difference(outline).area < 1e-9 * outline.area
    heights: dict[tuple[float, float], list[float]] = defaultdict(list)
    for edge, face in zip(edges, faces, strict=True):
        sides = {frozenset(side) for side in pairwise(corners_of(face.exterior))}
        assert frozenset((edge.start, edge.end)) in sides
        for corner in corners_of(face.exterior)[:-1]:
            heights[corner].append(edge.height(*corner))
    for corner, found in heights.items():
        assert min(found) > -1e-6 * size, corner
        assert np.ptp(found) < 1e-6 * size, corner
    return list(zip(edges, faces, strict=True))


def areas(outline: Polygon) -> list[float]:
    return sorted(round(face.area, 9) for _, face in checked(outline))


@given(long_m=st.floats(2, 40), share=st.floats(0.1, 1.0), turn=st.floats(0, 360), away=st.floats(-1e6, 1e6))
def test_a_rectangle_has_two_triangles_and_two_trapezoids(
    long_m: float, share: float, turn: float, away: float
) -> None:
    # a x b, a >= b: the ends are triangles of height b/2, area b^2/4 each; the sides share the rest.
    wide_m = long_m * share
    outline = translate(rotate(box(0, 0, long_m, wide_m), turn), away, 5 * away)
    expected = sorted([wide_m**2 / 4] * 2 + [(long_m * wide_m - wide_m**2 / 2) / 2] * 2)
    assert sorted(face.area for _, face in checked(outline)) == pytest.approx(expected, rel=1e-5)


@given(
    points=st.lists(st.tuples(st.floats(0, 20), st.floats(0, 20)), min_size=3, max_size=12),
    seed=st.integers(0, 10_000),
)
def test_on_a_convex_outline_each_spot_is_of_the_nearest_edge(points: list[tuple[float, float]], seed: int) -> None:
    outline = shapely.MultiPoint(points).convex_hull.simplify(0.01)
    assume(isinstance(outline, Polygon) and outline.area > 1.0 and outline.minimum_clearance > 0.05)
    found = checked(outline)
    rng = np.random.default_rng(seed)
    west, south, east, north = outline.bounds
    for x, y in zip(rng.uniform(west, east, 40), rng.uniform(south, north, 40), strict=True):
        spot = shapely.Point(x, y)
        if not outline.contains(spot):
            continue
        heights = [edge.height(x, y) for edge, _ in found]
        owner = next(index for index, (_, face) in enumerate(found) if face.distance(spot) < 1e-9)
        assert heights[owner] == pytest.approx(min(heights), abs=1e-6)


def test_two_wings_by_hand() -> None:
    # A 10 x 6 m and a 4 x 6 m wing in an L (arms 6 m and 4 m wide); each face by hand from the hips at 45 degrees:
    # south side 10 + 4 long over depth 3 = 21; east end 6 x 3 / 2 = 9; the inner sides 12 and 17, end 4, west side 21.
    outline = Polygon([(0, 0), (10, 0), (10, 6), (4, 6), (4, 12), (0, 12)])
    assert areas(outline) == [4.0, 9.0, 12.0, 17.0, 21.0, 21.0]


def test_a_cross_has_four_ends_and_eight_sides() -> None:
    # Arms 4 m wide and 4 m long: ends 4 x 2 / 2 = 4, each of the eight sides (4 + 4) x 2 / 2 = 8.
    assert areas(box(0, 4, 12, 8) | box(4, 0, 8, 12)) == [4.0] * 4 + [8.0] * 8


def test_round_a_courtyard_the_ridge_is_half_way() -> None:
    # 20 m round 10 m: outer sides (20 + 15) / 2 x 2.5, inner ones (10 + 15) / 2 x 2.5.
    assert areas(box(0, 0, 20, 20) - box(5, 5, 15, 15)) == [31.25] * 4 + [43.75] * 4


def test_a_courtyard_off_the_middle_joins_the_rings_one_side_after_the_other() -> None:
    assert len(checked(box(0, 0, 20, 20) - box(3, 5, 12, 15))) == 8


boxes = st.lists(
    st.tuples(st.integers(0, 8), st.integers(0, 8), st.integers(2, 9), st.integers(2, 9)), min_size=1, max_size=5
)


@given(parts=boxes, turn=st.sampled_from([0.0, 7.3, 45.0, 123.4]), away=st.sampled_from([0.0, 5e5]))
def test_houses_of_joined_boxes_on_whole_metres(parts: list[tuple[int, ...]], turn: float, away: float) -> None:
    """Whole metres force many events at one moment: sides that vanish together, corners that strike corners."""
    outline = shapely.union_all([box(x, y, x + w, y + h) for x, y, w, h in parts])
    assume(isinstance(outline, Polygon))
    checked(translate(rotate(outline.simplify(0), turn), away, 12 * away))


@given(
    angles=st.lists(st.integers(0, 359), min_size=3, max_size=14, unique=True),
    radii=st.lists(st.floats(2, 10), min_size=14, max_size=14),
)
def test_stars_of_any_kind(angles: list[int], radii: list[float]) -> None:
    turned = np.radians(sorted(angles))
    outline = Polygon([(r * np.cos(a), r * np.sin(a)) for a, r in zip(turned, radii, strict=False)])
    assume(outline.is_valid and outline.area > 3.0 and outline.minimum_clearance > 0.02)
    checked(outline)


def test_every_building_of_two_real_places(bourgogne_outlines: list[Polygon], delft_outlines: list[Polygon]) -> None:
    for outline in (*bourgogne_outlines, *delft_outlines):
        checked(outline)
