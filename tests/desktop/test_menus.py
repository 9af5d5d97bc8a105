"""The menus: no key does two things, all that is enabled does something, and what is not says why."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from affine import Affine
from PySide6.QtGui import QAction, QKeySequence, QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from shapely import Point

from gardenwater.desktop.attention import MapOf, Theme
from gardenwater.desktop.window import MainWindow
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.site import edits
from gardenwater.site.model import GroundHandle, GroundKind, Underlay
from gardenwater.site.things import LevelPeg
from gardenwater.units import UnitSystem

PLAN_KEYS = (
    "Tab",
    "Shift+Tab",
    "Left",
    "Right",
    "Up",
    "Down",
    "Shift+Left",
    "Shift+Right",
    "Shift+Up",
    "Shift+Down",
    "Alt+Left",
    "Alt+Right",
    "Alt+Up",
    "Alt+Down",
    "PgUp",
    "PgDown",
    "Shift+PgUp",
    "Shift+PgDown",
    "Return",
    "Esc",
    "Backspace",
    "F2",
    "Home",
    "Shift+Home",
    "Space",
    "Ctrl+Left",
    "Ctrl+Right",
    "Ctrl+Up",
    "Ctrl+Down",
    "Menu",
    "Shift+F10",
    "Ctrl+Return",
    "[",
    "]",
    "Shift+[",
    "Shift+]",
)
"""Keys of the plan and of later parts of the window: no menu may take them."""


def _action(window: MainWindow, words: str) -> QAction:
    window.actions_.refresh()
    return next(action for action in window.actions_.all if action.text() == words)


def _strokes(window: MainWindow) -> Counter[str]:
    keys = [key.toString() for action in window.findChildren(QAction) for key in action.shortcuts()]
    keys += [short.key().toString() for short in window.findChildren(QShortcut)]
    return Counter(key for key in keys if key)


def test_no_key_does_two_things(site_window: MainWindow) -> None:
    strokes = _strokes(site_window)
    assert [key for key, count in strokes.items() if count > 1] == []
    assert len(strokes) > 25


def test_no_menu_takes_a_key_of_the_plan(site_window: MainWindow) -> None:
    taken = set(_strokes(site_window))
    assert taken & {QKeySequence(key).toString() for key in PLAN_KEYS} == set()


@pytest.mark.parametrize(
    "key", ["Ctrl+1", "Ctrl+7", "F6", "Shift+F6", "F8", "Shift+F8", "Ins", "Ctrl+I", "Ctrl+F", "Ctrl+S", "Ctrl+Z"]
)
def test_the_keys_that_are_promised_are_there(site_window: MainWindow, key: str) -> None:
    assert _strokes(site_window)[key] == 1


def test_menus_have_letters_of_their_own(site_window: MainWindow) -> None:
    titles = [action.text() for action in site_window.menus.bar.actions()]
    assert [title.replace("&", "") for title in titles] == ["Site", "Edit", "Plan", "Report", "Help"]
    letters = [title[title.index("&") + 1].lower() for title in titles]
    assert len(set(letters)) == len(letters)


def test_what_cannot_be_done_says_why(window: MainWindow, site_window: MainWindow) -> None:
    for action in site_window.actions_.all:
        assert action.isEnabled() or action.toolTip().endswith("."), action.text()
        assert action.isEnabled() or action.statusTip() == action.toolTip()
    assert _action(site_window, "Cut").toolTip() == "Nothing is selected."
    assert _action(site_window, "Undo").toolTip() == "Nothing to undo."
    assert _action(site_window, "Fit ground to pegs ...").toolTip() == "There is no raster of levels to fit."
    site_window.files.close_site()
    assert _action(site_window, "Save").toolTip() == "There is no site yet."


def test_undo_says_what_it_takes_back(site_window: MainWindow) -> None:
    site_window.desk.select(("bed-1",))
    site_window.desk.nudge(1.0, 0.0)
    undo = _action(site_window, "Undo: Nudge Beans")
    undo.trigger()
    assert not site_window.desk.history.can_undo
    assert _action(site_window, "Redo: Nudge Beans").isEnabled()


def _everything(window: MainWindow) -> None:
    """A site on which every action has something to do."""
    ground = Ground(np.full((30, 40), 100.0), Affine(1, 0, 0, 0, -1, 30))
    handle = GroundHandle(
        digest=ground.digest, source="levels.tif", kind=GroundKind.BARE_EARTH, rows=30, cols=40,
        transform=tuple(ground.transform)[:6], crs="", payload=ground,
    )  # fmt: skip
    pixels = np.zeros((3, 4, 4), dtype=np.uint8)
    underlay = Underlay(
        digest="picture", source="p.png", rows=3, cols=4, transform=(10, 0, 0, 0, -10, 30), payload=pixels
    )
    pegs = [LevelPeg(id=f"level_peg-{at}", shape=Point(at, at), level_m=100.2) for at in (5, 9)]
    window.desk.edit("Put pegs", lambda site: edits.put(site, *pegs))
    window.desk.edit("Lay levels", lambda site: edits.set_ground(site, handle))
    window.desk.edit("Lay picture", lambda site: edits.set_underlay(site, underlay))
    window.desk.select(("bed-1",))
    window.desk.copy()


DOING = {
    "Cut": lambda w: "bed-1" not in w.desk.present,
    "Paste": lambda w: len(w.desk.present.things) > 14,
    "Duplicate": lambda w: len(w.desk.present.things) > 14,
    "Delete": lambda w: "bed-1" not in w.desk.present,
    "Select all": lambda w: len(w.desk.selection) == 14,
    "Lock": lambda w: w.desk.present.get("bed-1").locked,
    "Best of all tanks": lambda w: w.desk.map_of is MapOf.ALL,
    "Overflow": lambda w: w.desk.question is Question.OVERFLOW,
    "Dark": lambda w: w.preferences.theme is Theme.DARK and w.look.scheme == "dark",
    "130 %": lambda w: w.look.percent == 130 and w.preferences.text_percent == 130,
    "Feet, US gallons": lambda w: w.desk.units is UnitSystem.US,
    "Shown": lambda w: not w.desk.present.underlay.shown,
    "20 % strong": lambda w: w.desk.present.underlay.opacity == 0.2,
    "Set to scale by two spots": lambda w: w.desk.tool == "scale",
    "Trace a contour": lambda w: w.desk.tool == "contour",
    "Profile between two spots": lambda w: w.desk.tool == "profile",
    "Take the picture away": lambda w: w.desk.present.underlay is None,
    "Take the raster away": lambda w: w.desk.present.ground is None,
    "Zoom in": lambda w: w.rooms.plan.view.px_per_m != w.scale_before,
    "Zoom out": lambda w: w.rooms.plan.view.px_per_m != w.scale_before,
    "Drawing tray to icons": lambda w: w.rooms.shown_frame.tray_icons,
    "Findings to one line": lambda w: w.rooms.shown_frame.findings_folded,
    "Icons of the questions away": lambda w: not w.rooms.shown_frame.question_icons,
    "Reduced motion": lambda w: w.look.still,
    "Close": lambda w: w.files.sheet is not None,
    "Save": lambda w: w.files.choose.asked,
    "Save as ...": lambda w: w.files.choose.asked,
    "Raster of levels ...": lambda w: w.files.choose.asked,
    "Picture ...": lambda w: w.files.choose.asked,
    "Things from a table or GeoJSON ...": lambda w: w.files.choose.asked,
    "Level pegs from a table ...": lambda w: w.files.choose.asked,
    "Picture of the plan ...": lambda w: w.files.choose.asked,
    "Sheet on A4 ...": lambda w: w.files.choose.asked,
    "Sheet on A3 ...": lambda w: w.files.choose.asked,
    "Sheet on Letter ...": lambda w: w.files.choose.asked,
    "Assessment to a folder ...": lambda w: w.files.choose.asked,
    "Open ...": lambda w: w.files.sheet is not None,
    "From an empty sheet ...": lambda w: w.files.sheet is not None,
    "Settings of the site ...": lambda w: w.files.sheet is not None,
    "Level book ...": lambda w: w.files.sheet is not None,
    "Draw ...": lambda w: w.files.sheet is not None,
    "Find ...": lambda w: w.files.sheet is not None,
    "Keys": lambda w: w.files.sheet is not None,
    "Cautions": lambda w: w.files.sheet is not None,
    "Licences and notices": lambda w: w.files.sheet is not None,
    "About gardenwater": lambda w: w.files.sheet is not None,
    "Next part of the window": lambda w: w.rooms.part_with_keyboard() == 3,
    "Last part of the window": lambda w: w.rooms.part_with_keyboard() == 1,
}


@pytest.mark.parametrize("words", list(DOING))
def test_every_action_does_something(site_window: MainWindow, words: str) -> None:
    _everything(site_window)
    site_window.look.set_motion(site_window.preferences.motion)
    site_window.rooms.plan.setFocus()
    site_window.activateWindow()
    QApplication.processEvents()
    site_window.scale_before = site_window.rooms.plan.view.px_per_m  # type: ignore[attr-defined]
    action = _action(site_window, words)
    assert action.isEnabled(), action.toolTip()
    action.trigger()
    for _ in range(60):
        QApplication.processEvents()
        if DOING[words](site_window):
            break
        QTest.qWait(10)
    assert DOING[words](site_window)


def test_hardly_an_action_is_left_without_a_test(site_window: MainWindow) -> None:
    _everything(site_window)
    site_window.actions_.refresh()
    tried = set(DOING)
    rest = {action.text() for action in site_window.actions_.all} - tried
    assert rest <= {
        "From a raster of levels ...", "From a picture ...", "Open the sample garden", "Quit", "Undo: Lay picture",
        "Redo", "Copy", "Unlock all", "Ground", "Catch", "Reach", "Lasting", "Next step", "Rounds", "Next finding",
        "Last finding", "Whole site", "Take the profile away", "90 %", "100 %", "115 %", "150 %", "Light",
        "As the system says", "Metres, litres", "Full screen", "40 % strong", "60 % strong", "80 % strong",
        "100 % strong", "Traced contours ...", "Fit ground to pegs ...", "Weather ...", "Year strip folded",
        "A line without a map ...", "Where a tank could stand",
    }  # fmt: skip


def test_opened_before_lists_what_is_there(site_window: MainWindow, tmp_path: Path) -> None:
    (tmp_path / "there.gpkg").touch()
    site_window.preferences.remember(tmp_path / "gone.gpkg")
    site_window.preferences.remember(tmp_path / "there.gpkg")
    menu = next(action.menu() for action in site_window.menus.bar.actions()[0].menu().actions()
                if action.text() == "Opened before")  # fmt: skip
    menu.aboutToShow.emit()
    assert [(action.text(), action.isEnabled()) for action in menu.actions()] == [("there", True), ("gone", False)]
