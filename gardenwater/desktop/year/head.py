"""The line over an open strip: its name, the choice of the year, Play, and the days to jump to."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QEnterEvent, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QMenu, QSizePolicy, QWidget

from gardenwater.desktop.dialogs.parts import Button, Weight
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look
from gardenwater.desktop.year.shown import YearShown

_SIDE_PX, _GAP_PX, _HIGH_PX = 16, 8, 28
_SIGN_PX = 15


class PlayButton(Button):
    """Play, or Stop while it plays: its sign before its word."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__("Play", look, parent, Weight.GOES_ON)
        self._playing = False

    def show_playing(self, playing: bool) -> None:
        """Whether it plays now."""
        self._playing = playing
        self.setText("Stop" if playing else "Play")
        self.setAccessibleName("Stop the year" if playing else "Play the year")
        self.update()

    def sizeHint(self) -> QSize:
        """Room for the sign and for either word, so that the buttons beside it never move."""
        wide = QFontMetricsF(self._look.font(13, semibold=True)).horizontalAdvance("Stop")
        return QSize(round(wide) + self._look.px(2 * 14 + _SIGN_PX) + 2, self._look.px(_HIGH_PX))

    def _words_box(self) -> QRectF:
        return QRectF(self.rect()).adjusted(self._look.px(_SIGN_PX), 0, 0, 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The button, and its sign."""
        super().paintEvent(event)
        painter, half = QPainter(self), 4.5 * self._look.factor
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QPointF(self._look.px(19), self.height() / 2)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._look.color(self._role(), 1.0 if self.isEnabled() else 0.45))
        if self._playing:
            painter.drawRect(QRectF(middle.x() - half * 0.9, middle.y() - half * 0.9, half * 1.8, half * 1.8))
        else:
            corners = ((-0.8, -1.1), (1.1, 0.0), (-0.8, 1.1))
            painter.drawPolygon(QPolygonF([middle + QPointF(x * half, y * half) for x, y in corners]))


class DayButton(Button):
    """A day to jump to."""

    def sizeHint(self) -> QSize:
        """As wide as its words, and no higher than the line."""
        wide = QFontMetricsF(self._look.font(13)).horizontalAdvance(self.text())
        return QSize(round(wide) + 2 * self._look.px(13) + 2, self._look.px(_HIGH_PX))


class FoldButton(QAbstractButton):
    """The strip's name: pressed, it folds or opens the strip. Over a folded strip it is clear."""

    def __init__(self, look: Look, parent: QWidget, *, words: str) -> None:
        super().__init__(parent)
        self._look, self._words = look, words
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Fold the year strip" if words else "Open the year strip")
        self.setToolTip("Fold it (Ctrl+E)" if words else "Open it (Ctrl+E)")

    def sizeHint(self) -> QSize:
        """As wide as its word."""
        wide = QFontMetricsF(self._look.font(15, semibold=True)).horizontalAdvance(self._words)
        return QSize(round(wide) + 4, self._look.px(_HIGH_PX))

    def enterEvent(self, event: QEnterEvent) -> None:
        """Lit under the pointer."""
        self.update()
        super().enterEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter presses it as Space does."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The word; a line under it while pointed at."""
        painter, look = QPainter(self), self._look
        if self._words:
            font = look.font(15, semibold=True)
            font.setUnderline(self.underMouse())
            painter.setFont(font)
            painter.setPen(look.color("ink"))
            painter.drawText(QRectF(self.rect()), int(Qt.AlignmentFlag.AlignVCenter), self._words)
        if self.hasFocus():
            draw_focus_ring(painter, QRectF(self.rect()).adjusted(0, 1, 0, -1), look.color("mark"))


class YearChoice(QAbstractButton):
    """The year's name: pressed, it offers the others."""

    chosen = Signal(str)  # key of a year

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._shown = YearShown()
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.clicked.connect(self._offer)

    def show_year(self, shown: YearShown) -> None:
        """Show its name."""
        self._shown = shown
        words = self._words()
        self.setAccessibleName(f"Year, {words}")
        self.setToolTip("Choose another year")
        self.updateGeometry()
        self.update()

    def _words(self) -> str:
        days = self._shown.days
        return "" if days is None else f"{days.name}, made" if days.made and "made" not in days.name else days.name

    def sizeHint(self) -> QSize:
        """As wide as the name and its arrow."""
        wide = QFontMetricsF(self._look.font(13, italic=True)).horizontalAdvance(self._words())
        return QSize(round(wide) + self._look.px(34), self._look.px(_HIGH_PX))

    def minimumSizeHint(self) -> QSize:
        """Cut with dots where there is no room."""
        return QSize(self._look.px(60), self._look.px(_HIGH_PX))

    def menu(self) -> QMenu:
        """The years that can be chosen."""
        menu = QMenu(self)
        each = QMenu("One year", menu)
        for year in self._shown.years:
            action = (menu if year.named else each).addAction(year.name)
            action.setCheckable(True)
            action.setChecked(year.key == self._shown.key)
            action.triggered.connect(lambda _=False, key=year.key: self.chosen.emit(key))
        menu.addMenu(each)
        return menu

    def _offer(self) -> None:
        menu = self.menu()
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(self.mapToGlobal(self.rect().bottomLeft()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter and Down offer the years as Space does."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Down}:
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The name and a small arrow down."""
        painter, look = QPainter(self), self._look
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.underMouse():
            painter.fillRect(self.rect(), look.color("slip_rest"))
        painter.setFont(look.font(13, italic=True))
        painter.setPen(look.color("ink_soft"))
        metrics, arrow = QFontMetricsF(painter.font()), look.px(20)
        room = self.width() - arrow - look.px(12)
        words = metrics.elidedText(self._words(), Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(look.px(6), 0, room, self.height()), int(Qt.AlignmentFlag.AlignVCenter), words)
        middle = QPointF(look.px(6) + metrics.horizontalAdvance(words) + look.px(13), self.height() / 2 + 1)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.color("ink_soft"))
        size = 4.0 * look.factor
        painter.drawPolygon(
            QPolygonF([middle + QPointF(x * size, y * size) for x, y in ((-1, -0.7), (1, -0.7), (0, 0.8))])
        )
        if self.hasFocus():
            draw_focus_ring(painter, QRectF(self.rect()), look.color("mark"))


class YearHead(QWidget):
    """Wires the parts of the line."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.fold = FoldButton(look, self, words="The year")
        self.choice = YearChoice(look, self)
        self.play = PlayButton(look, self)
        self.first_dry = DayButton("First dry day", look, self)
        self.driest = DayButton("Driest day", look, self)
        row = QHBoxLayout(self)
        row.setContentsMargins(_SIDE_PX, 0, _SIDE_PX, 0)
        row.setSpacing(_GAP_PX)
        row.addWidget(self.fold)
        row.addWidget(self.choice)
        row.addStretch(1)
        for button in (self.play, self.first_dry, self.driest):
            row.addWidget(button)

    def show_year(self, shown: YearShown) -> None:
        """Follow the year; what cannot be done without one is away."""
        days = shown.days
        self.choice.show_year(shown)
        for part in (self.choice, self.play, self.first_dry, self.driest):
            part.setVisible(days is not None)
        if days is not None:
            self.first_dry.setEnabled(days.first_dry is not None)
            self.first_dry.setToolTip("" if days.first_dry is not None else "No day of this year is dry.")
            self.driest.setToolTip("The day on which most is missing, or else on which the store is lowest.")
