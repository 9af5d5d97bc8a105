"""Opening, saving, guarding: nothing is lost, and each state has its words."""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from gardenwater.desktop.dialogs.ask import GuardSheet, ProblemSheet, details_of, guard_words
from gardenwater.desktop.window import MainWindow
from gardenwater.errors import FileError
from gardenwater.files import open_site, save_site
from gardenwater.site import edits
from gardenwater.site.model import Site


def _rename(window: MainWindow, name: str = "Other") -> None:
    assert window.desk.edit("Rename", lambda site: edits.rename_site(site, name))


def _save_to(window: MainWindow, path: Path, qtbot: QtBot) -> None:
    window.files.choose.files = [path]  # type: ignore[attr-defined]
    window.files.save()
    qtbot.waitUntil(lambda: window.desk.path == path)


def test_the_first_save_asks_where_and_the_next_does_not(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    assert site_window.files.saved_words() == "not saved yet"
    path = tmp_path / "trial.gpkg"
    _save_to(site_window, path, qtbot)
    assert re.fullmatch(r"all saved, \d\d:\d\d", site_window.files.saved_words())
    assert site_window.preferences.recent == (path,)
    _rename(site_window)
    assert site_window.files.saved_words() == "1 change not saved"
    _rename(site_window, "Third")
    assert site_window.files.saved_words() == "2 changes not saved"
    site_window.files.save()
    qtbot.waitUntil(lambda: site_window.desk.history.is_saved)
    assert open_site(path).name == "Third"
    assert site_window.files.choose.asked == ["Save the site: trial-garden.gpkg"]  # type: ignore[attr-defined]


def test_what_is_opened_is_what_was_saved(window: MainWindow, garden: Site, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "trial.gpkg"
    save_site(garden, path)
    window.files.open(path)
    qtbot.waitUntil(lambda: window.files.has_site)
    assert window.desk.present == garden
    assert window.desk.path == path
    assert window.windowTitle() == "Trial garden - gardenwater"
    assert not window.start.isVisible()
    assert window.preferences.recent == (path,)


def test_a_file_that_is_none_is_refused_in_words(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "notes.gpkg"
    path.write_text("not a site")
    window.files.open(path)
    qtbot.waitUntil(lambda: isinstance(window.files.sheet, ProblemSheet))
    assert not window.files.has_site
    assert window.start.isVisible()
    assert window.preferences.recent == ()


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="a folder is used in place of a file that cannot be written")
def test_a_failed_save_says_what_stays(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    (tmp_path / "trial.gpkg").mkdir()
    site_window.files.choose.files = [tmp_path / "trial.gpkg"]  # type: ignore[attr-defined]
    _rename(site_window)
    site_window.files.save()
    qtbot.waitUntil(lambda: isinstance(site_window.files.sheet, ProblemSheet))
    sheet = site_window.files.sheet
    assert isinstance(sheet, ProblemSheet)
    assert sheet.error.what.startswith("Not saved: ")
    assert sheet.error.what.lower().count("not saved") == sheet.error.what.count("on disk is as it was") == 1
    assert re.search(r"The file on disk is as it was at \d\d:\d\d\.$", sheet.error.what)
    assert site_window.desk.path is None
    assert site_window.files.saved_words() == "1 change not saved"


def test_nothing_to_guard_goes_on_at_once(site_window: MainWindow) -> None:
    done: list[str] = []
    site_window.files.guard(lambda: done.append("went on"))
    assert done == ["went on"]


def test_unsaved_work_is_asked_about(site_window: MainWindow) -> None:
    _rename(site_window)
    done: list[str] = []
    site_window.files.guard(lambda: done.append("went on"))
    sheet = site_window.files.sheet
    assert isinstance(sheet, GuardSheet)
    sheet.reject()
    assert done == []
    assert site_window.files.sheet is None
    site_window.files.guard(lambda: done.append("left"))
    sheet = site_window.files.sheet
    assert isinstance(sheet, GuardSheet)
    sheet.leave_button.click()
    assert done == ["left"]


def test_the_guard_saves_before_it_goes_on(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    _rename(site_window, "Kept")
    path = tmp_path / "kept.gpkg"
    site_window.files.choose.files = [path]  # type: ignore[attr-defined]
    done: list[bool] = []
    site_window.files.guard(lambda: done.append(path.exists()))
    sheet = site_window.files.sheet
    assert isinstance(sheet, GuardSheet)
    sheet.save_button.click()
    qtbot.waitUntil(lambda: done == [True])
    assert open_site(path).name == "Kept"


def test_the_words_of_the_guard() -> None:
    assert guard_words("Quillet Bank", 5) == "Quillet Bank has 5 changes that are not saved."
    assert guard_words("Quillet Bank", 1) == "Quillet Bank has 1 change that is not saved."


def test_closing_the_window_is_guarded(site_window: MainWindow) -> None:
    _rename(site_window)
    site_window.close()
    assert site_window.isVisible()
    assert isinstance(site_window.files.sheet, GuardSheet)


def test_changes_made_while_a_save_runs_stay_unsaved(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "trial.gpkg"
    site_window.files.choose.files = [path]  # type: ignore[attr-defined]
    _rename(site_window, "Saved")
    site_window.files.save()
    _rename(site_window, "Made meanwhile")
    qtbot.waitUntil(lambda: site_window.desk.path == path)
    assert open_site(path).name == "Saved"
    assert not site_window.desk.history.is_saved


def test_closing_a_site_goes_back_to_the_start(site_window: MainWindow) -> None:
    site_window.files.close_site()
    assert site_window.start.isVisible()
    assert not site_window.files.has_site
    assert site_window.windowTitle() == "gardenwater"
    assert site_window.files.saved_words() == ""


def test_the_window_stays_in_use_while_a_file_is_read(site_window: MainWindow, qtbot: QtBot) -> None:
    seen: list[str] = []
    site_window.files.run("Reading", lambda cancel, progress: time.sleep(0.6), lambda _: seen.append("done"))
    _rename(site_window, "While reading")
    assert site_window.desk.present.name == "While reading"
    qtbot.waitUntil(lambda: site_window.rooms.readout.reading.notice == "Reading")
    assert site_window.rooms.readout.reading.stoppable
    qtbot.waitUntil(lambda: seen == ["done"])
    qtbot.waitUntil(lambda: site_window.rooms.readout.reading.notice != "Reading")


def test_the_details_can_be_copied(window: MainWindow) -> None:
    error = FileError("Could not read it.", mend="Choose another.")
    error.__cause__ = ValueError("deep down")
    words = details_of(error)
    assert words.startswith("Could not read it. Choose another.")
    assert "deep down" in words
