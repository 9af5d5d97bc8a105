"""Copied things on the clipboard of the system, so that another window of the program can paste them."""

from __future__ import annotations

import atexit
import os
from functools import cache

from PySide6.QtCore import QByteArray, QMimeData
from PySide6.QtGui import QGuiApplication

from gardenwater.errors import GardenwaterError
from gardenwater.site.clipboard import Clip

_MIME = "application/x-gardenwater-things"
_OWNER_MIME = "application/x-gardenwater-process"


def keep(clip: Clip) -> None:
    """Put a clip on the clipboard."""
    _let_go_at_exit()
    data = QMimeData()
    data.setData(_MIME, QByteArray(clip.to_text().encode()))
    data.setData(_OWNER_MIME, QByteArray(str(os.getpid()).encode()))
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


@cache
def _let_go_at_exit() -> None:
    """Take what we put there off the clipboard before the interpreter ends.

    Qt lets go of it only when the process ends, and then its Python half is asked of an interpreter that is gone: the
    process would end with a segmentation fault.
    """
    atexit.register(_let_go)


def _let_go() -> None:
    if QGuiApplication.instance() is None or not has_kept():
        return
    # not ownsClipboard(): it is False on a platform without a system clipboard, where the same end comes
    owner = QGuiApplication.clipboard().mimeData().data(_OWNER_MIME).toStdString()
    if owner == str(os.getpid()):
        QGuiApplication.clipboard().clear()
