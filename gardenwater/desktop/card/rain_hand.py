"""The rain hand of Overflow: from no rain to all of it, in the same hours, with marks where something begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look

_SIDE_PX, _HAND_PX, _LINE_PX = 8.0, 13.0, 18.0
_STEPS = {Qt.Key.Key_Left: -0.01, Qt.Key.Key_Right: 0.01, Qt.Key.Key_PageDown: -0.1, Qt.Key.Key_PageUp: 0.1}
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_MIDDLE = int(Qt.AlignmentFlag.AlignCenter)


@dataclass(frozen=True, slots=True)
class HandMark:
    """A mark on the line: where something begins, in words, in the colour of a role."""

    share: float
    words: str
    role: str


@dataclass(frozen=True, slots=True)
class HandWords:
    """What stands about the line: its name, how far it is, and its two ends."""

    name: str = ""
    now: str = ""
    first: str = ""
    last: str = ""
    marks: tuple[HandMark, ...] = ()


class RainHand(QWidget):
    """Dragged, clicked or stepped; it tells each move, and when it is let go."""

    moved = Signal(float, bool)  # share, 0 to 1; whether it is still in the hand

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._share = 1.0
        self._words = HandWords()
        self._dragging = False
        self._before = 1.0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleDescription(
            "From no rain to all of it; it falls in the same hours. "
            "Left and Right change it by a hundredth, Page keys by a tenth."
        )

    @property
    def share(self) -> float:
        """Where the hand stands, 0 to 1."""
        return self._share

    def show_rain(self, share: float, words: HandWords) -> None:
        """Show the hand elsewhere, or other words."""
        if not self._dragging:
            self._share = share
        self._words = words
        self.setAccessibleName(f"{words.name}, {words.now}")
        self.updateGeometry()
        self.update()

    def _rows(self) -> list[list[tuple[HandMark, QRectF]]]:
        """Words of the marks in as few rows as they fit in, each under its mark."""
        metrics = QFontMetricsF(self._look.font(12))
        line, rows = float(self._look.px(_LINE_PX)), list[list[tuple[HandMark, QRectF]]]()
        taken: list[list[tuple[float, float]]] = []
        for mark in self._words.marks:
            width = metrics.horizontalAdvance(mark.words)
            left = min(max(self._x(mark.share) - width / 2, 0.0), self.width() - width)
            row = next((n for n, used in enumerate(taken) if _free(used, left - 6, left + width + 6)), len(taken))
            if row == len(taken):
                taken.append([])
                rows.append([])
            taken[row].append((left, left + width))
            rows[row].append((mark, QRectF(left, row * line, width + 1, line)))
        return rows

    def sizeHint(self) -> QSize:
        """Name, line, ends, and rows of marks."""
        return QSize(200, self._look.px(20 + 14 + 8 + _LINE_PX) + self._look.px(_LINE_PX) * len(self._rows()))

    def _x(self, share: float) -> float:
        return _SIDE_PX + (self.width() - 2 * _SIDE_PX) * share

    def paintEvent(self, event: QPaintEvent) -> None:
        """Name and place; the line with its marks and hand; ends; words of the marks."""
        painter, look = QPainter(self), self._look
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line = float(look.px(20))
        y = line + look.px(14)
        self._write(painter, QRectF(0, 0, self.width(), line), self._words.name, 13, "ink", _LEFT)
        self._write(painter, QRectF(0, 0, self.width(), line), self._words.now, 12.5, "ink_soft", _RIGHT)
        painter.setPen(QPen(look.color("rule"), 1.2))
        painter.drawLine(QPointF(self._x(0), y), QPointF(self._x(1), y))
        for tenth in range(0, 11, 2):
            painter.drawLine(QPointF(self._x(tenth / 10), y + 4), QPointF(self._x(tenth / 10), y + 7))
        painter.setPen(QPen(look.color("water"), 3.0))
        painter.drawLine(QPointF(self._x(0), y), QPointF(self._x(self._share), y))
        for mark in self._words.marks:
            painter.setPen(QPen(look.color(mark.role), 1.75))
            painter.drawLine(QPointF(self._x(mark.share), y - 1), QPointF(self._x(mark.share), y + 9))
        self._paint_hand(painter, self._x(self._share), y)
        top = y + look.px(8)
        ends = QRectF(0, top, self.width(), look.px(_LINE_PX))
        self._write(painter, ends, self._words.first, 12, "ink_soft", _LEFT)
        self._write(painter, ends, self._words.last, 12, "ink_soft", _RIGHT)
        for row in self._rows():
            for mark, box in row:
                self._write(painter, box.translated(0, top + look.px(_LINE_PX)), mark.words, 12, mark.role, _MIDDLE)
        if self.hasFocus():
            draw_focus_ring(painter, QRectF(self._x(self._share) - 11, y - 12, 22, 26), look.color("mark"))

    def _write(self, painter: QPainter, box: QRectF, words: str, size: float, role: str, flags: int) -> None:
        painter.setFont(self._look.font(size))
        painter.setPen(self._look.color(role))
        painter.drawText(box, flags, words)

    def _paint_hand(self, painter: QPainter, x: float, y: float) -> None:
        """The house-shaped grip that every hand has."""
        half = _HAND_PX / 2
        shape = [(-half, -7), (half, -7), (half, 3), (0, 9), (-half, 3)]
        painter.setPen(QPen(self._look.color("mark"), 1.6))
        painter.setBrush(self._look.color("slip"))
        painter.drawPolygon(QPolygonF([QPointF(x + dx, y + dy) for dx, dy in shape]))

    def _set(self, share: float, *, moving: bool) -> None:
        self._share = min(max(share, 0.0), 1.0)
        self.update()
        self.moved.emit(self._share, moving)

    def _share_at(self, x: float) -> float:
        return (x - _SIDE_PX) / max(self.width() - 2 * _SIDE_PX, 1.0)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the hand."""
        if event.button() is Qt.MouseButton.LeftButton:
            self._dragging, self._before = True, self._share
            self._set(self._share_at(event.position().x()), moving=True)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The water follows."""
        if self._dragging:
            self._set(self._share_at(event.position().x()), moving=True)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The exact answer is worked out."""
        if self._dragging:
            self._dragging = False
            self._set(self._share, moving=False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Steps; Home and End are none and all of it; Esc puts the hand back."""
        key = Qt.Key(event.key())
        if key is Qt.Key.Key_Escape and self._dragging:
            self._dragging = False
            self._set(self._before, moving=False)
        elif key in _STEPS or key in {Qt.Key.Key_Home, Qt.Key.Key_End}:
            wanted = {Qt.Key.Key_Home: 0.0, Qt.Key.Key_End: 1.0}.get(key, self._share + _STEPS.get(key, 0.0))
            self._set(round(wanted, 4), moving=False)
        else:
            super().keyPressEvent(event)


def _free(used: Sequence[tuple[float, float]], left: float, right: float) -> bool:
    return all(right <= first or left >= last for first, last in used)
