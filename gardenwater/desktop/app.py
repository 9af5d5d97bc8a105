"""Starting the window: looks first, then the window, then everything else in the background."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.engines import Depicter, make_bench, warm_others, warm_reach
from gardenwater.desktop.look import Look
from gardenwater.desktop.preferences import Preferences
from gardenwater.desktop.reporting import WriteAssessment, write_record
from gardenwater.desktop.window import MainWindow
from gardenwater.files import Recovery

_MISLEADING = ("PROJ_DATA", "PROJ_LIB", "GDAL_DATA")
"""Set by other programs' installs, these break the projections of the libraries that are shipped with this one."""


def run(path: Path | None = None, *, write_assessment: WriteAssessment = write_record) -> int:
    """Show the window on a site (the start sheet without one) and stay until it is closed; the exit status.

    write_assessment: writes what *Assessment to a folder* makes; the record alone unless given.
    """
    for name in _MISLEADING:
        os.environ.pop(name, None)
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication(sys.argv[:1])
    QGuiApplication.setApplicationDisplayName("")
    app.setApplicationName("gardenwater")
    app.setDesktopFileName("gardenwater")
    window = make_window(app, Preferences(), Recovery(), write_assessment)
    window.show()
    QTimer.singleShot(0, lambda: window.begin(path))
    return app.exec()


def make_window(
    app: QApplication,
    preferences: Preferences,
    recovery: Recovery,
    write_assessment: WriteAssessment = write_record,
) -> MainWindow:
    """The window with its desk, dressed as the preferences say; nothing is started yet."""
    look = Look(app)
    look.set_theme(preferences.theme)
    look.set_motion(preferences.motion)
    look.set_percent(preferences.text_percent)
    desk = Desk(make_bench, warm=(warm_reach, warm_others), depict=Depicter())
    desk.set_theme(preferences.theme)
    return MainWindow(desk, look, preferences, recovery, write_assessment=write_assessment)
