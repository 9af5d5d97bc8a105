"""A field in which the first letters of a word pick one of several: what to draw, what to find."""

from __future__ import annotations

from abc import abstractmethod

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QLineEdit, QListWidget, QListWidgetItem, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Words
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.icons import icon, kind_icon
from gardenwater.desktop.look import Look
from gardenwater.site.things import KINDS

_LIST_PX = 232


class PickSheet(Sheet):
    """A field with a list under it that follows what is typed; Enter takes the first, Down goes into the list."""

    def __init__(self, title: str, field_name: str, look: Look, parent: QWidget) -> None:
        super().__init__(title, look, parent, width_px=400)
        self.field = QLineEdit(self)
        self.field.setAccessibleName(field_name)
        self.field.setPlaceholderText(field_name)
        self.list = QListWidget(self)
        self.list.setFrameShape(QFrame.Shape.NoFrame)
        self.list.setFixedHeight(look.px(_LIST_PX))
        self.list.setAccessibleName("What fits")
        self._nothing = Words("", look, self, role="ink_soft")
        self._nothing.hide()
        for widget in (self.field, self._nothing, self.list):
            self.body.addWidget(widget)
        self.add_back()
        self.field.textChanged.connect(self.look_up)
        self.field.returnPressed.connect(self._take_current)
        self.list.itemActivated.connect(self._take_item)
        self.list.itemClicked.connect(self._take_item)
        self.field.installEventFilter(self)
        self.field.setFocus()

    @abstractmethod
    def offers(self, words: str) -> list[tuple[str, str]]:
        """What fits the words that were typed: what is shown, and its key."""

    @abstractmethod
    def no_offer(self, words: str) -> str:
        """What is said when nothing fits."""

    @abstractmethod
    def take(self, key: str) -> None:
        """One was picked; the sheet is closed."""

    def icon_of(self, key: str) -> str:
        """The icon of one, or empty."""
        return ""

    def look_up(self, words: str) -> None:
        """Fill the list anew."""
        self.list.clear()
        for shown, key in self.offers(words):
            item = QListWidgetItem(shown, self.list)
            item.setSizeHint(QSize(0, self._look.px(27)))
            item.setData(Qt.ItemDataRole.UserRole, key)
            name = self.icon_of(key)
            if name:
                item.setIcon(icon(name, self._look.color("ink"), self._look.color("well"), 20))
        empty = not self.list.count()
        self._nothing.setText(self.no_offer(words) if empty else "")
        self._nothing.setVisible(empty)
        if not empty:
            self.list.setCurrentRow(0)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up and Down in the field move through the list."""
        if watched is self.field and event.type() is QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()), 0)
            if step and self.list.count():
                self.list.setCurrentRow((self.list.currentRow() + step) % self.list.count())
                return True
        return super().eventFilter(watched, event)

    def _take_current(self) -> None:
        item = self.list.currentItem()
        if item is not None:
            self._take_item(item)

    def _take_item(self, item: QListWidgetItem) -> None:
        key = str(item.data(Qt.ItemDataRole.UserRole))
        self.accept()
        self.take(key)


def kinds_that_fit(words: str) -> list[tuple[str, str]]:
    """Kinds of things whose word begins so, else those with another word in it that does: shown word and kind."""
    wanted = words.strip().casefold()
    begin = [(kind.word, kind.kind) for kind in KINDS if kind.word.casefold().startswith(wanted)]
    inside = [
        (kind.word, kind.kind)
        for kind in KINDS
        if any(part.startswith(wanted) for part in kind.word.casefold().replace("-", " ").split()[1:])
    ]
    return begin + [each for each in inside if each not in begin]


class DrawSheet(PickSheet):
    """Draw: type the first letters of a word, Enter."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("Draw", "First letters, for example ta", look, parent)
        self._desk = desk
        self.look_up("")

    def offers(self, words: str) -> list[tuple[str, str]]:
        """Kinds that fit."""
        return kinds_that_fit(words)

    def no_offer(self, words: str) -> str:
        """Nothing is called so."""
        return f'Nothing that can be drawn begins with "{words}".'

    def icon_of(self, key: str) -> str:
        """The sign of the kind."""
        return kind_icon(key)

    def take(self, key: str) -> None:
        """Draw one."""
        self._desk.draw(key)
