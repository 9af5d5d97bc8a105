"""The menu Edit: undo and redo by the edit's own words, copies, locking, finding."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from gardenwater.desktop.dialogs.find import FindSheet
from gardenwater.desktop.dialogs.pick_word import DrawSheet
from gardenwater.desktop.menus.actions import Actions
from gardenwater.site import edits

if TYPE_CHECKING:
    from gardenwater.desktop.hub import Hub

_KEY = QKeySequence.StandardKey


def fill_edit(menu: QMenu, actions: Actions, hub: Hub) -> None:
    """Fill it."""
    desk = hub.desk
    _add_undo(menu, actions, hub)
    menu.addSeparator()
    chosen = hub.nothing_selected
    actions.add(menu, "Cut", desk.cut, key=_KEY.Cut, why_not=chosen)
    actions.add(menu, "Copy", desk.copy, key=_KEY.Copy, why_not=chosen)
    actions.add(
        menu,
        "Paste",
        desk.paste,
        key=_KEY.Paste,
        why_not=lambda: hub.no_site() or ("" if desk.can_paste else "Nothing was copied yet."),
    )
    actions.add(menu, "Duplicate", desk.duplicate, key="Ctrl+D", why_not=chosen)
    actions.add(menu, "Delete", desk.delete_selected, key="Del", why_not=chosen)
    actions.add(
        menu,
        "Select all",
        lambda: desk.select(thing.id for thing in desk.site if not thing.locked),
        key=_KEY.SelectAll,
        why_not=lambda: hub.no_site() or ("" if desk.site.things else "There is nothing on the plan yet."),
    )
    menu.addSeparator()
    actions.add(menu, lambda: _lock_words(hub), lambda: _lock(hub), key="Ctrl+L", why_not=chosen)
    actions.add(
        menu,
        "Unlock all",
        lambda: _unlock_all(hub),
        why_not=lambda: hub.no_site() or ("" if any(thing.locked for thing in desk.site) else "Nothing is locked."),
    )
    menu.addSeparator()
    actions.add(
        menu,
        "Draw ...",
        lambda: hub.files.show(DrawSheet(desk, hub.look, hub.window)),
        key=("Ins", "Ctrl+I"),
        tip="Type the first letters of a word, then Enter.",
        why_not=hub.no_site,
    )
    actions.add(
        menu,
        "Find ...",
        lambda: hub.files.show(FindSheet(desk, hub.plan, hub.look, hub.window)),
        key=_KEY.Find,
        why_not=hub.no_site,
    )


def _add_undo(menu: QMenu, actions: Actions, hub: Hub) -> None:
    history = hub.desk

    def undo_words() -> str:
        label = history.history.undo_label
        return f"Undo: {label}".replace("&", "&&") if label else "Undo"

    def redo_words() -> str:
        label = history.history.redo_label
        return f"Redo: {label}".replace("&", "&&") if label else "Redo"

    actions.add(
        menu,
        undo_words,
        history.undo,
        key=_KEY.Undo,
        why_not=lambda: "" if history.history.can_undo else "Nothing to undo.",
    )
    actions.add(
        menu,
        redo_words,
        history.redo,
        key=_KEY.Redo,
        why_not=lambda: "" if history.history.can_redo else "Nothing to redo.",
    )


def _all_locked(hub: Hub) -> bool:
    return bool(hub.desk.selected) and all(thing.locked for thing in hub.desk.selected)


def _lock_words(hub: Hub) -> str:
    return "Unlock" if _all_locked(hub) else "Lock"


def _lock(hub: Hub) -> None:
    ids, locked = hub.desk.selection, not _all_locked(hub)
    hub.desk.edit("Lock" if locked else "Unlock", lambda site: edits.lock(site, ids, locked=locked))


def _unlock_all(hub: Hub) -> None:
    ids = tuple(thing.id for thing in hub.desk.present if thing.locked)
    hub.desk.edit("Unlock all", lambda site: edits.lock(site, ids, locked=False))
