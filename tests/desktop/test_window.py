"""The window as a whole: folds, the keyboard's way, names for those who do not see it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from gardenwater.desktop.dialogs.pick_word import DrawSheet
from gardenwater.desktop.framing import Fold
from gardenwater.desktop.window import MainWindow
from gardenwater.findings import Question


def _focus(window: MainWindow, qtbot: QtBot, widget: QWidget) -> None:
    window.activateWindow()
    widget.setFocus()
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)


def test_f6_goes_through_the_parts_and_back(site_window: MainWindow, qtbot: QtBot) -> None:
    rooms = site_window.rooms
    _focus(site_window, qtbot, rooms.plan)
    rooms.questions.focus_current()
    seen = [rooms.part_with_keyboard()]
    for _ in range(7):
        rooms.go_on(1)
        seen.append(rooms.part_with_keyboard())
    assert seen == [0, 1, 2, 3, 4, 5, 6, 0]
    rooms.go_on(-1)
    assert rooms.part_with_keyboard() == 6


def test_keys_ask_the_questions(site_window: MainWindow, qtbot: QtBot) -> None:
    _focus(site_window, qtbot, site_window.rooms.plan)
    for number, question in enumerate(Question, 1):
        qtbot.keyClick(site_window.rooms.plan, getattr(Qt.Key, f"Key_{number}"), Qt.KeyboardModifier.ControlModifier)
        assert site_window.desk.question is question


@pytest.mark.parametrize(
    ("key", "held"),
    [(Qt.Key.Key_Insert, Qt.KeyboardModifier.NoModifier), (Qt.Key.Key_I, Qt.KeyboardModifier.ControlModifier)],
)
def test_a_word_draws(site_window: MainWindow, qtbot: QtBot, key: Qt.Key, held: Qt.KeyboardModifier) -> None:
    _focus(site_window, qtbot, site_window.rooms.plan)
    qtbot.keyClick(site_window.rooms.plan, key, held)
    sheet = site_window.files.sheet
    assert isinstance(sheet, DrawSheet)
    qtbot.keyClicks(sheet.field, "ta")
    qtbot.keyClick(sheet.field, Qt.Key.Key_Return)
    assert site_window.desk.tool == "tank"


def test_delete_on_the_plan_takes_what_is_selected(site_window: MainWindow, qtbot: QtBot) -> None:
    _focus(site_window, qtbot, site_window.rooms.plan)
    site_window.desk.select(("bed-1",))
    qtbot.keyClick(site_window.rooms.plan, Qt.Key.Key_Delete)
    assert "bed-1" not in site_window.desk.present


def test_delete_while_corners_are_edited_takes_a_corner(site_window: MainWindow, qtbot: QtBot) -> None:
    plan = site_window.rooms.plan
    _focus(site_window, qtbot, plan)
    site_window.desk.select(("bed-1",))
    plan.edit_corners()
    qtbot.keyClick(plan, Qt.Key.Key_Delete)
    bed = site_window.desk.present.get("bed-1")
    assert bed is not None
    assert len(bed.shape.exterior.coords) == 4  # type: ignore[attr-defined] # three corners, the first twice


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1600, 1000), (2560, 1440)])
@pytest.mark.parametrize("percent", [100, 150])
def test_parts_keep_within_the_window(site_window: MainWindow, size: tuple[int, int], percent: int) -> None:
    site_window.look.set_percent(percent)
    site_window.resize(*size)
    QTest.qWait(1)
    rooms = site_window.rooms
    assert (site_window.width(), site_window.height()) == size
    for part in (rooms.questions, rooms.tray, rooms.plan, rooms.readout, rooms.card, rooms.findings):
        corner = part.mapTo(site_window, part.rect().bottomRight())
        assert site_window.rect().contains(corner), part.accessibleName()
    assert rooms.plan.width() >= 480
    assert rooms.plan.height() >= 400


def test_what_is_folded_by_hand_stays_folded_at_that_size(site_window: MainWindow) -> None:
    rooms = site_window.rooms
    rooms.turn(Fold.TRAY)
    assert rooms.tray.width() == 72
    site_window.resize(2560, 1440)
    assert rooms.tray.width() == 216
    site_window.resize(1620, 1000)
    assert rooms.tray.width() == 72
    rooms.turn(Fold.TRAY)
    assert rooms.tray.width() == 184


def test_everything_that_takes_the_keyboard_has_a_name(site_window: MainWindow) -> None:
    site_window.desk.select(("tank-1",))
    QTest.qWait(5)
    kinds = (QAbstractButton, QLineEdit, QComboBox)
    nameless = [
        widget
        for widget in site_window.rooms.findChildren(QWidget)
        if isinstance(widget, kinds) and widget.focusPolicy() is not Qt.FocusPolicy.NoFocus
        and not (widget.accessibleName() or (isinstance(widget, QAbstractButton) and widget.text()))
    ]  # fmt: skip
    assert nameless == []
    for part in ("questions", "plan", "readout", "card", "findings"):
        assert getattr(site_window.rooms, part).accessibleName()


def test_a_long_name_is_cut_and_told_in_full(site_window: MainWindow) -> None:
    from gardenwater.site import edits

    name = "The long garden below Saint Bartholomew on the Hill"
    site_window.desk.edit("Rename", lambda site: edits.rename_site(site, name, about="a slope"))
    questions = site_window.rooms.questions
    assert questions.shown_name.endswith("…")
    assert questions.heading_tip == f"{name}, a slope"


def test_a_narrow_window_says_the_name_with_the_saved_state(site_window: MainWindow) -> None:
    site_window.resize(1280, 720)
    QTest.qWait(1)
    assert site_window.menus.saved_words == "Trial garden, not saved yet"
    site_window.resize(1600, 1000)
    QTest.qWait(1)
    assert site_window.menus.saved_words == "not saved yet"


def test_problems_are_told_in_the_read_out(site_window: MainWindow) -> None:
    from gardenwater.site import edits

    assert not site_window.desk.edit("Rename", lambda site: edits.rename_site(site, ""))
    reading = site_window.rooms.readout.reading
    assert reading.notice == "Site, Name: The site has no name. Type one."
    assert reading.notice_role == "fails"
