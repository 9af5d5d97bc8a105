"""The pointer: picking, selecting, moving, dragging handles, keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from pytestqt.qtbot import QtBot
from shapely import Point

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.plan.corner_tool import CornerTool
from gardenwater.desktop.plan.events import Held, Key, PlanKey
from gardenwater.desktop.plan.pointer_tool import PointerTool
from gardenwater.findings import Question
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import LevelPeg

NewHand = Callable[[Any], Any]
SHIFT = Held(shift=True)
FREE = Held(alt=True)


@pytest.fixture
def person(sight: Any, hand: NewHand) -> Any:
    return hand(PointerTool(sight))


def test_hover_tells_what_is_under_the_pointer(desk: Desk, person: Any) -> None:
    person.move((9, 12))
    assert desk.hovered == "bed-1"
    person.move((19.4, 17.4))
    assert desk.hovered == "tank-1", "a tank before the pipe that leaves it"
    person.move((20, 29))
    assert desk.hovered == "", "the inside of the boundary is empty plan"
    person.move((40, 20))
    assert desk.hovered == "boundary-1"


def test_a_roof_is_picked_before_the_building_under_it_where_that_is_hidden(desk: Desk, person: Any) -> None:
    """The smaller area wins: the walls stand inside the eaves. On the strip between them only the roof is there."""
    person.move((10.1, 21))
    assert desk.hovered == "roof-1"


def test_clicks_select_and_shift_adds_and_takes_away(desk: Desk, person: Any) -> None:
    person.click((9, 12))
    assert desk.selection == ("bed-1",)
    person.click((28, 4), SHIFT)
    assert desk.selection == ("bed-1", "bed-2")
    person.click((9, 12), SHIFT)
    assert desk.selection == ("bed-2",)
    person.click((20, 29))
    assert desk.selection == ()


def test_a_click_on_one_of_several_selects_it_alone(desk: Desk, person: Any) -> None:
    desk.select(["bed-1", "bed-2"])
    person.click((28, 4))
    assert desk.selection == ("bed-2",)


def test_locked_things_are_passed_through(desk: Desk, person: Any) -> None:
    desk.edit("Lock", lambda site: edits.lock(site, "bed-1", locked=True))
    person.click((9, 12))
    assert desk.selection == ()


def test_a_band_selects_what_lies_in_it(desk: Desk, person: Any) -> None:
    person.drag((22, 1), (37, 16))
    assert set(desk.selection) == {"bed-2", "soakaway-1"}
    person.drag((4, 10), (14, 15), SHIFT)
    assert set(desk.selection) == {"bed-1", "bed-2", "soakaway-1"}


def test_a_drag_moves_as_a_tentative_site_and_commits_one_edit(desk: Desk, person: Any, garden: Site) -> None:
    shown: list[bool] = []
    desk.siteChanged.connect(lambda _: shown.append(desk.live))
    person.drag((19.5, 17.5), (21.5, 15.5), FREE, steps=10)
    assert shown.count(True) >= 10
    assert desk.present.get("tank-1").shape.coords[0] == pytest.approx((21.5, 15.5))  # type: ignore[union-attr]
    assert desk.history.undo_label == "Move Shed tank"
    desk.undo()
    assert desk.site is garden
    assert not desk.history.can_undo


def test_esc_in_a_drag_puts_everything_back(desk: Desk, person: Any, garden: Site) -> None:
    person.down((9, 12))
    person.move((14, 15))
    assert desk.live
    assert person.tool.key(Key(PlanKey.DELETE)), "keys but Esc are swallowed while something is dragged"
    person.tool.key(Key(PlanKey.ESCAPE))
    assert desk.site is garden
    person.up((14, 15))
    assert desk.site is garden
    assert desk.selection == ("bed-1",)


def test_a_moved_bed_snaps_its_corner(desk: Desk, person: Any) -> None:
    """Taken near its south-east corner (13, 11), dropped with that corner 0.22 m from the soakaway's (30, 12)."""
    person.drag((12.2, 11.6), (29.0, 12.7))
    assert desk.site.get("bed-1").shape.bounds == pytest.approx((22, 12, 30, 15))  # type: ignore[union-attr]


def test_a_tank_dragged_under_a_roof_goes_back(desk: Desk, person: Any, garden: Site, qtbot: QtBot) -> None:
    person.down((19.5, 17.5))
    person.move((14, 21))
    ghost, slip = person.tool.live.ghost, person.tool.live.slip
    assert ghost.misplaced.why == "Under the roof of Shed roof"
    assert [line.words for line in slip.lines][-1] == "Let go: it goes back"
    with qtbot.waitSignal(desk.noticed):
        person.up((14, 21))
    assert desk.site is garden


def test_a_corner_is_dragged_and_a_half_way_handle_adds_one(desk: Desk, person: Any) -> None:
    person.click((9, 12))
    person.drag((13, 14), (15, 16), FREE)
    assert (15, 16) in desk.site.get("bed-1").shape.exterior.coords  # type: ignore[union-attr]
    person.drag((9, 11), (9, 10), FREE)
    assert len(desk.site.get("bed-1").shape.exterior.coords) == 6  # type: ignore[union-attr]
    assert desk.history.undo_label == "Reshape Beans"


def test_a_corner_that_would_cross_the_outline_goes_back(desk: Desk, person: Any) -> None:
    person.click((9, 12))
    before = desk.site
    person.down((13, 14))
    person.move((3, 12.5), FREE)
    assert person.tool.live.slip is not None
    person.up((3, 12.5), FREE)
    assert desk.site is before


def test_dragging_the_ring_of_a_tank_changes_its_width_and_its_litres(desk: Desk, person: Any) -> None:
    """The handle is 9 px (0.45 m at 20 px a metre) outside; from 1.2 m to 2.4 m wide it holds four times as much."""
    person.click((19.5, 17.5))
    person.drag((19.5 + 0.6 + 0.45, 17.5), (19.5 + 1.2 + 0.45, 17.5))
    tank = desk.site.get("tank-1")
    assert tank.width_m == pytest.approx(2.4)  # type: ignore[union-attr]
    assert tank.capacity_l == pytest.approx(6000)  # type: ignore[union-attr]


def test_the_common_box_scales_several(desk: Desk, person: Any) -> None:
    desk.select(["bed-2", "soakaway-1"])
    person.drag((33, 15), (42, 27))
    assert desk.site.get("bed-2").shape.bounds == pytest.approx((24, 3, 40, 9))  # type: ignore[union-attr]


def test_tab_goes_through_the_things_in_the_order_of_the_tray_and_leaves_at_the_end(desk: Desk, person: Any) -> None:
    seen = []
    while person.tool.key(Key(PlanKey.TAB)):
        seen.append(desk.selection[0])
    assert seen[:4] == ["roof-1", "downpipe-1", "diverter-1", "tank-1"]
    assert len(seen) == len(desk.site.things)
    assert seen.index("bed-1") < seen.index("bed-2"), "west before east"
    assert person.tool.key(Key(PlanKey.BACK_TAB))


def test_keys_nudge_raise_delete_and_go_to_the_card(desk: Desk, person: Any, sight: Any) -> None:
    person.click((19.5, 17.5))
    person.tool.key(Key(PlanKey.RIGHT))
    person.tool.key(Key(PlanKey.UP, held=SHIFT))
    person.tool.key(Key(PlanKey.LEFT, held=FREE))
    assert desk.site.get("tank-1").shape.coords[0] == pytest.approx((19.59, 18.5))  # type: ignore[union-attr]
    person.tool.key(Key(PlanKey.PAGE_UP, held=SHIFT))
    assert desk.site.get("tank-1").stand_height_m == pytest.approx(0.45)  # type: ignore[union-attr]
    person.tool.key(Key(PlanKey.ENTER))
    person.tool.key(Key(PlanKey.ENTER, held=Held(ctrl=True)))
    assert sight.sent == ["card", "corners"]
    person.tool.key(Key(PlanKey.DELETE))
    assert "tank-1" not in desk.site
    assert not person.tool.key(Key(PlanKey.DELETE)), "nothing is selected now"


def test_corners_are_edited_by_keys(desk: Desk, sight: Any) -> None:
    tool = CornerTool(sight, "bed-1")
    assert tool.spoken == "Corner 1 of 4 of Beans"
    first = tool.live.corner
    assert first is not None
    tool.key(Key(PlanKey.RIGHT))
    tool.key(Key(PlanKey.RIGHT))
    assert tool.live.corner == pytest.approx((first[0] + 0.2, first[1]))
    desk.undo()
    assert tool.live.corner == pytest.approx(first), "both presses were one step"
    tool.key(Key(PlanKey.INSERT))
    assert tool.spoken == "Corner 2 of 5 of Beans"
    tool.key(Key(PlanKey.DELETE))
    tool.key(Key(PlanKey.DELETE))
    assert tool.spoken.startswith("Corner 2 of 3")
    tool.key(Key(PlanKey.DELETE))
    assert tool.spoken.startswith("Corner 2 of 3"), "three corners are the least"
    tool.key(Key(PlanKey.ESCAPE))
    assert tool.done


def test_pegs_that_the_plan_does_not_show_are_passed_through(desk: Desk, sight: Any, person: Any) -> None:
    """Pegs are shown in Ground, else from 24 px a metre; the plain sight has 20."""
    desk.edit("Put a peg", lambda site: edits.put(site, LevelPeg(id="level_peg-1", shape=Point(20, 27))))
    person.move((20, 27))
    assert desk.hovered == ""
    person.drag((19, 26), (21, 28))
    assert desk.selection == ()
    desk.ask(Question.GROUND)
    person.move((20, 27.1))
    assert desk.hovered == "level_peg-1"
    desk.ask(Question.REACH)
    sight.px_per_m = 30.0
    person.move((20, 27))
    assert desk.hovered == "level_peg-1"
