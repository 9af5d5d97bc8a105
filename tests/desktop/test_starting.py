"""The ways to a new site, each a few presses to a plan; and what is brought into one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from affine import Affine
from pytestqt.qtbot import QtBot

from gardenwater.desktop.dialogs.ask import QuestionSheet
from gardenwater.desktop.dialogs.place import PlaceSheet
from gardenwater.desktop.empty_hint import FIRST, hint_words
from gardenwater.desktop.starting import NEXT_ON_PICTURE, NEXT_ON_RASTER, things_words
from gardenwater.desktop.window import MainWindow
from gardenwater.files import is_to_scale, write_raster
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import LevelPeg, Tank


def _raster(path: Path, crs: str) -> Path:
    rows, cols = np.mgrid[0:30, 0:40]
    ground = Ground(100.0 + 0.02 * rows + 0 * cols, Affine(1, 0, 500_000, 0, -1, 5_600_030), crs)
    write_raster(path, ground.level_m, ground)
    return path


def _place(window: MainWindow, qtbot: QtBot) -> PlaceSheet:
    qtbot.waitUntil(lambda: isinstance(window.files.sheet, PlaceSheet))
    assert isinstance(window.files.sheet, PlaceSheet)
    return window.files.sheet


def test_from_a_raster_with_its_place(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    window.starts.from_raster_at(_raster(tmp_path / "north_slope.tif", "EPSG:32631"))
    sheet = _place(window, qtbot)
    assert sheet.name.text() == "North slope"
    # zone 31's middle meridian is 3 degrees east; 5,600 km north of the equator is 50.55 degrees (pyproj 3.7)
    assert sheet.fields["longitude_deg"].value == pytest.approx(3.0, abs=0.001)
    assert sheet.fields["latitude_deg"].value == pytest.approx(50.552, abs=0.005)
    assert sheet.fields["altitude_m"].value == pytest.approx(100.3, abs=0.05)
    sheet.go_button.click()
    site = window.desk.present
    assert site.name == "North slope"
    assert site.crs == "EPSG:32631"
    assert site.ground is not None
    assert site.ground.rows == 30
    assert site.settings.latitude_deg == pytest.approx(50.552, abs=0.005)
    assert window.desk.question is Question.GROUND
    assert window.rooms.readout.reading.notice == NEXT_ON_RASTER
    assert window.files.saved_words() == "1 change not saved"
    west, south, east, north = window.rooms.plan.view.bounds
    assert west < 500_000
    assert south < 5_600_000
    assert east > 500_040
    assert north > 5_600_030


def test_a_raster_without_a_reference_asks(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    window.starts.from_raster_at(_raster(tmp_path / "levels.tif", ""))
    qtbot.waitUntil(lambda: isinstance(window.files.sheet, QuestionSheet))
    question = window.files.sheet
    assert isinstance(question, QuestionSheet)
    question.choose("EPSG:32631")
    question.go_button.click()
    _place(window, qtbot).go_button.click()
    assert window.desk.present.crs == "EPSG:32631"


def test_a_question_that_is_not_answered_changes_nothing(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    window.starts.from_raster_at(_raster(tmp_path / "levels.tif", ""))
    qtbot.waitUntil(lambda: isinstance(window.files.sheet, QuestionSheet))
    assert window.files.sheet is not None
    window.files.sheet.reject()
    assert not window.files.has_site
    assert window.start.isVisible()


def test_from_a_picture_to_scale(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    from PIL import Image

    Image.new("RGB", (200, 100), "white").save(tmp_path / "plan.png")
    window.starts.from_picture_at(tmp_path / "plan.png")
    _place(window, qtbot).go_button.click()
    underlay = window.desk.present.underlay
    assert underlay is not None
    assert not is_to_scale(underlay)
    assert window.desk.tool == "scale"
    assert window.rooms.readout.reading.notice == NEXT_ON_PICTURE


def test_from_an_empty_sheet(window: MainWindow, qtbot: QtBot) -> None:
    window.starts.from_empty()
    sheet = _place(window, qtbot)
    sheet.name.setText("Allotment")
    sheet.go_button.click()
    assert window.desk.present == Site(name="Allotment")
    assert window.rooms.hint.isVisible()
    window.desk.draw("roof")
    assert not window.rooms.hint.isVisible()


def test_what_an_empty_sheet_says(garden: Site) -> None:
    words = hint_words(Site())
    assert [each.replace("\u00a0", " ") for each in words] == [
        FIRST,
        "No levels yet: the ground is taken as flat at 100.00 m. Add three level pegs or a raster.",
    ]
    assert hint_words(garden) == ()


def test_pegs_come_from_a_table(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    table = tmp_path / "pegs.csv"
    table.write_text("name,x,y,level_m\nA,5,5,100.2\nB,9,9,100.4\n")
    site_window.files.choose.files = [table]  # type: ignore[attr-defined]
    site_window.starts.import_pegs()
    qtbot.waitUntil(lambda: len(site_window.desk.present.of(LevelPeg)) == 2)
    assert site_window.desk.history.undo_label == "Import 2 level pegs"
    assert len(site_window.desk.selection) == 2
    site_window.desk.undo()
    assert site_window.desk.present.of(LevelPeg) == ()


def test_levels_are_laid_under_a_site_and_taken_away(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    site_window.files.choose.files = [_raster(tmp_path / "levels.tif", "EPSG:32631")]  # type: ignore[attr-defined]
    site_window.starts.import_levels()
    qtbot.waitUntil(lambda: site_window.desk.present.ground is not None)
    site_window.starts.remove_levels()
    assert site_window.desk.present.ground is None


def test_how_many_things_are_said() -> None:
    from shapely import Point

    tanks = tuple(Tank(id=f"tank-{number}", shape=Point(number, 0)) for number in range(2))
    peg = LevelPeg(id="level_peg-1", shape=Point(0, 0), level_m=100.0)
    assert things_words(tanks) == "2 tanks"
    assert things_words((peg,)) == "1 level peg"
    assert things_words((*tanks, peg)) == "3 things"
