"""What the Report menu makes."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

import gardenwater.report.plan as plan_module
from gardenwater.desktop.reading import work_words
from gardenwater.desktop.spilling import OverflowView
from gardenwater.desktop.window import MainWindow
from gardenwater.desktop.worker import Phase, WorkState
from gardenwater.report.look import PlanLook


@pytest.mark.parametrize(("ending", "begins"), [("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<?xml")])
def test_the_plan_as_it_is_seen(
    site_window: MainWindow, tmp_path: Path, qtbot: QtBot, ending: str, begins: bytes
) -> None:
    path = tmp_path / f"plan.{ending}"
    site_window.reporting.picture_to(path)
    qtbot.waitUntil(path.exists, timeout=20_000)
    assert path.read_bytes().startswith(begins)
    assert path.stat().st_size > 5_000
    assert [each.name for each in tmp_path.glob("plan*")] == [path.name]
    qtbot.waitUntil(lambda: site_window.rooms.readout.reading.notice == f"The picture is in {path}.")


@pytest.mark.parametrize("size", ["A4", "A3"])
def test_a_sheet_to_print(site_window: MainWindow, tmp_path: Path, qtbot: QtBot, size: str) -> None:
    choose = site_window.files.choose
    choose.files = [tmp_path / f"sheet {size}.pdf"]  # type: ignore[attr-defined]
    site_window.reporting.sheet(size)
    path = tmp_path / f"sheet {size}.pdf"
    qtbot.waitUntil(path.exists, timeout=20_000)
    assert path.read_bytes().startswith(b"%PDF")
    qtbot.waitUntil(lambda: site_window.rooms.readout.reading.notice == f"The sheet is in {path}.")


def test_a_picture_shows_what_the_plan_shows(
    site_window: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ground underfoot, the day and the tank whose map is shown were left out of it."""
    looks: list[PlanLook] = []
    real = plan_module.plan_layers

    def kept(*given: Any, look: PlanLook, **named: Any) -> Any:
        looks.append(look)
        return real(*given, look=look, **named)

    monkeypatch.setattr(plan_module, "plan_layers", kept)
    site_window.desk.spilling.show(OverflowView.UNDERFOOT)
    site_window.reporting.picture_to(tmp_path / "plan.png")
    qtbot.waitUntil((tmp_path / "plan.png").exists, timeout=20_000)
    assert [look.overflow.underfoot for look in looks] == [True]


def test_a_picture_of_another_kind_is_refused_in_words(site_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    site_window.reporting.picture_to(tmp_path / "plan.dwg")
    qtbot.waitUntil(lambda: site_window.files.sheet is not None)
    assert list(tmp_path.glob("*plan*")) == []


def test_the_assessment_goes_to_a_folder(
    site_window: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []

    def assess(site: object, **_: object) -> object:
        asked.append(site)
        return SimpleNamespace(findings=(1, 2, 3), record=lambda: {"site": "Trial garden"})

    monkeypatch.setattr("gardenwater.assess.run.assess", assess)
    site_window.files.choose.files = [tmp_path]  # type: ignore[attr-defined]
    site_window.reporting.assessment()
    record = tmp_path / "assessment.json"
    qtbot.waitUntil(record.exists)
    assert json.loads(record.read_text("utf-8")) == {"site": "Trial garden"}
    assert asked == [site_window.desk.present]
    said = f"The assessment is in {tmp_path}: 3 findings."
    qtbot.waitUntil(lambda: site_window.rooms.readout.reading.notice == said)


def test_a_folder_that_is_gone_is_said_in_words(
    site_window: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = SimpleNamespace(findings=(), record=dict)
    monkeypatch.setattr("gardenwater.assess.run.assess", lambda *_, **__: made)
    site_window.reporting.assessment_to(tmp_path / "gone")
    qtbot.waitUntil(lambda: site_window.files.sheet is not None)


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (WorkState(Phase.WORKING, 0.0, "Opening"), "Opening"),
        (WorkState(Phase.WORKING, 0.33, "Reading levels: 3 of 9 parts"), "Reading levels: 3 of 9 parts, 33\u00a0%"),
        (WorkState(Phase.PREPARING, 0.4, "You can draw meanwhile."), "You can draw meanwhile. 40\u00a0%"),
    ],
)
def test_how_far_work_is(state: WorkState, words: str) -> None:
    assert work_words(state) == words
