"""The first sheet: four ways, what was opened before, units."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from gardenwater.desktop.dialogs.place import PlaceSheet
from gardenwater.desktop.start_sheet import NOTHING_YET, STAYS, TITLE
from gardenwater.desktop.window import MainWindow
from gardenwater.files import save_site
from gardenwater.site.model import Site
from gardenwater.units import UnitSystem


def _said(window: MainWindow) -> set[str]:
    return {label.text() for label in window.start.findChildren(QLabel) if label.isVisible()}


def test_it_says_what_the_program_is_for(window: MainWindow) -> None:
    assert {TITLE, NOTHING_YET, STAYS} <= _said(window)
    assert [row.accessibleName() for row in window.start.ways.values()] == [
        "Open the sample garden",
        "Start from a raster of levels",
        "Start from a picture",
        "Start from an empty sheet",
    ]


@pytest.mark.parametrize(
    ("way", "asked"), [("raster", "Start from a raster of levels"), ("picture", "Start from a picture")]
)
def test_raster_and_picture_ask_for_the_file(window: MainWindow, way: str, asked: str) -> None:
    window.start.ways[way].click()
    assert window.files.choose.asked == [asked]  # type: ignore[attr-defined]


def test_the_empty_sheet_is_two_presses_away(window: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(window.start.ways["empty"], Qt.Key.Key_Return)
    sheet = window.files.sheet
    assert isinstance(sheet, PlaceSheet)
    sheet.go_button.click()
    assert window.files.has_site
    assert window.desk.present == Site(name="Garden")
    assert not window.start.isVisible()
    assert window.rooms.isEnabled()


def test_sites_whose_files_have_gone_stand_in_grey(window: MainWindow, garden: Site, tmp_path: Path) -> None:
    there, gone = tmp_path / "there.gpkg", tmp_path / "gone.gpkg"
    save_site(garden, there)
    window.preferences.remember(gone)
    window.preferences.remember(there)
    window.start.list_recent()
    assert [(row.path, row.isEnabled()) for row in window.start.recent] == [(there, True), (gone, False)]
    assert window.start.recent[1].toolTip() == f"{gone} is no longer there."
    assert NOTHING_YET not in _said(window)


def test_a_site_opened_before_opens_at_a_press(window: MainWindow, garden: Site, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "there.gpkg"
    save_site(garden, path)
    window.preferences.remember(path)
    window.start.list_recent()
    window.start.recent[0].click()
    qtbot.waitUntil(lambda: window.desk.path == path)


def test_units_chosen_here_are_those_of_new_sites(window: MainWindow) -> None:
    window.start.units.chosen.emit(1)
    assert window.preferences.units is UnitSystem.US
    window.starts.from_empty()
    sheet = window.files.sheet
    assert isinstance(sheet, PlaceSheet)
    sheet.go_button.click()
    assert window.desk.units is UnitSystem.US


def test_nothing_behind_it_takes_the_keyboard(window: MainWindow) -> None:
    assert not window.rooms.isEnabled()
    assert window.menus.bar.isEnabled()


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1600, 1000), (2560, 1440)])
def test_it_lies_within_the_window_at_any_size(window: MainWindow, size: tuple[int, int]) -> None:
    window.resize(*size)
    paper = window.start.ways["sample"].parentWidget()
    assert paper is not None
    assert window.start.rect().contains(paper.geometry())
    for row in window.start.ways.values():
        assert paper.rect().contains(row.geometry())
        assert row.height() >= 54
