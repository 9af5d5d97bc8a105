"""The plan as a widget: real events of Qt, zoom, moving the sheet, the field, Tab, the menu, what is said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QContextMenuEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QMenu, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from gardenwater.desktop.attention import Theme
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look, Motion
from gardenwater.desktop.plan.camera import between
from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.value_field import ValueField
from gardenwater.desktop.plan.widget import PlanWidget
from gardenwater.report.palette import Scheme, palette
from gardenwater.report.view import View
from gardenwater.site.model import Site

LEFT = Qt.MouseButton.LeftButton
NONE = Qt.KeyboardModifier.NoModifier


@pytest.fixture
def look(qapp: QApplication) -> Iterator[Look]:
    made = Look(qapp)
    made.set_motion(Motion.REDUCED)
    made.set_theme(Theme.LIGHT)
    yield made
    made.deleteLater()


@pytest.fixture
def plan(qtbot: QtBot, desk: Desk, look: Look) -> PlanWidget:
    made = PlanWidget(desk, look)
    qtbot.addWidget(made)
    made.resize(900, 700)
    made.show()
    qtbot.waitExposed(made)
    made.setFocus()
    return made


def _px(plan: PlanWidget, at: XY) -> QPoint:
    x, y = plan.view.to_px(*at)
    return QPoint(round(x), round(y))


def _drag(plan: PlanWidget, start: QPoint, end: QPoint, button: Qt.MouseButton = LEFT) -> None:
    QTest.mousePress(plan, button, NONE, start)
    for step in range(1, 6):
        QTest.mouseMove(plan, start + (end - start) * step / 5)
    QTest.mouseRelease(plan, button, NONE, end)


def _wheel(plan: PlanWidget, at: QPoint, notches: float, held: Qt.KeyboardModifier = NONE) -> None:
    place = QPointF(at)
    event = QWheelEvent(
        place, QPointF(plan.mapToGlobal(at)), QPoint(), QPoint(0, round(notches * 120)), Qt.MouseButton.NoButton, held,
        Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(plan, event)


def test_the_whole_site_is_in_sight_at_first(plan: PlanWidget) -> None:
    west, south, east, north = plan.view.bounds
    assert west < 0
    assert south < 0
    assert east > 40
    assert north > 30


@pytest.mark.parametrize("notches", [1, 4, -3])
def test_the_wheel_keeps_the_point_under_the_pointer(plan: PlanWidget, notches: int) -> None:
    at = QPoint(250, 500)
    before = plan.view.to_map(at.x(), at.y())
    scale = plan.view.px_per_m
    _wheel(plan, at, notches)
    assert plan.view.to_map(at.x(), at.y()) == pytest.approx(before)
    assert plan.view.px_per_m == pytest.approx(scale * 1.25**notches)


def test_an_eased_zoom_keeps_the_point_all_the_way(qtbot: QtBot, plan: PlanWidget, look: Look) -> None:
    start = plan.view
    goal = start.zoomed(3.0, (250.0, 500.0))
    for share in (0.0, 0.2, 0.5, 0.9, 1.0):
        step = between(start, goal, share)
        assert step.to_px(*start.to_map(250.0, 500.0)) == pytest.approx((250.0, 500.0))
    assert between(start, goal, 1.0).px_per_m == pytest.approx(goal.px_per_m)


def test_a_step_between_views_of_one_scale_is_even() -> None:
    a = View(0.0, 0.0, 0.1, 500, 400)
    b = View(10.0, 4.0, 0.1, 500, 400)
    half = between(a, b, 0.5)
    assert (half.centre_x, half.centre_y) == pytest.approx((5.0, 2.0))


def test_the_middle_button_and_space_move_the_sheet(plan: PlanWidget) -> None:
    before = plan.view.to_px(20.0, 15.0)
    _drag(plan, QPoint(300, 300), QPoint(340, 280), Qt.MouseButton.MiddleButton)
    assert plan.view.to_px(20.0, 15.0) == pytest.approx((before[0] + 40, before[1] - 20))
    QTest.keyPress(plan, Qt.Key.Key_Space)
    _drag(plan, QPoint(340, 280), QPoint(300, 300))
    QTest.keyRelease(plan, Qt.Key.Key_Space)
    assert plan.view.to_px(20.0, 15.0) == pytest.approx(before)


def test_keys_move_the_sheet_and_show_the_whole_or_the_selected(plan: PlanWidget, desk: Desk) -> None:
    whole = plan.view
    QTest.keyClick(plan, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert plan.view.centre_x > whole.centre_x
    desk.select(["bed-2"])
    QTest.keyClick(plan, Qt.Key.Key_Home, Qt.KeyboardModifier.ShiftModifier)
    assert (plan.view.centre_x, plan.view.centre_y) == pytest.approx((28.0, 4.5))
    assert plan.view.px_per_m > whole.px_per_m
    QTest.keyClick(plan, Qt.Key.Key_Home)
    assert plan.view == whole


def test_shift_and_wheel_move_sideways(plan: PlanWidget) -> None:
    before = plan.view
    _wheel(plan, QPoint(300, 300), 1, Qt.KeyboardModifier.ShiftModifier)
    assert plan.view.centre_x < before.centre_x
    assert plan.view.px_per_m == before.px_per_m


def test_a_hand_moves_a_tank_in_one_edit(plan: PlanWidget, desk: Desk, garden: Site) -> None:
    _drag(plan, _px(plan, (19.5, 17.5)), _px(plan, (23.0, 15.0)))
    tank = desk.site.get("tank-1")
    assert tank is not None
    assert tank.shape.coords[0] == pytest.approx((23.0, 15.0), abs=0.1)
    desk.undo()
    assert desk.site is garden


def test_typed_length_and_bearing_draw_a_wall(plan: PlanWidget, desk: Desk) -> None:
    desk.draw("wall")
    QTest.mouseClick(plan, LEFT, NONE, _px(plan, (22.0, 26.0)))
    start = plan.view.to_map(*_as_xy(_px(plan, (22.0, 26.0))))
    QTest.keyClicks(plan, "9")
    field = plan.findChild(ValueField)
    assert field is not None
    assert field.isVisible()
    length, bearing = field.findChildren(QLineEdit)
    assert length.text() == "9"
    QTest.keyClicks(length, ".25")
    QTest.keyClick(length, Qt.Key.Key_Tab)
    QTest.keyClicks(bearing, "90")
    QTest.keyClick(bearing, Qt.Key.Key_Return)
    assert not field.isVisible()
    QTest.keyClick(plan, Qt.Key.Key_Return)
    wall = desk.selected[0]
    assert wall.kind == "wall"
    assert wall.shape.length == pytest.approx(9.25)
    assert wall.shape.coords[1] == pytest.approx((start[0] + 9.25, start[1]), abs=0.011)


def _as_xy(point: QPoint) -> XY:
    return float(point.x()), float(point.y())


def test_esc_closes_the_field_and_then_gives_up(plan: PlanWidget, desk: Desk) -> None:
    desk.draw("path")
    QTest.mouseClick(plan, LEFT, NONE, _px(plan, (22.0, 26.0)))
    QTest.keyClicks(plan, "4")
    field = plan.findChild(ValueField)
    assert field is not None
    QTest.keyClick(field.findChildren(QLineEdit)[0], Qt.Key.Key_Escape)
    assert not field.isVisible()
    assert desk.tool == "path"
    QTest.keyClick(plan, Qt.Key.Key_Escape)
    assert desk.tool == ""


def test_tab_goes_through_the_things_and_after_esc_leaves(qtbot: QtBot, desk: Desk, look: Look) -> None:
    box = QWidget()
    qtbot.addWidget(box)
    rows = QVBoxLayout(box)
    plan, other = PlanWidget(desk, look), QLineEdit()
    rows.addWidget(plan)
    rows.addWidget(other)
    box.show()
    box.activateWindow()
    qtbot.waitUntil(box.isActiveWindow)
    plan.setFocus()
    QTest.keyClick(plan, Qt.Key.Key_Tab)
    assert desk.selection == ("roof-1",)
    QTest.keyClick(plan, Qt.Key.Key_Tab)
    assert desk.selection == ("downpipe-1",)
    QTest.keyClick(plan, Qt.Key.Key_Escape)
    assert desk.selection == ()
    QTest.keyClick(plan, Qt.Key.Key_Tab)
    assert other.hasFocus()


def test_arrows_move_the_cross_when_nothing_is_selected(plan: PlanWidget, desk: Desk) -> None:
    QTest.keyClick(plan, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    first = desk.at_pointer
    QTest.keyClick(plan, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert first is not None
    assert desk.at_pointer == pytest.approx((first[0], first[1] + 1.0))


def test_keys_alone_draw_a_path(plan: PlanWidget, desk: Desk) -> None:
    desk.draw("path")
    for _ in range(2):
        for _ in range(5):
            QTest.keyClick(plan, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
        QTest.keyClick(plan, Qt.Key.Key_Return)
    QTest.keyClick(plan, Qt.Key.Key_Return)
    assert desk.selected[0].shape.length == pytest.approx(5.0, abs=0.6)


def test_the_menu_offers_what_can_be_done(plan: PlanWidget, desk: Desk, qtbot: QtBot) -> None:
    desk.select(["bed-1"])
    QApplication.sendEvent(plan, QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(), QPoint()))
    qtbot.waitUntil(lambda: plan.findChild(QMenu) is not None)
    menu = plan.findChild(QMenu)
    assert menu is not None
    words = [action.text() for action in menu.actions() if action.text()]
    assert {"Copy", "Duplicate", "Lock", "Delete", "Edit corners by keys"} <= set(words)
    next(action for action in menu.actions() if action.text() == "Lock").trigger()
    menu.close()
    assert desk.site.get("bed-1").locked  # type: ignore[union-attr]


def test_the_name_says_question_and_selection(plan: PlanWidget, desk: Desk) -> None:
    assert plan.accessibleName() == "Plan, Reach"
    desk.select(["tank-1"])
    assert plan.accessibleName() == "Plan, Reach, Shed tank selected"
    desk.select(["tank-1", "bed-1"])
    assert plan.accessibleName() == "Plan, Reach, 2 things selected"


def test_the_pointer_is_told_in_metres_and_goes_off_the_sheet(plan: PlanWidget, desk: Desk) -> None:
    QTest.mouseMove(plan, _px(plan, (20.0, 15.0)))
    assert desk.at_pointer == pytest.approx((20.0, 15.0), abs=0.06)
    QTest.mouseMove(plan, QPoint(5, 5))
    assert desk.at_pointer is None


def test_a_resize_keeps_the_middle_of_the_sheet(plan: PlanWidget) -> None:
    plan.zoom_in()
    plan._camera.move(15.0, -10.0)
    before = plan.view
    plan.resize(700, 600)
    assert (plan.view.centre_x, plan.view.centre_y) == pytest.approx((before.centre_x, before.centre_y))
    assert plan.view.px_per_m == pytest.approx(before.px_per_m)


def test_it_paints_by_day_and_by_night(plan: PlanWidget, look: Look) -> None:
    day = plan.grab().toImage().pixelColor(400, 40)
    look.set_theme(Theme.DARK)
    night = plan.grab().toImage().pixelColor(400, 40)
    assert day == look_color(Theme.LIGHT)
    assert night == look_color(Theme.DARK)


def look_color(theme: Theme) -> QColor:
    return QColor(palette(Scheme(theme.value)).hex("paper"))


def test_the_moved_sheet_shows_what_a_fresh_drawing_shows(qtbot: QtBot, plan: PlanWidget, desk: Desk) -> None:
    """While it is moved the sheet is a shifted picture with strips drawn at its edges: all but the words agree."""
    plan.grab()
    for _ in range(30):
        plan._camera.move(9.0, -6.0)
        plan.repaint()
    assert not plan._scene.settled
    moving = plan.grab().toImage()
    plan._scene.settle()
    fresh = plan.grab().toImage()
    spots = [plan.view.to_px(*at) for at in ((15, 21), (8, 15.8), (2, 9), (20, 8), (33, 13), (27, 20))]
    assert [moving.pixelColor(round(x), round(y)) for x, y in spots] == [
        fresh.pixelColor(round(x), round(y)) for x, y in spots
    ]
    differing = sum(
        moving.pixelColor(x, y) != fresh.pixelColor(x, y) for x in range(40, 880, 7) for y in range(40, 680, 7)
    )
    assert differing < 0.03 * (840 / 7) * (640 / 7)


def test_a_wash_fades_only_where_motion_is_wanted(plan: PlanWidget, look: Look) -> None:
    shown = plan._scene.drawing(plan.view)
    assert plan._fade.see(shown, 1.0, at_once=False) is None
    changed = replace(shown, layers=tuple(replace(layer) if layer.name == "wash" else layer for layer in shown))
    assert plan._fade.see(changed, 1.0, at_once=False) is None, "motion is reduced"
    look.set_motion(Motion.SYSTEM)
    again = replace(shown, layers=tuple(replace(layer) if layer.name == "wash" else layer for layer in shown))
    fade = plan._fade.see(again, 1.0, at_once=False)
    assert fade is None if look.still else fade is not None
    plan._fade.stop()
