"""Drawing: points, rectangles, typed lengths, snapping, and what a new thing belongs to."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from pytestqt.qtbot import QtBot
from shapely import box

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.plan.draw_tool import DrawTool
from gardenwater.desktop.plan.events import Held, Key, PlanKey
from gardenwater.site.things import (
    Bed,
    Diverter,
    Door,
    Downpipe,
    Gutter,
    LevelPeg,
    Link,
    Overflow,
    Tank,
    Tap,
    WateringLine,
)

NewHand = Callable[[Any], Any]
FREE = Held(alt=True)
SQUARE = Held(shift=True)


def _tool(desk: Desk, sight: Any, kind: str) -> DrawTool:
    desk.draw(kind)
    return DrawTool(sight, kind)


def test_clicks_draw_a_bed_that_is_named_selected_and_one_edit(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "bed"))
    for at in ((20, 22), (24, 22), (24, 26), (20, 26)):
        person.click(at, FREE)
    person.tool.key(Key(PlanKey.ENTER))
    (bed,) = desk.selected
    assert isinstance(bed, Bed)
    assert bed.name == "Bed 1"
    assert bed.shape.equals(box(20, 22, 24, 26))
    assert desk.tool == ""
    desk.undo()
    assert bed.id not in desk.site


def test_a_click_on_the_first_corner_closes_the_outline(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "bed"))
    for at in ((20, 22), (24, 22), (24, 26)):
        person.click(at, FREE)
    person.move((20.2, 22.2))
    assert person.tool.live.draft.snap.words == "first corner"
    person.click((20.2, 22.2))
    assert desk.selected[0].shape.area == pytest.approx(8.0)


def test_a_drag_draws_a_rectangle(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "roof"))
    person.drag((22, 21), (30, 27), FREE)
    assert desk.selected[0].shape.equals(box(22, 21, 30, 27))


def test_a_rectangle_begun_on_an_edge_lies_along_it(desk: Desk, sight: Any, hand: NewHand) -> None:
    """From the top of the wall's line, which runs east, at its west end: sides run along the wall."""
    person = hand(_tool(desk, sight, "bed"))
    person.drag((27.0, 20.1), (30, 24))
    assert desk.selected[0].shape.bounds == pytest.approx((27.0, 20.0, 30, 24))


def test_typed_length_and_bearing_set_the_point(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "wall"))
    person.click((22, 22), FREE)
    person.move((25, 25), FREE)
    person.tool.typed(9.0, 90.0)
    assert person.tool.live.draft.snap.at == pytest.approx((31.0, 22.0))
    assert person.tool.enter()
    person.move((31, 25), FREE)
    person.tool.typed(2.5, None)
    assert person.tool.enter()
    person.tool.key(Key(PlanKey.ENTER))
    assert list(desk.selected[0].shape.coords) == [
        pytest.approx((22, 22)), pytest.approx((31, 22)), pytest.approx((31, 24.5)),
    ]  # fmt: skip


def test_a_typed_bearing_alone_holds_the_direction(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "path"))
    person.click((22, 22), FREE)
    person.tool.typed(None, 45.0)
    person.move((24, 25), FREE)
    at = person.tool.live.draft.snap.at
    assert at[0] - 22 == pytest.approx(at[1] - 22)
    assert math.dist(at, (22, 22)) == pytest.approx(math.dist((24, 25), (22, 22)))


def test_shift_squares_to_the_last_side_and_lines_up_with_the_first_corner(
    desk: Desk, sight: Any, hand: NewHand
) -> None:
    person = hand(_tool(desk, sight, "bed"))
    person.click((20, 22), FREE)
    person.click((24, 23), FREE)
    person.click((23.3, 26.2), SQUARE)
    side, turn = (4.0, 1.0), None
    points = person.tool.live.draft.points
    turn = points[2][0] - points[1][0], points[2][1] - points[1][1]
    assert side[0] * turn[0] + side[1] * turn[1] == pytest.approx(0.0, abs=1e-9)
    person.move((19.2, 25.1), SQUARE)
    assert person.tool.live.draft.snap.words == "square under the first corner"
    person.click((19.2, 25.1), SQUARE)
    person.tool.key(Key(PlanKey.ENTER))
    assert desk.selected[0].shape.minimum_rotated_rectangle.area == pytest.approx(desk.selected[0].shape.area)


def test_backspace_takes_the_last_point_away_and_esc_gives_up(
    desk: Desk, sight: Any, hand: NewHand, garden: Any
) -> None:
    person = hand(_tool(desk, sight, "path"))
    for at in ((20, 22), (24, 22), (24, 26)):
        person.click(at, FREE)
    person.tool.key(Key(PlanKey.BACKSPACE))
    assert person.tool.live.draft.points == ((20, 22), (24, 22))
    person.tool.key(Key(PlanKey.ESCAPE))
    assert desk.tool == ""
    assert desk.site is garden


def test_enter_with_too_few_points_says_so_and_keeps_them(desk: Desk, sight: Any, hand: NewHand, qtbot: QtBot) -> None:
    person = hand(_tool(desk, sight, "bed"))
    person.click((20, 22), FREE)
    person.click((24, 22), FREE)
    with qtbot.waitSignal(desk.problem) as told:
        person.tool.key(Key(PlanKey.ENTER))
    assert "2 of 3 points" in told.args[0].what
    assert len(person.tool.live.draft.points) == 2


def test_an_outline_that_crosses_itself_is_refused(
    desk: Desk, sight: Any, hand: NewHand, qtbot: QtBot, garden: Any
) -> None:
    person = hand(_tool(desk, sight, "bed"))
    for at in ((20, 22), (24, 26), (24, 22), (20, 26)):
        person.click(at, FREE)
    with qtbot.waitSignal(desk.problem):
        person.tool.key(Key(PlanKey.ENTER))
    assert desk.site is garden


def test_points_snap_to_corners_edges_and_the_grid(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "path"))
    person.move((13.3, 14.2))
    assert person.tool.live.draft.snap.at == (13.0, 14.0)
    assert person.tool.live.draft.snap.words == "corner of Beans"
    person.move((9.0, 14.3))
    assert person.tool.live.draft.snap.at == pytest.approx((9.0, 14.0))
    assert person.tool.live.draft.snap.words == "edge of Beans"
    person.move((20.2, 10.1))
    assert person.tool.live.draft.snap.at == pytest.approx((20.0, 10.0))
    assert person.tool.live.draft.snap.words == "grid 20, 10"
    person.move((13.3, 14.2), FREE)
    assert person.tool.live.draft.snap.at == (13.3, 14.2)


def test_a_downpipe_at_the_eaves_belongs_to_that_roof(desk: Desk, sight: Any, hand: NewHand) -> None:
    hand(_tool(desk, sight, "downpipe")).click((9.7, 20.0))
    (pipe,) = desk.selected
    assert isinstance(pipe, Downpipe)
    assert pipe.roof == "roof-1"
    assert pipe.shape.coords[0] == pytest.approx((10.0, 20.0))


def test_a_diverter_at_a_downpipe_leads_to_the_tank_beside_it(desk: Desk, sight: Any, hand: NewHand) -> None:
    hand(_tool(desk, sight, "diverter")).click((18.3, 18.3))
    (diverter,) = desk.selected
    assert isinstance(diverter, Diverter)
    assert (diverter.downpipe, diverter.tank) == ("downpipe-1", "tank-1")
    assert diverter.shape.coords[0] == (18.0, 18.0)


def test_a_gutter_along_the_eaves_to_a_downpipe_belongs_to_both(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "gutter"))
    person.click((10.1, 18.2))
    person.click((17.8, 17.8))
    person.tool.key(Key(PlanKey.ENTER))
    (gutter,) = desk.selected
    assert isinstance(gutter, Gutter)
    assert (gutter.roof, gutter.downpipe) == ("roof-1", "downpipe-1")


def test_an_overflow_belongs_to_the_tank_it_leaves_and_the_taker_it_ends_in(
    desk: Desk, sight: Any, hand: NewHand
) -> None:
    person = hand(_tool(desk, sight, "overflow"))
    person.click((19.6, 17.6))
    person.click((31.5, 13.5), FREE)
    person.tool.key(Key(PlanKey.ENTER))
    (pipe,) = desk.selected
    assert isinstance(pipe, Overflow)
    assert (pipe.tank, pipe.taker) == ("tank-1", "soakaway-1")


def test_a_watering_line_and_a_tap_belong_to_their_tank(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "watering_line"))
    person.click((19.6, 17.6))
    person.click((9, 12), FREE)
    person.tool.key(Key(PlanKey.ENTER))
    assert isinstance(desk.selected[0], WateringLine)
    assert desk.selected[0].tank == "tank-1"
    hand(_tool(desk, sight, "tap")).click((20.4, 17.4), FREE)
    assert isinstance(desk.selected[0], Tap)
    assert desk.selected[0].tank == "tank-1"


def test_a_link_joins_two_tanks_with_its_second_point(desk: Desk, sight: Any, hand: NewHand) -> None:
    hand(_tool(desk, sight, "tank")).click((24, 17.5), FREE)
    other = desk.selected[0].id
    person = hand(_tool(desk, sight, "link"))
    person.click((19.6, 17.6))
    person.click((24.1, 17.4))
    (link,) = desk.selected
    assert isinstance(link, Link)
    assert (link.tank_a, link.tank_b) == ("tank-1", other)


def test_a_link_to_nothing_is_refused_in_words(desk: Desk, sight: Any, hand: NewHand, qtbot: QtBot) -> None:
    person = hand(_tool(desk, sight, "link"))
    person.click((19.6, 17.6))
    with qtbot.waitSignal(desk.problem) as told:
        person.click((30.0, 25.0))
    assert "joins two tanks" in told.args[0].what


def test_a_level_peg_begins_with_the_level_of_the_ground(desk: Desk, sight: Any, hand: NewHand) -> None:
    """The plain sight's ground is 100 m + y / 10."""
    hand(_tool(desk, sight, "level_peg")).click((3, 25), FREE)
    assert isinstance(desk.selected[0], LevelPeg)
    assert desk.selected[0].level_m == pytest.approx(102.5)


def test_a_slope_arrow_begins_with_the_fall_of_the_ground(desk: Desk, sight: Any, hand: NewHand) -> None:
    person = hand(_tool(desk, sight, "slope_arrow"))
    person.click((3, 25), FREE)
    person.click((3, 20), FREE)
    assert desk.selected[0].one_in == pytest.approx(10.0)  # type: ignore[attr-defined]


def test_a_door_opens_outwards_from_its_wall(desk: Desk, sight: Any, hand: NewHand) -> None:
    hand(_tool(desk, sight, "door")).click((14, 18.35))
    (door,) = desk.selected
    assert isinstance(door, Door)
    assert door.shape.coords[0] == pytest.approx((14, 18.3))
    assert door.bearing_deg == pytest.approx(180.0)


def test_a_tank_cannot_be_put_under_a_roof(desk: Desk, sight: Any, hand: NewHand, qtbot: QtBot, garden: Any) -> None:
    person = hand(_tool(desk, sight, "tank"))
    with qtbot.waitSignal(desk.problem) as told:
        person.click((12, 21), FREE)
    assert told.args[0].what == "Under the roof of Shed roof."
    assert told.args[0].mend == "Nearest place that can be: 2.3 m west.", "walls at 10.3, radius 0.6, clear by 0.05"
    assert desk.site is garden
    person.click((8, 20), FREE)
    assert isinstance(desk.selected[0], Tank)


def test_the_cross_of_the_keys_sets_points_with_enter(desk: Desk, sight: Any) -> None:
    tool = _tool(desk, sight, "path")
    for at in ((22.0, 22.0), (25.0, 22.0)):
        event = sight.pointer(at, held=FREE)
        tool.move(type(event)(event.px, event.at, held=FREE, by_keys=True))
        tool.key(Key(PlanKey.ENTER))
    tool.key(Key(PlanKey.ENTER))
    assert list(desk.selected[0].shape.coords) == [(22.0, 22.0), (25.0, 22.0)]
