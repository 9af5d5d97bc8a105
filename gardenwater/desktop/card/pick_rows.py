"""Rows of 38 px of which one is chosen: a ring or a number, a name and a line below it, a figure at the right."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look

_ROW_PX, _HEAD_PX, _RING_PX, _LEFT_PX = 38, 24, 5.0, 20
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)


@dataclass(frozen=True, slots=True)
class PickRow:
    """One row. role: of its figure."""

    name: str
    below: str = ""
    figure: str = ""
    role: str = "ink"


class PickRows(QWidget):
    """A head and rows to choose one of; the chosen one may carry a word to press."""

    picked = Signal(int)
    pressed_word = Signal()

    def __init__(self, name: str, look: Look, parent: QWidget, *, word: str = "", ringed: bool = True) -> None:
        super().__init__(parent)
        self._look, self._name, self._word, self._ringed = look, name, word, ringed
        self._head = self._note = ""
        self._rows: tuple[PickRow, ...] = ()
        self._at, self._over = -1, -1
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def chosen(self) -> int:
        """The chosen row, -1 for none."""
        return self._at

    def show_rows(self, head: str, note: str, rows: tuple[PickRow, ...], chosen: int) -> None:
        """Show others."""
        self._head, self._note, self._rows = head, note, rows
        self._at = chosen if 0 <= chosen < len(rows) else -1
        self.setVisible(bool(rows))
        row = rows[self._at] if self._at >= 0 else None
        words = f", {row.name}, {row.below}, {row.figure}, {self._at + 1} of {len(rows)}" if row is not None else ""
        self.setAccessibleName(f"{self._name}: {head}{words}")
        self.setAccessibleDescription(
            f"Up and Down choose. Enter: {self._word}." if self._word else "Up and Down choose."
        )
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """A head, and a row for each."""
        return QSize(200, self._look.px(_HEAD_PX) + self._look.px(_ROW_PX) * len(self._rows) + 2)

    def _box(self, number: int) -> QRectF:
        high = self._look.px(_ROW_PX)
        return QRectF(-8, self._look.px(_HEAD_PX) + high * number, self.width() + 16, high)

    def _word_box(self) -> QRectF:
        """Where the word to press stands: at the right of the chosen row's second line."""
        box = self._box(self._at)
        width = QFontMetricsF(self._look.font(12.5, semibold=True)).horizontalAdvance(self._word) + 4
        return QRectF(self.width() - width, box.top() + box.height() / 2, width, box.height() / 2 - 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Head and rows."""
        painter, look = QPainter(self), self._look
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        head = QRectF(0, 0, self.width(), look.px(_HEAD_PX))
        note = QFontMetricsF(look.font(12)).horizontalAdvance(self._note) + (10 if self._note else 0)
        self._write(painter, head.adjusted(0, 0, -note, 0), self._head, 13, "ink", _LEFT, semibold=True)
        self._write(painter, head, self._note, 12, "ink_soft", _RIGHT)
        for number, row in enumerate(self._rows):
            self._paint_row(painter, number, row)
        if self.hasFocus() and self._at >= 0:
            draw_focus_ring(painter, self._box(self._at).adjusted(10, 2, -10, -2), look.color("mark"))

    def _paint_row(self, painter: QPainter, number: int, row: PickRow) -> None:
        look, box, chosen = self._look, self._box(number), number == self._at
        if chosen or number == self._over:
            painter.fillRect(box, look.color("slip_picked" if chosen else "slip_rest"))
        half, left = box.height() / 2, float(look.px(_LEFT_PX))
        self._paint_sign(painter, number, QPointF(look.px(6), box.top() + half / 2 + 4), chosen=chosen)
        figure = QFontMetricsF(look.font(13, semibold=True)).horizontalAdvance(row.figure) + (8 if row.figure else 0)
        first = QRectF(left, box.top() + 2, self.width() - left - figure, half)
        self._write(painter, first, row.name, 13, "ink", _LEFT, semibold=chosen)
        right = QRectF(left, box.top() + 2, self.width() - left, half)
        self._write(painter, right, row.figure, 13, row.role, _RIGHT, semibold=True)
        word = self._word_box().width() + 8 if chosen and self._word else 0.0
        second = QRectF(left, box.top() + half, self.width() - left - word, half - 2)
        self._write(painter, second, row.below, 12, "ink_soft", _LEFT)
        if chosen and self._word:
            font = look.font(12.5, semibold=True)
            font.setUnderline(True)
            painter.setFont(font)
            painter.setPen(look.color("mark"))
            painter.drawText(self._word_box(), _RIGHT, self._word)

    def _paint_sign(self, painter: QPainter, number: int, at: QPointF, *, chosen: bool) -> None:
        look = self._look
        if not self._ringed:
            painter.setFont(look.font(12, semibold=True))
            painter.setPen(look.color("mark" if chosen else "ink_soft"))
            painter.drawText(
                QRectF(at.x() - 8, at.y() - 10, 16, 20), int(Qt.AlignmentFlag.AlignCenter), str(number + 1)
            )
            return
        painter.setPen(QPen(look.color("mark" if chosen else "ink_soft"), 1.4))
        painter.setBrush(look.color("slip"))
        painter.drawEllipse(at, _RING_PX, _RING_PX)
        if chosen:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.color("mark"))
            painter.drawEllipse(at, _RING_PX / 2, _RING_PX / 2)

    def _write(
        self, painter: QPainter, box: QRectF, words: str, size: float, role: str, flags: int, *, semibold: bool = False
    ) -> None:
        font = self._look.font(size, semibold=semibold)
        painter.setFont(font)
        painter.setPen(self._look.color(role))
        shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, flags, shown)

    def _row_at(self, y: float) -> int:
        number = int((y - self._look.px(_HEAD_PX)) // self._look.px(_ROW_PX))
        return number if y >= self._look.px(_HEAD_PX) and number < len(self._rows) else -1

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The row under the pointer is lit, and says its words in full."""
        self._over = self._row_at(event.position().y())
        self.setCursor(Qt.CursorShape.PointingHandCursor if self._over >= 0 else Qt.CursorShape.ArrowCursor)
        row = self._rows[self._over] if self._over >= 0 else None
        self.setToolTip("" if row is None else ". ".join(filter(None, (row.name, row.below))))
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """No row stays lit."""
        self._over = -1
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Choose a row, or press the word of the chosen one."""
        row = self._row_at(event.position().y())
        if (
            row >= 0
            and row == self._at
            and self._word
            and self._word_box().adjusted(-6, -4, 6, 4).contains(event.position())
        ):
            self.pressed_word.emit()
        elif row >= 0:
            self.picked.emit(row)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down choose; Enter presses the word."""
        key = Qt.Key(event.key())
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(key, 0)
        if step and self._rows:
            self.picked.emit(min(max(self._at + step, 0), len(self._rows) - 1))
        elif key in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and self._at >= 0:
            if self._word:
                self.pressed_word.emit()
            else:
                self.picked.emit(self._at)
        else:
            super().keyPressEvent(event)
