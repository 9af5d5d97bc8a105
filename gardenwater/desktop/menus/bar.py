"""The row of menus, with the saved state at its right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QMenu, QMenuBar, QWidget

from gardenwater.desktop.dialogs.parts import Words
from gardenwater.desktop.look import Look
from gardenwater.desktop.menus.actions import Actions
from gardenwater.desktop.menus.edit import fill_edit
from gardenwater.desktop.menus.help import fill_help
from gardenwater.desktop.menus.plan import fill_plan
from gardenwater.desktop.menus.report import fill_report
from gardenwater.desktop.menus.site import fill_site

if TYPE_CHECKING:
    from gardenwater.desktop.hub import Hub

_SIDE_PX = 20


class HouseBar(QMenuBar):
    """The menus' words on the window's ground; the open one on a slip."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.setNativeMenuBar(False)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The words."""
        look, painter = self._look, QPainter(self)
        flags = int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextHideMnemonic)
        painter.setFont(self.font())
        for action in self.actions():
            box = QRectF(self.actionGeometry(action))
            if action is self.activeAction():
                painter.fillRect(box, look.color("slip_picked"))
            painter.setPen(look.color("ink"))
            painter.drawText(box, flags, action.text())


class MenuRow(QWidget):
    """Five menus at the left, the saved state at the right."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.bar = HouseBar(look, self)
        self.bar.setAccessibleName("Menus")
        self._saved = Words("", look, self, size=12.5, role="ink_soft")
        self._saved.setWordWrap(False)
        self._saved.setAccessibleName("Saved state")
        self._saved.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 0, _SIDE_PX, 0)
        row.addWidget(self.bar, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(self._saved, 1)
        self._words = ""

    @property
    def saved_words(self) -> str:
        """The saved state, uncut."""
        return self._words

    def show_saved(self, words: str) -> None:
        """Show the saved state; what does not fit is cut in front, where the name stands."""
        self._words = words
        self._saved.setAccessibleDescription(words)
        room = max(self.width() - self.bar.sizeHint().width() - 3 * _SIDE_PX, 60)
        metrics = QFontMetricsF(self._saved.font())
        self._saved.setText(metrics.elidedText(words, Qt.TextElideMode.ElideLeft, room))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The words fit anew."""
        super().resizeEvent(event)
        self.show_saved(self._words)


def fill_menus(row: MenuRow, hub: Hub) -> Actions:
    """Fill the five menus; what they do is done by the parts of the hub."""
    actions = Actions(hub.window)
    for title, fill in (
        ("&Site", fill_site),
        ("&Edit", fill_edit),
        ("&Plan", fill_plan),
        ("&Report", fill_report),
        ("&Help", fill_help),
    ):
        menu = QMenu(title, row.bar)
        menu.setToolTipsVisible(True)
        fill(menu, actions, hub)
        menu.aboutToShow.connect(actions.refresh)
        row.bar.addMenu(menu)
    actions.refresh()
    return actions
