"""The menu Help: keys, cautions, notices, about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from gardenwater.desktop.dialogs.help import AboutSheet, CautionsSheet, KeysSheet, NoticesSheet
from gardenwater.desktop.menus.actions import Actions

if TYPE_CHECKING:
    from gardenwater.desktop.hub import Hub


def fill_help(menu: QMenu, actions: Actions, hub: Hub) -> None:
    """Fill it."""
    show, look, window = hub.files.show, hub.look, hub.window
    actions.add(menu, "Keys", lambda: show(KeysSheet(look, window)), key=QKeySequence.StandardKey.HelpContents)
    actions.add(menu, "Cautions", lambda: show(CautionsSheet(look, window)))
    actions.add(menu, "Licences and notices", lambda: show(NoticesSheet(look, window)))
    actions.add(menu, "About gardenwater", lambda: show(AboutSheet(look, window)))
