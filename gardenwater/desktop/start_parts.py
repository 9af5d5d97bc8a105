"""What the first sheet is made of: the ways to begin, sites opened before, the picture of the sample."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from gardenwater.desktop.dialogs.parts import Button, Weight
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.icons import icon_pixmap
from gardenwater.desktop.look import Look

WORDS_LEFT_PX, WAY_PX = 74, 86
_PICTURE_PX = (400, 358)
_ICON_PX = 32


@dataclass(frozen=True, slots=True)
class Way:
    """One of the ways to begin."""

    key: str
    icon: str
    title: str
    words: str


class WayRow(QAbstractButton):
    """One way to begin: sign, title and a line of words; the one to try first stands on the wash of picking."""

    def __init__(self, way: Way, look: Look, parent: QWidget, *, first: bool) -> None:
        super().__init__(parent)
        self._way, self._look, self._first = way, look, first
        self.setAccessibleName(way.title)
        self.setAccessibleDescription(way.words)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setMaximumHeight(look.px(WAY_PX))

    def sizeHint(self) -> QSize:
        """Room for both lines."""
        return QSize(self._look.px(400), self._look.px(WAY_PX))

    def minimumSizeHint(self) -> QSize:
        """Both lines, close together."""
        return QSize(self._look.px(300), self._look.px(54))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes; Up and Down go to the next way."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.click()
        elif event.key() == Qt.Key.Key_Down:
            self.focusNextChild()
        elif event.key() == Qt.Key.Key_Up:
            self.focusPreviousChild()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The row."""
        look, painter = self._look, QPainter(self)
        box = QRectF(self.rect())
        ground = "slip_picked" if self._first else "slip_rest" if self.underMouse() else "slip"
        painter.fillRect(box, look.color(ground))
        if self._first:
            painter.fillRect(QRectF(0, 0, 3, box.height()), look.color("mark"))
        role = "mark" if self._first else "ink"
        size, middle = look.px(_ICON_PX), box.height() / 2
        picture = icon_pixmap(self._way.icon, look.color(role), look.color(ground), size, self.devicePixelRatioF())
        painter.drawPixmap(look.px(20), round(middle - size / 2 - 4), picture)
        left, line = look.px(WORDS_LEFT_PX), look.px(24)
        self._write(painter, QRectF(left, middle - line, box.width() - left - 8, line), self._way.title, 16, role, True)
        words = QRectF(left, middle + 1, box.width() - left - 8, line)
        self._write(painter, words, self._way.words, 13, "ink" if self._first else "ink_soft", False)
        if self.hasFocus():
            draw_focus_ring(painter, box.adjusted(5, 3, -3, -3), look.color("mark"))

    def _write(self, painter: QPainter, box: QRectF, words: str, size: float, role: str, semibold: bool) -> None:
        painter.setFont(self._look.font(size, semibold=semibold))
        painter.setPen(self._look.color(role))
        shown = QFontMetricsF(painter.font()).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter), shown)


class RecentRow(Button):
    """A site opened before; one whose file has gone stands in grey and says so."""

    def __init__(self, path: Path, look: Look, parent: QWidget) -> None:
        self.there = path.is_file()
        super().__init__(path.stem, look, parent, Weight.LINK)
        self.path = path
        self.setEnabled(self.there)
        self.setToolTip(str(path) if self.there else f"{path} is no longer there.")
        self.setAccessibleName(f"Open {path.stem}" if self.there else f"{path.stem}, no longer there")
        self.setAccessibleDescription(str(path))


class Picture(QWidget):
    """The picture of the sample in a double frame."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._picture = QPixmap()
        self.setFixedSize(*(look.px(size) for size in _PICTURE_PX))
        self.setAccessibleName("Picture of the sample garden's reach map")

    def show_picture(self, picture: QPixmap) -> None:
        """Show this picture."""
        self._picture = picture
        self.update()

    @property
    def picture(self) -> QPixmap:
        """What is shown."""
        return self._picture

    def paintEvent(self, event: QPaintEvent) -> None:
        """Frame and picture."""
        look, painter = self._look, QPainter(self)
        painter.fillRect(self.rect(), look.color("paper"))
        inner = self.rect().adjusted(8, 8, -9, -9)
        if not self._picture.isNull():
            painter.drawPixmap(inner, self._picture)
        painter.setPen(look.color("ink"))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.drawRect(inner)
