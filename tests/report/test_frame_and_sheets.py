from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.findings import Question
from gardenwater.report.drawing import Rect, Shape, Strokes, Text
from gardenwater.report.frame import frame, grid_crosses, grid_step_m, round_step
from gardenwater.report.keys import key_groups
from gardenwater.report.pictures import pictures_of
from gardenwater.report.sheets import (
    KEY_HEIGHT_PX,
    bar_length_m,
    bar_marks,
    bar_size,
    fitting_swatch,
    key,
    key_width,
    north,
    scale_bar,
    slide,
)
from gardenwater.report.typeface import measure
from gardenwater.report.view import View
from gardenwater.units import UnitSystem
from tests.report.made import garden, reach_answers, unknown_roles

scales = st.floats(1e-3, 50.0)
systems = st.sampled_from(UnitSystem)


def view(metres_per_px: float = 0.0767) -> View:
    return View(38.9, 29.1, metres_per_px, 1064, 790)


@given(st.floats(1e-6, 1e9))
def test_round_steps_are_1_2_or_5_times_a_power_of_ten(least: float) -> None:
    step = round_step(least)
    digit = step / 10 ** np.floor(np.log10(step) + 1e-9)
    assert digit == pytest.approx(min((1, 2, 5, 10), key=lambda each: abs(each - digit)), rel=1e-6)
    assert least * (1 - 1e-6) <= step <= 2.5 * least * (1 + 1e-6)


@given(scales, systems)
def test_the_scale_bar_is_round_and_honest(metres_per_px: float, units: UnitSystem) -> None:
    on = view(metres_per_px)
    length = bar_length_m(on, units)
    unit = 0.3048 if units is UnitSystem.US else 1.0
    digit = length / unit / 10 ** np.floor(np.log10(length / unit) + 1e-9)
    assert digit == pytest.approx(min((1, 2, 4), key=lambda each: abs(each - digit)), rel=1e-6)
    assert 100 < length * on.px_per_m <= 270 * (1 + 1e-6)
    marks = bar_marks(on, 50, 80, length, units)
    ticks = next(mark for mark in marks if isinstance(mark, Strokes)).ends[:, 0, 0]
    words = [mark.words.replace("\u00a0", " ").split() for mark in marks if isinstance(mark, Text)]
    shown = np.array([float(word[0]) for word in words])
    assert (ticks - 50) / on.px_per_m == pytest.approx(shown * unit, rel=1e-5)
    assert words[-1][1] == ("ft" if units is UnitSystem.US else "m")


def test_the_scale_bar_of_a_narrow_plan_leaves_it_most_of_its_width() -> None:
    narrow = View(38.9, 29.1, 0.1, 480, 400)
    assert bar_length_m(narrow, UnitSystem.METRIC) * narrow.px_per_m <= 0.28 * narrow.sheet.width


def test_ten_metres_stand_apart_at_the_scale_of_the_usual_window() -> None:
    assert grid_step_m(view(), UnitSystem.METRIC) == pytest.approx(10)
    assert grid_step_m(view(), UnitSystem.US) == pytest.approx(20 * 0.3048)


def test_grid_crosses_stand_at_round_metres() -> None:
    on = view()
    (strokes,) = grid_crosses(on, UnitSystem.METRIC)
    assert isinstance(strokes, Strokes)
    middles = strokes.ends.mean(axis=1)
    spots = np.array([on.to_map(*middle) for middle in middles])
    assert spots / 10 == pytest.approx(np.round(spots / 10), abs=1e-6)


def test_numbers_of_the_margin_are_the_metres_below_them() -> None:
    on = view()
    words = [mark for mark in frame(on, UnitSystem.METRIC) if isinstance(mark, Text)]
    above = [mark for mark in words if mark.y < on.sheet.y]
    assert [mark.words for mark in above] == ["10", "20", "30", "40", "50", "60", "70"]
    for mark in above:
        assert on.to_map(mark.x, 0)[0] == pytest.approx(float(mark.words), abs=1e-6)


def test_long_coordinates_are_cut_to_their_last_digits() -> None:
    far = View(712_345.0, 5_213_456.0, 0.0767, 1064, 790)
    words = [mark.words for mark in frame(far, UnitSystem.METRIC) if isinstance(mark, Text)]
    assert words
    assert max(len(word) for word in words) <= 4


def test_nothing_of_the_frame_is_drawn_on_the_sheet() -> None:
    on = view()
    for mark in frame(on, UnitSystem.METRIC):
        if isinstance(mark, Shape) and mark.fill is not None:
            assert len(mark.path) == 2  # a ring: its inner edge leaves the sheet free


@pytest.mark.parametrize("question", [Question.GROUND, Question.CATCH, Question.REACH])
def test_the_key_is_one_row_with_a_word_under_each_swatch(question: Question) -> None:
    site = garden()
    pictures = pictures_of(reach_answers(site), question)
    groups = key_groups(site, question, pictures, UnitSystem.METRIC, "")
    swatch = fitting_swatch(groups, measure, 700.0)
    assert swatch is not None
    sheet = key(groups, 100, 200, measure, swatch)
    assert sheet.box.height == KEY_HEIGHT_PX == 66
    assert sheet.box.width == pytest.approx(key_width(groups, measure, swatch))
    assert sheet.box.width <= 700
    words = [mark.words for mark in sheet.marks if isinstance(mark, Text)]
    assert set(words) >= {each.words for group in groups for each in group.swatches}
    assert unknown_roles(list(sheet.marks)) == set()


def test_the_key_names_the_tank_and_says_when_it_is_working() -> None:
    site = garden()
    pictures = pictures_of(reach_answers(site), Question.REACH)
    (group,) = key_groups(site, Question.REACH, pictures, UnitSystem.METRIC, "tank")
    assert group.note == "10\u00a0L can, Shed tank alone, as it stands"
    (group,) = key_groups(site, Question.REACH, pictures, UnitSystem.METRIC, "", working=True)
    assert group.note == "working out"
    assert key_groups(site, Question.LASTING, pictures, UnitSystem.METRIC, "") == ()


def test_the_key_of_the_ground_tells_the_dots_only_where_there_are_some() -> None:
    site = garden()
    pictures = pictures_of(reach_answers(site), Question.GROUND)
    (fifths,) = key_groups(site, Question.GROUND, pictures, UnitSystem.METRIC, "")
    few = replace(pictures, ground=replace(pictures.ground, unsure=np.ones((4, 4), dtype=np.uint8)))
    again, dots = key_groups(site, Question.GROUND, few, UnitSystem.METRIC, "")
    assert again.title == fifths.title == "Level, by fifths"
    assert dots.swatches[0].words == "over \u00b1\u00a00.10\u00a0m"


def test_a_key_without_room_has_no_swatch() -> None:
    site = garden()
    groups = key_groups(site, Question.REACH, pictures_of(reach_answers(site), Question.REACH), UnitSystem.METRIC, "")
    assert fitting_swatch(groups, measure, 200.0) is None


SHEET = Rect(34, 30, 1014, 744)


def test_a_sheet_stands_at_home_while_nothing_is_in_its_way() -> None:
    box = slide((300, 66), (True, True), SHEET, (), ())
    assert (box.right, box.bottom) == (SHEET.right - 12, SHEET.bottom - 12)


def test_a_sheet_slides_along_its_edge_and_then_to_the_opposite_one() -> None:
    home = slide((300, 66), (True, True), SHEET, (), ())
    pool = Rect(home.x + 250, home.y + 20, 20, 20)
    moved = slide((300, 66), (True, True), SHEET, (pool,), ())
    assert moved.bottom == home.bottom
    assert not moved.meets(pool)
    whole_edge = Rect(SHEET.x, home.y, SHEET.width, 66)
    above = slide((300, 66), (True, True), SHEET, (whole_edge,), ())
    assert above.y == SHEET.y + 12


def test_a_sheet_never_lies_on_another() -> None:
    bar = slide((300, 44), (False, True), SHEET, (), ())
    box = slide((680, 66), (True, True), SHEET, (), (bar,))
    assert not box.meets(bar)


def test_scale_bar_and_north_stay_within_their_boxes() -> None:
    on = view()
    for sheet in (scale_bar(on, 50, 60, UnitSystem.METRIC, measure), north(50, 60)):
        for mark in sheet.marks:
            points = mark.path[0].points if isinstance(mark, Shape) else None
            if points is not None:
                assert all(sheet.box.grown(1).holds(x, y) for x, y in points)
    assert bar_size(on, UnitSystem.METRIC, measure)[1] == 44
