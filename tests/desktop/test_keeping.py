"""Unsaved work survives a sudden end."""

from __future__ import annotations

import datetime as dt
import os
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from gardenwater.desktop.dialogs.ask import RecoverSheet
from gardenwater.desktop.recovered import recovered_words, saved_choice
from gardenwater.desktop.window import MainWindow
from gardenwater.files import Found, open_site, save_site
from gardenwater.site import edits
from gardenwater.site.model import Site

ROOT = Path(__file__).resolve().parents[2]
SESSION = """
    import sys, time
    from pathlib import Path
    from PySide6.QtWidgets import QApplication
    from gardenwater.desktop.app import make_window
    from gardenwater.desktop.preferences import Preferences
    from gardenwater.files import Recovery
    from gardenwater.site import edits

    folder = Path(sys.argv[1])
    app = QApplication([])
    window = make_window(app, Preferences(folder / "p.ini"), Recovery(folder / "unsaved"))
    window.files.open(folder / "trial.gpkg")
    while not window.files.has_site:
        app.processEvents()
    window.desk.edit("Rename", lambda site: edits.rename_site(site, "Not saved"))
    window.desk.edit("Say", lambda site: edits.rename_site(site, "Not saved", about="twice changed"))
    window.keeper.keep_now()
    while not list((folder / "unsaved").glob("*/kept.json")):
        app.processEvents()
        time.sleep(0.02)
    print("kept", flush=True)
    while True:
        app.processEvents()
        time.sleep(0.02)
"""


def _killed_session(folder: Path) -> None:
    """A session of a person in a process of its own, killed after its changes were kept aside."""
    words = [sys.executable, "-c", textwrap.dedent(SESSION), str(folder)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen"}
    with subprocess.Popen(words, stdout=subprocess.PIPE, env=environment, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "kept\n"
        process.send_signal(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)


@pytest.fixture
def after_a_kill(garden: Site, tmp_path: Path) -> Path:
    path = tmp_path / "trial.gpkg"
    save_site(garden, path)
    _killed_session(tmp_path)
    return path


def _offered(window: MainWindow, qtbot: QtBot) -> RecoverSheet:
    window.keeper.look()
    qtbot.waitUntil(lambda: isinstance(window.files.sheet, RecoverSheet))
    assert isinstance(window.files.sheet, RecoverSheet)
    return window.files.sheet


@pytest.mark.slow
def test_killed_work_is_opened_with_its_changes(
    after_a_kill: Path, window: MainWindow, garden: Site, qtbot: QtBot
) -> None:
    _offered(window, qtbot).with_button.click()
    qtbot.waitUntil(lambda: window.files.has_site)
    assert window.desk.present == garden.replace(name="Not saved", about="twice changed")
    assert window.desk.path == after_a_kill
    assert not window.desk.history.is_saved
    assert open_site(after_a_kill) == garden


@pytest.mark.slow
def test_killed_work_can_be_left(after_a_kill: Path, window: MainWindow, garden: Site, qtbot: QtBot) -> None:
    _offered(window, qtbot).saved_button.click()
    qtbot.waitUntil(lambda: window.files.has_site)
    assert window.desk.present == garden
    assert window.desk.history.is_saved


def test_changes_are_kept_and_dropped_when_saved(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    kept = lambda: list((tmp_path / "unsaved").glob("*/kept.json"))  # noqa: E731
    site_window.keeper.keep_now()
    assert kept() == []
    site_window.desk.edit("Rename", lambda site: edits.rename_site(site, "Kept"))
    site_window.keeper.keep_now()
    qtbot.waitUntil(lambda: len(kept()) == 1)
    site_window.desk.mark_saved(tmp_path / "x.gpkg", site_window.desk.present)
    qtbot.waitUntil(lambda: kept() == [])


def test_what_recovery_says() -> None:
    now = dt.datetime.now().astimezone().replace(hour=14, minute=2)
    work = Found(path=Path("q.gpkg"), name="Quillet Bank", when=now, saved=now, changes=12, folder=Path())
    assert recovered_words(work) == "12 changes of Quillet Bank after 14:02 were kept."
    assert saved_choice(work) == "Open as saved"
    never = Found(path=None, name="Garden", when=now, saved=None, changes=1, folder=Path())
    assert recovered_words(never) == "1 change of Garden, which was never saved, was kept."
    assert saved_choice(never) == "Leave them"
