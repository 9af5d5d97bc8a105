"""Choosing files: one place that knows the filters and where files were chosen last."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QWidget

from gardenwater.desktop.preferences import Preferences

SITES = "Sites (*.gpkg)"
LEVELS = "Rasters of levels (*.tif *.tiff *.asc *.txt *.grd *.img *.bil *.flt);;All files (*)"
PICTURES = "Pictures (*.png *.jpg *.jpeg *.tif *.tiff);;All files (*)"
THINGS = "Tables and GeoJSON (*.csv *.tsv *.txt *.geojson *.json);;All files (*)"
TABLES = "Tables (*.csv *.tsv *.txt);;All files (*)"
SHEETS = "PDF (*.pdf);;SVG (*.svg);;PNG picture (*.png)"
PLANS = "PNG picture (*.png);;PDF (*.pdf);;SVG (*.svg)"

Taken = Callable[[Path], object]

_NOT_IN_NAMES = re.compile(r'[<>:"/\\|?*]')  # a site may be called "Top / bottom", a file may not, on some systems


class Chooser:
    """Asks for files without standing still: what was chosen is handed on."""

    def __init__(self, preferences: Preferences, parent: QWidget) -> None:
        self._preferences = preferences
        self._parent = parent

    def to_open(self, title: str, filters: str, then: Taken) -> None:
        """Ask for a file that is there."""
        dialog = self._dialog(title, filters)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        self._ask(dialog, then)

    def to_save(self, title: str, filters: str, name: str, then: Taken) -> None:
        """Ask where to put a file; its ending is that of the filter chosen, unless one was typed."""
        dialog = self._dialog(title, filters)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.selectFile(_NOT_IN_NAMES.sub("-", name))
        dialog.setDefaultSuffix(Path(name).suffix.lstrip("."))
        dialog.filterSelected.connect(lambda words: dialog.setDefaultSuffix(_ending(words)))
        self._ask(dialog, then)

    def a_folder(self, title: str, then: Taken) -> None:
        """Ask for a folder."""
        dialog = self._dialog(title, "")
        dialog.setFileMode(QFileDialog.FileMode.Directory)
        dialog.setOption(QFileDialog.Option.ShowDirsOnly)
        self._ask(dialog, then)

    def _dialog(self, title: str, filters: str) -> QFileDialog:
        dialog = QFileDialog(self._parent, title, str(self._preferences.last_folder), filters)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        return dialog

    def _ask(self, dialog: QFileDialog, then: Taken) -> None:
        def taken(words: str) -> None:
            path = Path(words)
            self._preferences.last_folder = path if path.is_dir() else path.parent
            then(path)

        dialog.fileSelected.connect(taken)
        dialog.open()


def _ending(words: str) -> str:
    """The first ending of a filter: "PDF (*.pdf)" gives "pdf"."""
    return words.partition("*.")[2].partition(")")[0].partition(" ")[0]
