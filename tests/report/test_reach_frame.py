"""A frame of a drag, px by px, against the picture that is drawn when the hand rests, and against the closed form."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import box

from gardenwater.assess import BestReach
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.report.drawing import Picture
from gardenwater.report.kernels_frame import EDGE, HATCH, LIMIT, MARGINAL, OUT, SLOW, SOFT
from gardenwater.report.pictures import pictures_of
from gardenwater.report.reach_frame import reach_frame
from gardenwater.report.reach_picture import frame_picture, limit_marks, marginal_hatch, wash
from gardenwater.report.view import View
from tests.report.made import best_reach, garden, reach_answers, slope

VIEW = View(30, 20, 0.05, 1264, 860)
"""The sheet shows 60.7 x 40.7 m: all of the made ground, which is 60 x 40 m."""


def shown(ground: Ground, reach: BestReach, view: View = VIEW) -> NDArray[np.uint8]:
    (mark,) = wash(frame_picture(ground, reach), view, strength=0.5)
    assert isinstance(mark, Picture)
    assert mark.strength == 0.5
    assert mark.cells.shape == (round(view.sheet.height), round(view.sheet.width))
    return mark.cells


def at(cells: NDArray[np.uint8], x: float, y: float) -> int:
    left, top = VIEW.to_px(x, y)
    return int(cells[int(top - VIEW.sheet.y), int(left - VIEW.sheet.x)])


def test_a_px_has_the_class_of_its_minutes() -> None:
    """Minutes of the made map are 0.5 x 2^(5 s), s from 0 in the east to 1 in the west: edges at each fifth."""
    ground = slope()
    cells = shown(ground, best_reach(ground))
    assert [at(cells, 60 - 59.5 * s - 0.25, 10) for s in (0.1, 0.3, 0.5, 0.7, 0.9)] == [1, 2, 3, 4, 5]
    for s in (0.2, 0.4, 0.6, 0.8):
        left, _ = VIEW.to_px(59.75 - 59.5 * s, 10)
        row = cells[cells.shape[0] * 3 // 4]
        edges = np.flatnonzero(row == EDGE) + VIEW.sheet.x + 0.5
        assert np.abs(edges - left).min() < 0.6  # an edge is a px wide


def test_the_limit_is_a_line_of_two_px_with_a_rim_on_the_bare_side() -> None:
    """Level 100 m on a plane that rises 0.1 m a metre from 100 m at y = 20: reach ends there."""
    ground = slope()
    cells = shown(ground, best_reach(ground, water_level_m=100.0))
    column = cells[:, 400]
    line, rim = np.flatnonzero(column == LIMIT), np.flatnonzero(column == SOFT)
    _, top = VIEW.to_px(30, 20.0)
    assert line.size == 2
    assert line.mean() + VIEW.sheet.y + 0.5 == pytest.approx(top, abs=0.8)
    assert rim.tolist() == [line.min() - 1]
    assert (column[: line.min() - 1] == OUT).all()


def test_what_is_marginal_has_slanted_lines_six_px_apart() -> None:
    ground = slope()  # sure where 0.2 m of head is left: below y = 18
    cells = shown(ground, best_reach(ground))
    row = cells[int(VIEW.to_px(30, 19)[1] - VIEW.sheet.y)]
    inside = np.isin(row, (MARGINAL, HATCH))
    assert inside.mean() > 0.95  # the sheet is a little wider than the ground
    assert set(np.diff(np.flatnonzero(row == HATCH)).tolist()) == {6}
    assert at(cells, 50, 16) in (1, 2)


def test_slow_ground_is_dotted_each_five_px() -> None:
    ground = slope()
    reach = best_reach(ground)
    slow = reach.reason.copy()
    slow[30:40, 40:60] = 1
    cells = shown(ground, replace(reach, reason=slow))
    rows, cols = np.nonzero(cells == SLOW)
    assert set(np.unique(np.diff(np.unique(rows)))) == {5}
    assert set(np.unique(np.diff(np.unique(cols)))) == {5}


def test_a_map_goes_on_under_a_building_and_has_no_limit_there_nor_along_the_end_of_the_ground() -> None:
    ground = slope()
    cells = shown(ground, best_reach(ground, barrier=box(20, 5, 30, 12)))
    assert at(cells, 25, 8) in (1, 2, 3, 4)
    below = int(VIEW.to_px(30, 19)[1] - VIEW.sheet.y)
    assert not (cells[below:] == LIMIT).any()
    hole = ground.level_m.copy()
    hole[50:60, 30:50] = np.nan
    broken = Ground(hole, ground.transform)
    cells = shown(broken, best_reach(broken))
    assert at(cells, 20, 12.5) == OUT
    assert not (cells[below:] == LIMIT).any()


def test_a_frame_agrees_with_the_picture_at_rest() -> None:
    """Px by px, where the one at rest has no line."""
    from gardenwater.report.reach_picture import reach_picture

    ground = slope()
    reach = best_reach(ground)
    cells = shown(ground, reach)
    rest = reach_picture(ground, reach)
    rows, cols = rest.classes.shape
    y, x = np.mgrid[0:rows, 0:cols] + 0.5
    a, _, c, _, e, f = rest.transform
    px = VIEW.all_to_px(np.column_stack(((c + a * x).ravel(), (f + e * y).ravel())))
    col, row = np.floor(px - (VIEW.sheet.x, VIEW.sheet.y)).astype(np.intp).T
    frame = cells[row, col].reshape(rows, cols)
    plain = ~np.isin(frame, (EDGE, LIMIT, SOFT))
    same = np.where(frame == HATCH, MARGINAL, frame) == rest.classes
    assert same[plain].mean() > 0.99


def test_a_frame_has_no_lines_of_its_own_and_takes_over_what_lies_under_buildings() -> None:
    ground = slope()
    reach = best_reach(ground, barrier=box(20, 5, 30, 12))
    picture = frame_picture(ground, reach)
    assert limit_marks(picture, VIEW) == []
    assert marginal_hatch(picture, VIEW) == []
    again = frame_picture(ground, best_reach(ground, barrier=box(20, 5, 30, 12), water_level_m=99.0), picture)
    assert again.frame is not None
    assert picture.frame is not None
    assert again.frame.under is picture.frame.under
    moved = reach_frame(ground, best_reach(ground, barrier=box(21, 5, 31, 12)), picture.frame)
    assert moved.under is not picture.frame.under


def test_a_small_part_of_a_map_and_a_map_smaller_than_a_px_are_drawn() -> None:
    ground = slope()
    near = View(30, 10, 0.002, 600, 500)
    assert (shown(ground, best_reach(ground), near) != OUT).all()
    far = View(30, 10, 20.0, 600, 500)
    assert np.count_nonzero(shown(ground, best_reach(ground), far)) <= 12
    aside = View(3000, 10, 0.05, 600, 500)
    assert not shown(ground, best_reach(ground), aside).any()


def test_answers_of_one_question_are_shown_as_a_frame_and_all_answers_with_their_lines() -> None:
    site = garden()
    full = reach_answers(site)
    own = pictures_of(replace(full, own=True), Question.REACH, focus_tank="")
    assert own.reach is not None
    assert own.reach.frame is not None
    everything = reach_answers(site)
    rest = pictures_of(everything, Question.REACH, focus_tank="", before=own)
    assert rest.reach is not None
    assert rest.reach.frame is None
    assert len(rest.reach.limit) > 0
