"""Planes of roofs of each form, and the lines in which they meet."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, box
from shapely.affinity import rotate

from gardenwater.catch import Assumption, Plane, roof_lines, roof_shape
from gardenwater.site.things import RoofForm
from tests.catch.made import WINGS, roof


def total(planes: tuple[Plane, ...]) -> float:
    return sum(plane.shape.area for plane in planes)


def bearings(planes: tuple[Plane, ...]) -> list[float]:
    return sorted(round(plane.fall_bearing_deg, 6) % 360 for plane in planes)


def test_a_flat_roof_is_one_plane_without_a_fall() -> None:
    (plane,) = roof_shape(roof(form=RoofForm.FLAT)).planes
    assert plane.shape.area == 60
    assert math.isnan(plane.fall_bearing_deg)
    assert plane.eaves == ()


def test_a_gabled_rectangle_has_its_ridge_along_its_longer_sides() -> None:
    planes = roof_shape(roof()).planes
    assert [plane.shape.area for plane in planes] == pytest.approx([30.0, 30.0])
    assert bearings(planes) == [0.0, 180.0]
    lines = roof_lines(roof())
    (ridge,) = lines.ridges
    assert sorted(ridge.coords) == [(0.0, 3.0), (10.0, 3.0)]
    assert (lines.hips, lines.valleys) == ((), ())


def test_the_ridge_of_a_square_runs_east_and_west() -> None:
    (ridge,) = roof_lines(roof(box(0, 0, 6, 6))).ridges
    assert sorted(ridge.coords) == [(0.0, 3.0), (6.0, 3.0)]


def test_gabled_wings_meet_in_a_hip_outside_and_a_valley_inside() -> None:
    # Wings 8.8 and 7.2 m wide. Ridges at half their width: y = 42.0 and x = 22.8.
    shape = roof_shape(roof(WINGS))
    assert bearings(shape.planes) == [0.0, 90.0, 180.0, 270.0]
    assert total(shape.planes) == pytest.approx(WINGS.area, rel=1e-12)
    lines = roof_lines(roof(WINGS))
    assert len(lines.ridges) == 2
    ends = {(round(x, 6), round(y, 6)) for line in lines.ridges for x, y in line.coords}
    assert {(13.6, 42.0), (22.8, 34.0)} <= ends
    (valley,) = lines.valleys
    assert valley.distance(Point(19.2, 37.6)) < 1e-9
    assert any(hip.distance(Point(26.4, 46.4)) < 1e-9 for hip in lines.hips)


def test_two_sides_in_one_line_beside_a_wing_are_one_plane_for_the_drawing() -> None:
    lines = roof_lines(roof(box(0, 0, 16, 6) | box(5, -2, 9, 0)))
    assert len(lines.ridges) == 2
    assert len(lines.valleys) == 2
    assert lines.hips == ()


def test_a_hipped_rectangle_has_four_hips_and_a_ridge() -> None:
    lines = roof_lines(roof(form=RoofForm.HIP))
    assert len(lines.hips) == 4
    assert lines.ridges[0].length == pytest.approx(4.0)
    # Hips run at 45 degrees from corner to ridge: 3 m across both ways.
    assert all(hip.length == pytest.approx(math.hypot(3, 3)) for hip in lines.hips)


@pytest.mark.parametrize("form", [RoofForm.MONO, RoofForm.GABLE, RoofForm.HIP])
def test_each_fall_runs_down_its_plane_to_the_eaves(form: RoofForm) -> None:
    thing = roof(WINGS, form=form, fall_deg=90.0)
    shape = roof_shape(thing)
    falls = roof_lines(thing).falls
    assert len(falls) == len(shape.planes)
    for plane, fall in zip(shape.planes, falls, strict=True):
        (x0, y0), (x1, y1) = fall.coords
        assert math.degrees(math.atan2(x1 - x0, y1 - y0)) % 360 == pytest.approx(plane.fall_bearing_deg, abs=1e-6)
        assert shapely.covers(plane.shape.buffer(1e-6), fall)


@given(turn=st.floats(0, 360), off=st.floats(-9, 9))
def test_one_fall_is_turned_to_the_nearest_side(turn: float, off: float) -> None:
    thing = roof(rotate(box(0, 0, 10, 6), -turn), form=RoofForm.MONO, fall_deg=(180 + turn + off) % 360)
    (plane,) = roof_shape(thing).planes
    miss = (plane.fall_bearing_deg - 180 - turn + 180) % 360 - 180
    assert miss == pytest.approx(0.0, abs=1e-6)


def test_one_fall_between_two_sides_is_kept() -> None:
    (plane,) = roof_shape(roof(form=RoofForm.MONO, fall_deg=140.0)).planes
    assert plane.fall_bearing_deg == pytest.approx(140.0)
    assert len(plane.eaves) == 2


def test_one_fall_that_is_not_given_is_across_the_longest_side_and_said() -> None:
    shape = roof_shape(roof(form=RoofForm.MONO))
    assert shape.assumed is Assumption.FALL
    assert shape.planes[0].fall_bearing_deg in {0.0, 180.0}


def test_an_outline_without_wing_ends_is_halved_along_its_middle() -> None:
    outline = Polygon([(0, 0), (4, -2), (12, -2), (16, 0), (16, 4), (12, 6), (4, 6), (0, 4)])
    shape = roof_shape(roof(outline))
    assert len(shape.planes) == 2
    assert bearings(shape.planes) == [0.0, 180.0]
    assert [plane.shape.area for plane in shape.planes] == pytest.approx([outline.area / 2] * 2)


def test_round_a_courtyard_a_gabled_roof_has_a_ridge_all_round() -> None:
    ridges = roof_lines(roof(box(0, 0, 20, 20) - box(5, 5, 15, 15))).ridges
    assert sum(ridge.length for ridge in ridges) == pytest.approx(60.0)


def test_corners_that_hardly_stand_out_make_no_planes_and_lose_no_area() -> None:
    ragged = Polygon([(0, 0), (4, 0.04), (10, 0), (10.05, 3), (10, 6), (5, 5.97), (0, 6)])
    shape = roof_shape(roof(ragged, form=RoofForm.HIP))
    assert len(shape.planes) == 4
    assert total(shape.planes) == pytest.approx(ragged.area, rel=1e-9)
    assert shapely.union_all([plane.shape for plane in shape.planes]).symmetric_difference(ragged).area < 1e-9


def test_an_outline_that_cannot_be_followed_is_taken_as_flat(monkeypatch: pytest.MonkeyPatch) -> None:
    from gardenwater.catch import planes
    from gardenwater.catch.skeleton import TangledError

    def tangled(rings: object) -> None:
        raise TangledError

    monkeypatch.setattr(planes, "skeleton_faces", tangled)
    shape = roof_shape(roof(form=RoofForm.HIP))
    assert shape.assumed is Assumption.FLAT
    assert total(shape.planes) == 60


@pytest.mark.parametrize("form", list(RoofForm))
def test_planes_of_real_buildings_sum_to_their_plan(
    form: RoofForm, bourgogne_outlines: list[Polygon], delft_outlines: list[Polygon]
) -> None:
    for outline in (*bourgogne_outlines, *delft_outlines):
        shape = roof_shape(roof(outline, form=form))
        assert shape.assumed is (Assumption.FALL if form is RoofForm.MONO else None)
        assert total(shape.planes) == pytest.approx(outline.area, rel=1e-9)
        assert (
            roof_lines(roof(outline, form=form)).ridges
            or form in {RoofForm.FLAT, RoofForm.MONO}
            or len(shape.planes) > 2
        )
