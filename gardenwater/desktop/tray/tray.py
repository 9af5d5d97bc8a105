"""The drawing tray as a widget: rows with words, or icons alone in a narrow window."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QModelIndex, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QStackedLayout,
    QToolButton,
    QTreeView,
    QVBoxLayout,
    QWidget,
)

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.icons import icon, kind_icon
from gardenwater.desktop.look import Look, is_look_event
from gardenwater.desktop.tray.delegate import COUNT_PX, TrayDelegate
from gardenwater.desktop.tray.model import TrayModel, TrayRole
from gardenwater.site.things import BY_KIND, TRAY_GROUPS, Thing

WIDTH_PX, WIDE_PX, ICONS_PX = 184, 216, 72
_TARGET_PX, _SMALL_ICON_PX = 28, 20


class TrayView(QTreeView):
    """Rows of kinds; Right opens one to its things. A click on a kind draws it, on its count opens it."""

    def __init__(self, desk: Desk, look: Look, describe: Callable[[Thing], str], parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._rows = TrayModel(describe, self)
        self._painter = TrayDelegate(desk, look)
        self.setModel(self._rows)
        self.setItemDelegate(self._painter)
        self.setHeaderHidden(True)
        self.setRootIsDecorated(False)
        self.setIndentation(0)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setMouseTracking(True)
        self.setExpandsOnDoubleClick(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Drawing tray")
        self.setAccessibleDescription("What can be drawn, and all things on the plan")
        self.viewport().setAutoFillBackground(False)
        desk.siteChanged.connect(self._rows.show)
        desk.toolChanged.connect(lambda _: self.viewport().update())
        desk.selectionChanged.connect(self._follow_selection)
        self._rows.show(desk.site)

    def _follow_selection(self, ids: tuple[str, ...]) -> None:
        if len(ids) == 1:
            place = self._rows.place_of(ids[0])
            if place.isValid() and self.isExpanded(place.parent()):
                self.setCurrentIndex(place)
        self.viewport().update()

    def act_on(self, index: QModelIndex) -> None:
        """Draw the kind of a row, or select its thing."""
        thing_id, kind = index.data(TrayRole.THING), index.data(TrayRole.KIND)
        if thing_id:
            self._desk.draw("")
            self._desk.select((thing_id,))
        elif kind:
            self._desk.draw("" if self._desk.tool == kind else kind)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click draws, selects, or opens the list."""
        index = self.indexAt(event.position().toPoint())
        if event.button() is Qt.MouseButton.LeftButton and index.isValid():
            on_count = event.position().x() > self.viewport().width() - self._look.px(COUNT_PX)
            if not index.data(TrayRole.THING) and on_count and index.data(TrayRole.COUNT):
                self.setExpanded(index, not self.isExpanded(index))
            else:
                self.act_on(index)
        super().mouseReleaseEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter draws or selects; letters, arrows, Right and Left as trees have them."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space}:
            self.act_on(self.currentIndex())
            return
        super().keyPressEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        """No row stays lit when the pointer has gone."""
        self.viewport().update()
        super().leaveEvent(event)


class TrayIcons(QWidget):
    """The tray folded to icons in two columns."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._buttons: dict[str, QToolButton] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(5, 12, 5, 8)
        column.setSpacing(6)
        for group in TRAY_GROUPS:
            column.addLayout(self._group(group))
            if group is not TRAY_GROUPS[-1]:
                rule = QFrame(self)
                rule.setFrameShape(QFrame.Shape.HLine)
                rule.setForegroundRole(self.palette().ColorRole.Mid)
                column.addWidget(rule)
        column.addStretch(1)
        desk.toolChanged.connect(self._follow_tool)
        self.restyle()

    def _group(self, kinds: tuple[str, ...]) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(2)
        for place, kind in enumerate(kinds):
            button = QToolButton(self)
            button.setCheckable(True)
            button.setAutoRaise(True)
            button.setFixedSize(_TARGET_PX, _TARGET_PX)
            button.setIconSize(QSize(_SMALL_ICON_PX, _SMALL_ICON_PX))
            button.setToolTip(BY_KIND[kind].word)
            button.setAccessibleName(f"Draw: {BY_KIND[kind].word}")
            button.clicked.connect(lambda checked, drawn=kind: self._desk.draw(drawn if checked else ""))
            self._buttons[kind] = button
            grid.addWidget(button, place // 2, place % 2)
        return grid

    def _follow_tool(self, tool: str) -> None:
        for kind, button in self._buttons.items():
            button.setChecked(kind == tool)

    def restyle(self) -> None:
        """Icons in the colours in force."""
        for kind, button in self._buttons.items():
            button.setIcon(icon(kind_icon(kind), self._look.color("ink"), self._look.color("sheet"), _SMALL_ICON_PX))


class Tray(QWidget):
    """The left column."""

    def __init__(self, desk: Desk, look: Look, describe: Callable[[Thing], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self.view = TrayView(desk, look, describe, self)
        self.icons = TrayIcons(desk, look, self)
        self._head, self._head_count = QLabel("Draw", self), QLabel("on the plan", self)
        self._stack = QStackedLayout(self)
        self._stack.addWidget(self._rows_page())
        self._stack.addWidget(self.icons)
        self._restyle()

    def _rows_page(self) -> QWidget:
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 12, 0, 8)
        column.setSpacing(0)
        head = QHBoxLayout()
        head.setContentsMargins(16, 0, 16, 5)
        head.addWidget(self._head)
        head.addStretch(1)
        head.addWidget(self._head_count)
        rule = QFrame(page)
        rule.setFrameShape(QFrame.Shape.HLine)
        rules = QHBoxLayout()
        rules.setContentsMargins(16, 0, 16, 4)
        rules.addWidget(rule)
        column.addLayout(head)
        column.addLayout(rules)
        column.addWidget(self.view, 1)
        return page

    def fold(self, *, icons: bool, width_px: int) -> None:
        """Rows with words, or icons alone."""
        self._stack.setCurrentIndex(1 if icons else 0)
        self.setFixedWidth(width_px)

    def focus_current(self) -> None:
        """Give the keyboard to the tray."""
        if self._stack.currentIndex() == 0:
            if not self.view.currentIndex().isValid():
                self.view.setCurrentIndex(self.view.model().index(0, 0))
            self.view.setFocus(Qt.FocusReason.ShortcutFocusReason)
        else:
            first = self.icons.findChild(QToolButton)
            if first is not None:
                first.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _restyle(self) -> None:
        self._head.setFont(self._look.font(12.5, semibold=True))
        self._head_count.setFont(self._look.font(12, italic=True))

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if is_look_event(event):
            self._restyle()
            self.icons.restyle()
        super().changeEvent(event)
