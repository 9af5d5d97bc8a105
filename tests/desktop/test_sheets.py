"""The sheets: settings, level book, fit, contours, find, draw."""

from __future__ import annotations

import numpy as np
import pytest
from affine import Affine
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QTableWidgetItem
from pytestqt.qtbot import QtBot
from shapely import LineString, Point

from gardenwater.desktop.card.number_field import NumberEdit
from gardenwater.desktop.dialogs.find import FindSheet, found, nothing_called
from gardenwater.desktop.dialogs.fit_pegs import FitSheet, fit_words, misfit_table
from gardenwater.desktop.dialogs.level_book import LevelBookSheet, reduced
from gardenwater.desktop.dialogs.pick_word import kinds_that_fit
from gardenwater.desktop.dialogs.settings import SettingsSheet
from gardenwater.desktop.dialogs.traced import ContoursSheet
from gardenwater.desktop.window import MainWindow
from gardenwater.ground import Ground, fit_to_pegs
from gardenwater.site import edits
from gardenwater.site.fields import flags, specs
from gardenwater.site.model import Contour, GroundHandle, GroundKind, Settings, Site, Survey, UsualLine
from gardenwater.site.things import LevelPeg


def _type(field: object, words: str, qtbot: QtBot) -> None:
    edit = field.findChild(NumberEdit)  # type: ignore[attr-defined]
    edit.selectAll()
    qtbot.keyClicks(edit, words)
    qtbot.keyClick(edit, Qt.Key.Key_Return)


def _settings(window: MainWindow) -> SettingsSheet:
    sheet = SettingsSheet(window.desk, window.look, window)
    window.files.show(sheet)
    return sheet


def test_settings_shows_every_setting(site_window: MainWindow) -> None:
    sheet = _settings(site_window)
    assert set(sheet.fields) == {*specs(Settings), *(f"line.{name}" for name in specs(UsualLine))}


def test_a_setting_is_an_edit_and_a_wrong_one_is_told_at_its_field(site_window: MainWindow, qtbot: QtBot) -> None:
    sheet = _settings(site_window)
    _type(sheet.fields["can_l"], "9", qtbot)
    assert site_window.desk.present.settings.can_l == 9.0
    assert site_window.desk.history.undo_label == "Change the site’s can"
    _type(sheet.fields["wet_day_h"], "900", qtbot)
    assert site_window.desk.present.settings.wet_day_h == 6.0
    site_window.desk.undo()
    assert site_window.desk.present.settings.can_l == 10.0
    assert sheet.fields["can_l"].value == 10.0  # type: ignore[union-attr]


def test_what_is_yes_or_no_is_a_box_to_tick(site_window: MainWindow) -> None:
    sheet = _settings(site_window)
    for name in flags(Settings):
        before = getattr(site_window.desk.present.settings, name)
        box = sheet.fields[name].findChild(QCheckBox)
        assert isinstance(box, QCheckBox)
        assert box.isChecked() is before
        box.click()
        assert getattr(site_window.desk.present.settings, name) is not before
        assert box.isChecked() is not before
    assert flags(Settings)


def test_the_name_of_the_site_is_typed_there(site_window: MainWindow, qtbot: QtBot) -> None:
    sheet = _settings(site_window)
    sheet.name.setText("North slope")
    qtbot.keyClick(sheet.name, Qt.Key.Key_Return)
    assert site_window.desk.present.name == "North slope"


PEGGED = Site(
    things=(
        LevelPeg(id="level_peg-1", name="A", shape=Point(5, 5), level_m=100.0),
        LevelPeg(id="level_peg-2", name="B", shape=Point(30, 5), level_m=100.0),
        LevelPeg(id="level_peg-3", name="C", shape=Point(5, 25), level_m=100.0),
    )
)


def _row(*cells: str) -> list[str]:
    return [*cells, *([""] * (7 - len(cells)))]


def test_the_book_is_reduced_while_it_is_typed() -> None:
    made = reduced([_row("A", "1.20", "", "", "100", "A"), _row(""), _row("B", "", "", "1.70", "", "B")], PEGGED)
    assert made.wrong == ""
    assert made.book is not None
    assert made.book.peg_levels == {"level_peg-1": 100.0, "level_peg-2": pytest.approx(99.5)}  # 100 + 1.20 - 1.70


@pytest.mark.parametrize(
    ("cells", "row", "words"),
    [
        ([_row("A", "x", "", "", "100")], 0, "Row 1: "),
        (
            [_row("A", "1.2", "", "", "100"), _row("B", "", "", "1.7", "", "Nobody")],
            1,
            'No level peg is called "Nobody"',
        ),
        ([_row(""), _row("B", "", "", "1.7")], 1, "Row 2: There is no back sight to read from."),
        ([_row("A", "", "", "", "100")], 0, "Row 1: It has no reading."),
    ],
)
def test_what_is_wrong_in_the_book_is_said_at_its_row(cells: list[list[str]], row: int, words: str) -> None:
    made = reduced(cells, PEGGED)
    assert made.book is None
    assert made.row == row
    assert words in made.wrong


def test_taking_the_book_gives_the_pegs_their_levels(site_window: MainWindow) -> None:
    site_window.files.show_site(PEGGED, None)
    sheet = LevelBookSheet(site_window.desk, site_window.look, site_window)
    site_window.files.show(sheet)
    for at, words in {(0, 0): "A", (0, 1): "1.20", (0, 4): "100", (1, 0): "B", (1, 3): "1.70", (1, 5): "B"}.items():
        sheet.table.setItem(*at, QTableWidgetItem(words))
    assert sheet.table.item(1, 6).text() == "99.50"
    sheet.take_button.click()
    peg = site_window.desk.present.thing("level_peg-2", LevelPeg)
    assert peg.level_m == pytest.approx(99.5)
    assert len(site_window.desk.present.survey.level_book) == 2


def test_a_wrong_book_cannot_be_taken(site_window: MainWindow) -> None:
    site_window.files.show_site(PEGGED, None)
    sheet = LevelBookSheet(site_window.desk, site_window.look, site_window)
    site_window.files.show(sheet)
    sheet.table.setItem(0, 3, QTableWidgetItem("1.70"))
    assert not sheet.take_button.isEnabled()
    assert sheet.says.text().startswith("Row 1: There is no back sight")


def _with_ground(site: Site, level: float) -> Site:
    ground = Ground(np.full((30, 40), level), Affine(1, 0, 0, 0, -1, 30))
    handle = GroundHandle(
        digest=ground.digest, source="levels.tif", kind=GroundKind.BARE_EARTH, rows=30, cols=40,
        transform=tuple(ground.transform)[:6], crs="", payload=ground,
    )  # fmt: skip
    return edits.set_ground(site, handle)


def test_fitting_shows_what_it_adds_and_is_one_edit(site_window: MainWindow) -> None:
    site_window.files.show_site(_with_ground(PEGGED, 99.6), None)
    site = site_window.desk.present
    assert site.ground is not None
    fit = fit_to_pegs(site.ground.payload, site.of(LevelPeg))
    assert fit_words(fit, site.settings.units)[0].replace("\u00a0", " ") == "All levels are raised by 0.40 m."
    assert [row.thing for row in misfit_table(fit, site).rows] == ["level_peg-1", "level_peg-2", "level_peg-3"]
    sheet = FitSheet(fit, site_window.desk, site_window.look, site_window)
    site_window.files.show(sheet)
    sheet.fit_button.click()
    fitted = site_window.desk.present.ground
    assert fitted is not None
    assert fitted.shift_m == pytest.approx(0.4, abs=1e-4)
    assert float(fitted.payload.level_m[3, 3]) == pytest.approx(100.0, abs=1e-4)
    assert site_window.desk.history.undo_label == "Fit ground to pegs"


def test_contours_can_be_changed_and_taken_away(site_window: MainWindow, qtbot: QtBot) -> None:
    contours = tuple(Contour(LineString([(0, y), (40, y)]), 100.0 + y / 10) for y in (5, 15))
    site_window.desk.edit("Trace", lambda site: edits.set_survey(site, Survey(contours=contours)))
    sheet = ContoursSheet(site_window.desk, site_window.look, site_window)
    site_window.files.show(sheet)
    _type(sheet.levels[1], "101.75", qtbot)
    assert [each.level_m for each in site_window.desk.present.survey.contours] == [100.5, 101.75]
    sheet.removers[0].click()
    assert [each.level_m for each in site_window.desk.present.survey.contours] == [101.75]
    assert len(sheet.removers) == 1


def test_finding(garden: Site) -> None:
    assert found(garden, "bea") == [("Beans, bed", "bed-1")]
    assert [key for _, key in found(garden, "shed")] == ["building-1", "roof-1", "tank-1"]
    assert [key for _, key in found(garden, "BED")] == ["bed-1", "bed-2"]
    assert nothing_called(garden, "bean pole") == 'No thing is called "bean pole". Beds: 2, tanks: 1.'


def test_find_selects_and_says_when_nothing_is_called_so(site_window: MainWindow, qtbot: QtBot) -> None:
    sheet = FindSheet(site_window.desk, site_window.rooms.plan, site_window.look, site_window)
    site_window.files.show(sheet)
    qtbot.keyClicks(sheet.field, "pole")
    assert sheet.list.count() == 0
    qtbot.keyClick(sheet.field, Qt.Key.Key_Return)
    assert site_window.files.sheet is sheet
    sheet.field.clear()
    qtbot.keyClicks(sheet.field, "roo")
    qtbot.keyClick(sheet.field, Qt.Key.Key_Down)
    qtbot.keyClick(sheet.field, Qt.Key.Key_Return)
    assert site_window.desk.selection in {("bed-2",), ("roof-1",)}


@pytest.mark.parametrize(
    ("typed", "kind"),
    [("ta", "tank"), ("tap", "tap"), ("ro", "roof"), ("be", "bed"), ("peg", "level_peg"), ("w", "watering_line")],
)
def test_first_letters_draw(typed: str, kind: str) -> None:
    assert kinds_that_fit(typed)[0][1] == kind


def test_each_kind_is_offered_once() -> None:
    offered = [kind for _, kind in kinds_that_fit("")]
    assert len(offered) == len(set(offered)) == 27
