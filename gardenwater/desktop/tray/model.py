"""The kinds and their things as a tree: what a screen reader reads instead of the plan."""

from __future__ import annotations

import operator
from collections.abc import Callable
from enum import IntEnum
from typing import Any

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import KINDS, TRAY_GROUPS, Thing

Index = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()
_KIND_LEVEL = 0  # internal id of a kind's row; a thing's row has its kind's row plus one


class TrayRole(IntEnum):
    """Data of a row besides its words."""

    KIND = Qt.ItemDataRole.UserRole + 1
    THING = Qt.ItemDataRole.UserRole + 2
    COUNT = Qt.ItemDataRole.UserRole + 3
    GROUP_END = Qt.ItemDataRole.UserRole + 4


def west_to_east(things: tuple[Thing, ...]) -> list[Thing]:
    """Things by the middle of their shape, west first, as Tab goes through them."""
    return sorted(things, key=lambda thing: (thing.shape.centroid.x, -thing.shape.centroid.y, thing.id))


class TrayModel(QAbstractItemModel):
    """A row for each kind; below it one for each thing of that kind."""

    def __init__(self, describe: Callable[[Thing], str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._describe = describe
        self._site = Site()
        self._things: list[list[Thing]] = [[] for _ in KINDS]

    def show(self, site: Site) -> None:
        """Follow a site; rows of kinds stay, so that what is open stays open."""
        before, self._site = self._site, site
        for row, kind in enumerate(KINDS):
            was, now = before.of(kind), site.of(kind)
            if len(was) == len(now) and all(map(operator.is_, was, now)):
                continue  # a drag changes one kind: the others keep their order
            old, self._things[row] = self._things[row], west_to_east(now)
            self._follow(row, old, self._things[row])

    def _follow(self, row: int, old: list[Thing], new: list[Thing]) -> None:
        parent = self.index(row, 0)
        if len(new) > len(old):
            self.beginInsertRows(parent, len(old), len(new) - 1)
            self.endInsertRows()
        elif len(new) < len(old):
            self.beginRemoveRows(parent, len(new), len(old) - 1)
            self.endRemoveRows()
        if old != new:
            self.dataChanged.emit(parent, parent)
            if new:
                self.dataChanged.emit(self.index(0, 0, parent), self.index(len(new) - 1, 0, parent))

    def place_of(self, thing_id: str) -> QModelIndex:
        """Where a thing stands; an index that is not valid when it is not there."""
        for row, things in enumerate(self._things):
            for child, thing in enumerate(things):
                if thing.id == thing_id:
                    return self.index(child, 0, self.index(row, 0))
        return QModelIndex()

    def index(self, row: int, column: int, parent: Index = _ROOT) -> QModelIndex:
        """The place of a row below its parent."""
        if not self.hasIndex(row, column, parent):
            return QModelIndex()
        return self.createIndex(row, column, parent.row() + 1 if parent.isValid() else _KIND_LEVEL)

    def parent(self, index: Index = _ROOT) -> QModelIndex:  # type: ignore[override]
        """The kind of a thing."""
        level = index.internalId() if index.isValid() else _KIND_LEVEL
        return QModelIndex() if level == _KIND_LEVEL else self.createIndex(level - 1, 0, _KIND_LEVEL)

    def rowCount(self, parent: Index = _ROOT) -> int:
        """Kinds, or things of a kind."""
        if not parent.isValid():
            return len(KINDS)
        return len(self._things[parent.row()]) if parent.internalId() == _KIND_LEVEL else 0

    def columnCount(self, parent: Index = _ROOT) -> int:
        """One."""
        return 1

    def thing_at(self, index: Index) -> Thing | None:
        """The thing of a row, or None for a kind's."""
        if not index.isValid() or index.internalId() == _KIND_LEVEL:
            return None
        things = self._things[index.internalId() - 1]
        return things[index.row()] if index.row() < len(things) else None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Words, tool tip and what a screen reader says."""
        thing = self.thing_at(index)
        if thing is not None:
            return self._thing_data(thing, role)
        return self._kind_data(index.row(), role) if index.isValid() else None

    def _thing_data(self, thing: Thing, role: int) -> Any:
        if role == Qt.ItemDataRole.DisplayRole:
            return name_of(self._site, thing.id)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            answer = self._describe(thing)
            locked = ", locked" if thing.locked else ""
            return f"{name_of(self._site, thing.id)}, {thing.word.lower()}{locked}{', ' if answer else ''}{answer}"
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._describe(thing) or None
        return {TrayRole.THING: thing.id, TrayRole.KIND: thing.kind}.get(role)  # type: ignore[call-overload]

    def _kind_data(self, row: int, role: int) -> Any:
        kind, count = KINDS[row], len(self._things[row])
        if role == Qt.ItemDataRole.DisplayRole:
            return kind.word
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{kind.word}, {count or 'none'} on the plan. Enter draws one, Right lists them."
        if role == Qt.ItemDataRole.ToolTipRole:
            return f"Draw: {kind.word.lower()}"
        ends = any(group[-1] == kind.kind for group in TRAY_GROUPS[:-1])
        return {TrayRole.KIND: kind.kind, TrayRole.COUNT: count, TrayRole.GROUP_END: ends}.get(role)  # type: ignore[call-overload]
