"""Copied things on the clipboard of the system, so that another window of the program can paste them."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QMimeData
from PySide6.QtGui import QGuiApplication

from gardenwater.errors import GardenwaterError
from gardenwater.site.clipboard import Clip

_MIME = "application/x-gardenwater-things"


def keep(clip: Clip) -> None:
    """Put a clip on the clipboard."""
    data = QMimeData()
    data.setData(_MIME, QByteArray(clip.to_text().encode()))
    QGuiApplication.clipboard().setMimeData(data)


def has_kept() -> bool:
    """Whether there are things of a garden on the clipboard."""
    data = QGuiApplication.clipboard().mimeData()  # None where the system's clipboard cannot be read
    return data is not None and data.hasFormat(_MIME)


def kept() -> Clip | None:
    """The clip on the clipboard, or None when there is none that can be read."""
    if not has_kept():
        return None
    data = QGuiApplication.clipboard().mimeData()
    try:
        return Clip.from_text(data.data(_MIME).toStdString())
    except GardenwaterError:
        return None
