"""A sheet laid over the window: a double ink line, a title, what it is about, and a foot with what can be done."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QRectF, Qt
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QDialog, QHBoxLayout, QVBoxLayout, QWidget

from gardenwater.desktop.dialogs.parts import Button, Rule, Weight, Words
from gardenwater.desktop.look import Look

EDGE_PX = 6
_SIDE_PX = 30
SCRIM_STRENGTH = 0.55


def paint_paper(painter: QPainter, rect: QRectF, look: Look) -> None:
    """The ground of a sheet: a slip with a double ink line, 1 and 0.6, 6 apart."""
    painter.fillRect(rect, look.color("slip"))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for inset, width in ((0.5, 1.0), (0.5 + EDGE_PX, 0.6)):
        painter.setPen(QPen(look.color("ink"), width))
        painter.drawRect(rect.adjusted(inset, inset, -inset, -inset))


class Scrim(QWidget):
    """Dims what a sheet is laid over, and follows its size."""

    def __init__(self, look: Look, over: QWidget) -> None:
        super().__init__(over)
        self._look = look
        over.installEventFilter(self)
        self.setGeometry(over.rect())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay as large as what is dimmed."""
        parent = self.parentWidget()
        if event.type() is QEvent.Type.Resize and watched is parent and parent is not None:
            self.setGeometry(parent.rect())
        return False

    def paintEvent(self, event: QPaintEvent) -> None:
        """The dimming."""
        QPainter(self).fillRect(self.rect(), self._look.color("sheet", SCRIM_STRENGTH))


class Sheet(QDialog):
    """The base of all sheets but the first one. Esc and *Back* close it; it is modal to its window."""

    def __init__(self, title: str, look: Look, parent: QWidget, *, width_px: int = 520) -> None:
        super().__init__(parent, Qt.WindowType.Dialog | Qt.WindowType.FramelessWindowHint)
        self._look = look
        self._scrim: Scrim | None = None
        self.setWindowTitle(title)
        self.setAccessibleName(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self._heading = Words(title, look, self, size=19, semibold=True)
        self.body = QVBoxLayout()
        self.body.setSpacing(8)
        self._foot = QHBoxLayout()
        self._foot.setSpacing(10)
        column = QVBoxLayout(self)
        column.setContentsMargins(_SIDE_PX, 24, _SIDE_PX, 20)
        column.setSpacing(12)
        column.addWidget(self._heading)
        column.addLayout(self.body, 1)
        column.addSpacing(4)
        column.addWidget(Rule(self))
        column.addLayout(self._foot)
        self._foot.addStretch(1)
        self.setFixedWidth(min(look.px(width_px), parent.window().width() - 40))
        self.finished.connect(self._uncover)

    def say(self, words: str, role: str = "ink") -> Words:
        """Add a paragraph."""
        label = Words(words, self._look, self, role=role)
        self.body.addWidget(label)
        return label

    def head(self, words: str) -> Words:
        """Add the name of a group."""
        label = Words(words, self._look, self, size=15, semibold=True)
        self.body.addSpacing(6)
        self.body.addWidget(label)
        return label

    def add_button(self, words: str, then: Callable[[], object], weight: Weight = Weight.PLAIN) -> Button:
        """Add a button at the right of the foot; the one that goes on stands last and takes Enter."""
        button = Button(words, self._look, self, weight)
        button.clicked.connect(then)
        self._foot.addWidget(button)
        if weight is Weight.GOES_ON:
            button.setFocus()
        return button

    def add_note(self, words: str, then: Callable[[], object]) -> Button:
        """Add words to press at the left of the foot."""
        button = Button(words, self._look, self, Weight.LINK)
        button.clicked.connect(then)
        self._foot.insertWidget(0, button)
        return button

    def add_back(self, words: str = "Back") -> Button:
        """Add the button that closes the sheet and does nothing."""
        return self.add_button(words, self.reject)

    def open(self) -> None:
        """Dim the window and lay the sheet over its middle."""
        parent = self.parentWidget()
        if parent is not None:
            self._scrim = Scrim(self._look, parent.window())
            self._scrim.show()
        super().open()
        self._centre()

    def _centre(self) -> None:
        parent = self.parentWidget()
        if parent is not None:
            self.adjustSize()
            spot = parent.window().frameGeometry().center() - self.rect().center()
            self.move(spot)

    def _uncover(self) -> None:
        if self._scrim is not None:
            self._scrim.hide()
            self._scrim.deleteLater()
            self._scrim = None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """The sheet can be pushed aside by its paper."""
        handle = self.windowHandle()
        if event.button() is Qt.MouseButton.LeftButton and handle is not None:
            handle.startSystemMove()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The paper."""
        paint_paper(QPainter(self), QRectF(self.rect()), self._look)
