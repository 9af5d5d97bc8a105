"""What can be done here: the menu of the plan."""

from __future__ import annotations

from PySide6.QtWidgets import QMenu, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.live import Sight
from gardenwater.site import edits
from gardenwater.site.names import called


def plan_menu(parent: QWidget, sight: Sight, at: XY) -> QMenu:
    """The menu for what is selected, or for the empty plan. The caller pops it up; it deletes itself when closed."""
    desk, menu = sight.desk, QMenu(parent)
    chosen = desk.selected
    if chosen:
        title = called(chosen[0]) if len(chosen) == 1 else f"{len(chosen)} things"
        menu.addSection(title)
        menu.addAction("To the card", sight.to_card)
        if len(chosen) == 1 and chosen[0].geometry != "Point":
            menu.addAction("Edit corners by keys", sight.edit_corners)
        menu.addSeparator()
        menu.addAction("Cut", desk.cut)
        menu.addAction("Copy", desk.copy)
    paste = menu.addAction("Paste here", lambda: desk.paste(at))
    paste.setEnabled(desk.can_paste)
    if chosen:
        menu.addAction("Duplicate", desk.duplicate)
        menu.addSeparator()
        _add_locking(menu, desk)
        menu.addAction("Delete", desk.delete_selected)
    return menu


def _add_locking(menu: QMenu, desk: Desk) -> None:
    ids = desk.selection
    locked = all(thing.locked for thing in desk.selected)
    words = "Unlock" if locked else "Lock"
    menu.addAction(words, lambda: desk.edit(words, lambda site: edits.lock(site, ids, locked=not locked)))
