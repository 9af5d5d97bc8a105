"""What the list of findings says while there are none."""

from __future__ import annotations

import threading
from typing import Any

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.findings_panel import FindingsPanel
from gardenwater.desktop.look import Look
from gardenwater.site.model import Site


def test_that_nothing_is_to_mend_is_said_when_all_is_worked_out(
    qtbot: QtBot, qapp: QApplication, bench: Any, garden: Site
) -> None:
    rest = threading.Event()
    desk = Desk(lambda: bench, warm=(lambda _: None, lambda _: rest.wait(5)))
    desk.open(garden)
    panel = FindingsPanel(desk, Look(qapp))
    qtbot.addWidget(panel)
    assert panel._nothing.text() == "No answers yet."
    desk.start()
    qtbot.waitUntil(lambda: desk.answers is not None)
    assert panel._nothing.text() == "Working out the findings."
    rest.set()
    qtbot.waitUntil(lambda: desk.settled)
    assert panel._nothing.text() == "Nothing to mend here."
    desk.close()
