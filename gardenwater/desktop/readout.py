"""The line under the plan: level, the answer, its margin and its way; scale, grid and level error at the right."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.desktop.dialogs.parts import Button, Weight
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look, is_look_event

_SIDE_PX, _GAP_PX, _RIGHT_GAP_PX = 16, 22, 18
_SIZE_PX = 13.0


@dataclass(frozen=True, slots=True)
class Reading:
    """The words of the read-out. The answer stands in semibold; a notice stands instead of all, when given.

    stoppable: what the notice tells of can be stopped; the word for it stands behind it.
    """

    lead: str = "At the pointer"
    level: str = ""
    answer: str = ""
    more: tuple[str, ...] = ()
    right: tuple[str, ...] = ()
    notice: str = ""
    notice_role: str = "ink"
    stoppable: bool = False

    @property
    def spoken(self) -> str:
        """What a screen reader says."""
        return self.notice or ", ".join(part for part in (self.level, self.answer, *self.more) if part)


class ReadOut(QWidget):
    """One line of words; what does not fit is left out from the right of its side."""

    stopped = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._reading = Reading()
        self._narrow = False
        self._stop = Button("Stop", look, self, Weight.LINK)
        self._stop.setAccessibleName("Stop what is being done")
        self._stop.clicked.connect(self.stopped)
        self._stop.hide()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName("Read-out")

    def set_narrow(self, narrow: bool) -> None:
        """In a narrow window the lead and the grid are left out."""
        self._narrow = narrow
        self.update()

    @property
    def reading(self) -> Reading:
        """What is shown."""
        return self._reading

    def show_reading(self, reading: Reading) -> None:
        """Show other words."""
        if reading != self._reading:
            self._reading = reading
            self.setAccessibleDescription(reading.spoken)
            self._stop.setVisible(reading.stoppable)
            self.setToolTip(reading.notice)
            self.update()

    def sizeHint(self) -> QSize:
        """One line."""
        return QSize(200, self._look.px(32))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The line."""
        look, painter = self._look, QPainter(self)
        painter.fillRect(self.rect(), look.color("sheet"))
        painter.setPen(look.color("rule"))
        painter.drawLine(0, 0, self.width(), 0)
        limit = self._paint_right(painter)
        if self._reading.notice:
            room = limit - (self._stop.width() if self._reading.stoppable else 0)
            end = self._write(painter, _SIDE_PX, room, self._reading.notice, self._reading.notice_role, semibold=False)
            self._stop.move(round(min(end, room) - _GAP_PX / 2), (self.height() - self._stop.height()) // 2)
        else:
            self._paint_left(painter, limit)
        if self.hasFocus():
            draw_focus_ring(painter, QRectF(self.rect()).adjusted(2, 3, -2, -2), look.color("mark"))

    def _paint_right(self, painter: QPainter) -> float:
        at = float(self.width() - _SIDE_PX)
        painter.setFont(self._look.font(12.5))
        metrics = QFontMetricsF(painter.font())
        for words in reversed(self._right()):
            at -= metrics.horizontalAdvance(words)
            painter.setPen(self._look.color("ink_quiet"))
            painter.drawText(QRectF(at, 0, self.width(), self.height()), int(Qt.AlignmentFlag.AlignVCenter), words)
            at -= _RIGHT_GAP_PX
        return at

    def _right(self) -> tuple[str, ...]:
        return tuple(words for words in self._reading.right if not (self._narrow and words.startswith("grid")))

    def _paint_left(self, painter: QPainter, limit: float) -> None:
        reading = self._reading
        lead = "" if self._narrow else reading.lead
        parts = [(lead, "ink_quiet", False), (reading.level, "ink", False), (reading.answer, "ink", True)]
        parts += [(words, "ink", False) for words in reading.more]
        at = float(_SIDE_PX)
        for words, role, semibold in parts:
            if not words:
                continue
            at = self._write(painter, at, limit, words, role, semibold=semibold)
            if at >= limit:
                return

    def _write(self, painter: QPainter, at: float, limit: float, words: str, role: str, *, semibold: bool) -> float:
        painter.setFont(self._look.font(_SIZE_PX, semibold=semibold))
        painter.setPen(self._look.color(role))
        metrics = QFontMetricsF(painter.font())
        shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, limit - at)
        painter.drawText(QRectF(at, 0, limit - at + 1, self.height()), int(Qt.AlignmentFlag.AlignVCenter), shown)
        return at + metrics.horizontalAdvance(words) + _GAP_PX

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if is_look_event(event):
            self.updateGeometry()
            self.update()
        super().changeEvent(event)
