"""The small parts that sheets are made of: buttons, words to press, a choice of two, rules, labels."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum, auto

from PySide6.QtCore import QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QEnterEvent, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QLabel, QRadioButton, QSizePolicy, QWidget

from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look

_MIDDLE = int(Qt.AlignmentFlag.AlignCenter)
_SIDE_PX, _HIGH_PX, _CORNER_PX = 16, 32, 3


class Weight(Enum):
    """How much a button asks to be pressed. At most one GOES_ON is in sight."""

    GOES_ON = auto()
    PLAIN = auto()
    LINK = auto()


class Button(QAbstractButton):
    """A button of the house: filled, outlined, or a word with a line under it."""

    def __init__(self, words: str, look: Look, parent: QWidget, weight: Weight = Weight.PLAIN) -> None:
        super().__init__(parent)
        self._look, self._weight = look, weight
        self.setText(words)
        self.setAccessibleName(words)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """As wide as its words."""
        metrics = QFontMetricsF(self._look.font(13, semibold=self._weight is not Weight.PLAIN))
        side = self._look.px(4 if self._weight is Weight.LINK else _SIDE_PX)
        return QSize(round(metrics.horizontalAdvance(self.text())) + 2 * side + 2, self._look.px(_HIGH_PX))

    def set_weight(self, weight: Weight) -> None:
        """Ask more or less to be pressed."""
        self._weight = weight
        self.updateGeometry()
        self.update()

    def _role(self) -> str:
        """The colour of its words."""
        return {Weight.LINK: "mark", Weight.GOES_ON: "slip"}.get(self._weight, "ink")

    def _words_box(self) -> QRectF:
        """Where its words stand, at the middle."""
        return QRectF(self.rect())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter presses it as Space does."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The button."""
        look, painter = self._look, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        strength = 1.0 if self.isEnabled() else 0.45
        font = look.font(13, semibold=self._weight is not Weight.PLAIN)
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        if self._weight is Weight.LINK:
            font.setUnderline(True)
        elif self._weight is Weight.GOES_ON:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.color("mark", strength))
            painter.drawRoundedRect(box, _CORNER_PX, _CORNER_PX)
        else:
            painter.setPen(QPen(look.color("rule", strength), 1.0))
            painter.setBrush(look.color("slip_rest" if self.underMouse() else "slip"))
            painter.drawRoundedRect(box, _CORNER_PX, _CORNER_PX)
        painter.setFont(font)
        painter.setPen(look.color(self._role(), strength))
        painter.drawText(self._words_box(), _MIDDLE, self.text())
        if self.hasFocus():
            ring = "slip" if self._weight is Weight.GOES_ON else "mark"
            draw_focus_ring(painter, QRectF(self.rect()).adjusted(2, 2, -2, -2), look.color(ring))


class _Segment(QRadioButton):
    """One answer of a choice: picked it stands on the wash of picking, under a plum line."""

    def __init__(self, words: str, look: Look, parent: QWidget) -> None:
        super().__init__(words, parent)
        self._look = look
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """As wide as its words in semibold, so that picking moves nothing."""
        metrics = QFontMetricsF(self._look.font(12.5, semibold=True))
        return QSize(round(metrics.horizontalAdvance(self.text())) + self._look.px(26), self._look.px(28))

    def hitButton(self, pos: QPoint) -> bool:
        """All of it takes clicks."""
        return True

    def enterEvent(self, event: QEnterEvent) -> None:
        """Lit under the pointer."""
        self.update()
        super().enterEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The segment."""
        look, painter, picked = self._look, QPainter(self), self.isChecked()
        box = QRectF(self.rect())
        painter.fillRect(box, look.color("slip_picked" if picked else "slip_rest" if self.underMouse() else "slip"))
        painter.setPen(QPen(look.color("ink_soft"), 1.0))
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
        if picked:
            painter.fillRect(QRectF(1, box.height() - 3, box.width() - 2, 2), look.color("mark"))
        painter.setFont(look.font(12.5, semibold=picked))
        painter.setPen(look.color("mark" if picked else "ink"))
        painter.drawText(box, _MIDDLE, self.text())
        if self.hasFocus():
            draw_focus_ring(painter, box.adjusted(3, 3, -3, -4), look.color("mark"))


class Segments(QWidget):
    """A choice of two or three that stand side by side."""

    chosen = Signal(int)

    def __init__(self, name: str, words: Sequence[str], look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        self._parts = [_Segment(each, look, self) for each in words]
        for place, part in enumerate(self._parts):
            part.setAccessibleName(f"{name}: {words[place]}")
            part.clicked.connect(lambda _=False, picked=place: self.chosen.emit(picked))
            row.addWidget(part)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setFocusProxy(self._parts[0])

    @property
    def picked(self) -> int:
        """Which one is chosen, from 0; -1 when none is."""
        return next((place for place, part in enumerate(self._parts) if part.isChecked()), -1)

    def pick(self, place: int) -> None:
        """Choose one, without telling."""
        self._parts[place].setChecked(True)
        self.setFocusProxy(self._parts[place])


class Rule(QWidget):
    """A rule, one px wide, across or upright."""

    def __init__(self, parent: QWidget, *, upright: bool = False) -> None:
        super().__init__(parent)
        if upright:
            self.setFixedWidth(1)
        else:
            self.setFixedHeight(1)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The rule."""
        QPainter(self).fillRect(self.rect(), self.palette().color(QPalette.ColorRole.Mid))


class Words(QLabel):
    """A label in a role's colour that follows the looks."""

    def __init__(
        self,
        words: str,
        look: Look,
        parent: QWidget,
        *,
        size: float = 13.0,
        role: str = "ink",
        semibold: bool = False,
        italic: bool = False,
    ) -> None:
        super().__init__(words, parent)
        self._look, self._size, self._role, self._semibold, self._italic = look, size, role, semibold, italic
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        look.changed.connect(self._restyle)
        self._restyle()

    def set_role(self, role: str) -> None:
        """Take another colour."""
        self._role = role
        self._restyle()

    def _restyle(self) -> None:
        self.setFont(self._look.font(self._size, semibold=self._semibold, italic=self._italic))
        colors = self.palette()
        colors.setColor(colors.ColorRole.WindowText, self._look.color(self._role))
        self.setPalette(colors)
