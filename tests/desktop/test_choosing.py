"""Choosing files."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from gardenwater.desktop.choosing import SITES, Chooser
from gardenwater.desktop.preferences import Preferences


def test_a_name_that_no_file_may_have_is_offered_with_dashes(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    chooser = Chooser(Preferences(tmp_path / "preferences.ini"), parent)
    asked: list[QFileDialog] = []
    monkeypatch.setattr(chooser, "_ask", lambda dialog, _: asked.append(dialog))
    chooser.to_save("Save the site", SITES, 'Top / "wet" bottom.gpkg', print)
    assert [Path(name).name for name in asked[0].selectedFiles()] == ["Top - -wet- bottom.gpkg"]
