"""The picture of the year, and the hand on it: dragged, clicked, stepped by key, read by hovering."""

from __future__ import annotations

import calendar
import datetime as dt

from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFontMetricsF,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractSlider, QSizePolicy, QToolTip, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look, is_look_event, measure
from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.plan.speech import Speaker
from gardenwater.desktop.qtimages import blank_image
from gardenwater.desktop.year.shown import YearShown
from gardenwater.report.text import litres
from gardenwater.report.year import (
    StripForm,
    StripLayout,
    YearDays,
    day_reading,
    hand_marks,
    hand_x,
    layout_of,
    strip_marks,
    strip_words,
)

_HAND_ROOM_PX = 150.0
_SIDE_PX = 16
_STALE = 0.5
_MOST_TANKS = 12
_STEPS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Down: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Up: 1}
_MONTHS = {Qt.Key.Key_PageDown: -1, Qt.Key.Key_PageUp: 1}


def month_on(date: dt.date, by: int) -> dt.date:
    """The same day of another month; the last one of a shorter month."""
    month = date.year * 12 + date.month - 1 + by
    year, place = divmod(month, 12)
    return dt.date(year, place + 1, min(date.day, calendar.monthrange(year, place + 1)[1]))


class YearPicture(QAbstractSlider):
    """A slider over the days of a year, to those who do not see it; its value is the number of the day.

    What does not change with the hand is painted once and kept; a step of the hand paints a narrow stripe.
    """

    playWanted = Signal()
    handTaken = Signal()

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._shown = YearShown()
        self._form = StripForm.FOLDED
        self._layout: StripLayout | None = None
        self._kept: QImage | None = None
        self._marks: MarkPainter | None = None
        self._speaker = Speaker(self)
        self._dragging = False
        self._over = -1
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleDescription(
            "Left and Right go a day, Page keys a month, Home and End to the year's ends. Space plays."
        )
        desk.dayChanged.connect(self._day_changed)
        look.changed.connect(self._forget)

    # what is shown

    @property
    def days(self) -> YearDays | None:
        """The year that is shown."""
        return self._shown.days

    @property
    def layout_now(self) -> StripLayout | None:
        """Where the rows stand; None while the strip is a line of words, or there is no year."""
        if self._layout is None and self.days is not None and self._form is not StripForm.WORDS:
            size = self.width(), self.height()
            self._layout = layout_of(self._form, *size, measure=measure, factor=self._look.factor)
        return self._layout

    def set_form(self, form: StripForm) -> None:
        """Show more or less of it."""
        if form is not self._form:
            self._form = form
            self._forget()

    def show_year(self, shown: YearShown) -> None:
        """Show another year, or words where there is none."""
        self._shown = shown
        self._forget()
        if shown.days is not None:
            self.setRange(0, shown.days.count - 1)
        self._day_changed()

    def _day(self) -> int | None:
        days, date = self.days, self._desk.day
        return None if days is None or date is None else days.day_of(date)

    def _day_changed(self) -> None:
        """The hand has moved: the stripes where it was and where it is are painted anew."""
        day, before = self._day(), self.value()
        if day is None or self.days is None:
            self.setAccessibleName(self._shown.lack.value)
            self.update()
            return
        self.setValue(day)
        words = day_reading(self.days, day, self._desk.units)
        self.setAccessibleName(f"The year, {self.days.name}, {words}")
        if self.hasFocus():
            self._speaker.say(words)
        if self._form is StripForm.WORDS:
            self.update()
            return
        for each in {before, day}:
            self.update(self._stripe(each))

    def _stripe(self, day: int) -> QRect:
        """What the hand and its words take when it stands on a day."""
        layout = self.layout_now
        if layout is None or self.days is None:
            return self.rect()
        x, room = hand_x(self.days, min(day, self.days.count - 1), layout), _HAND_ROOM_PX * self._look.factor
        return QRect(round(x - room), 0, round(2 * room), self.height())

    def _forget(self) -> None:
        self._kept = self._marks = self._layout = None
        self.update()

    # painting

    def sizeHint(self) -> QSize:
        """As wide as there is room."""
        return QSize(400, self._look.px(78))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Laid out anew."""
        self._forget()
        super().resizeEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The kept picture, and the hand on it."""
        painter = QPainter(self)
        painter.fillRect(event.rect(), self._look.color("slip"))
        layout, days, day = self.layout_now, self.days, self._day()
        if layout is None or days is None:
            self._paint_words(painter)
        else:
            if self._shown.stale:
                painter.setOpacity(_STALE)
            self._paint_kept(painter, event.rect(), days, layout)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            if self._over >= 0 and self._over != day:
                x = hand_x(days, self._over, layout)
                painter.setPen(QPen(self._look.color("ink_soft"), 1.0, Qt.PenStyle.DotLine))
                painter.drawLine(QPoint(round(x), round(layout.plot.y)), QPoint(round(x), round(layout.plot.bottom)))
            if day is not None:
                self._painter().paint(painter, hand_marks(days, day, layout, units=self._desk.units))
            painter.setOpacity(1.0)
        if self.hasFocus():
            draw_focus_ring(painter, QRectF(self.rect()).adjusted(2, 1, -2, -1), self._look.color("mark"))
        painter.end()

    def _paint_kept(self, painter: QPainter, part: QRect, days: YearDays, layout: StripLayout) -> None:
        ratio = self.devicePixelRatioF()
        if self._kept is None:
            self._kept = blank_image(self.width(), self.height(), ratio)
            on = QPainter(self._kept)
            on.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._painter().paint(on, strip_marks(days, layout, units=self._desk.units))
            on.end()
        source = QRectF(part.x() * ratio, part.y() * ratio, part.width() * ratio, part.height() * ratio)
        painter.drawImage(QRectF(part), self._kept, source)

    def _paint_words(self, painter: QPainter) -> None:
        """One line of words."""
        look, days, day = self._look, self.days, self._day()
        words = self._shown.lack.value
        if days is not None and day is not None:
            words = strip_words(days, day, units=self._desk.units)
        painter.setFont(look.font(13))
        painter.setPen(look.color("ink" if days is not None else "ink_soft", _STALE if self._shown.stale else 1.0))
        room = QRectF(self.rect()).adjusted(_SIDE_PX, 0, -_SIDE_PX, 0)
        line = QFontMetricsF(painter.font()).elidedText(words, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), line)

    def _painter(self) -> MarkPainter:
        if self._marks is None:
            self._marks = MarkPainter(self._look.roles, self.devicePixelRatioF())
        return self._marks

    # hands

    def _go_to(self, x: float) -> None:
        layout, days = self.layout_now, self.days
        if layout is not None and days is not None:
            self._desk.set_day(days.date(layout.day_at(x, days.count)))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the hand, or bring it here."""
        if event.button() is Qt.MouseButton.LeftButton:
            self._dragging = True
            self.handTaken.emit()
            QToolTip.hideText()
            self._hover(-1)
            self._go_to(event.position().x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The hand follows, or the day under the pointer is read."""
        if self._dragging:
            self._go_to(event.position().x())
            return
        layout, days = self.layout_now, self.days
        if layout is None or days is None:
            return
        x = event.position().x()
        inside = layout.plot.x <= x <= layout.plot.right
        self.setCursor(Qt.CursorShape.PointingHandCursor if inside else Qt.CursorShape.ArrowCursor)
        self._hover(layout.day_at(x, days.count) if inside else -1)
        if inside:
            QToolTip.showText(event.globalPosition().toPoint() + QPoint(12, -36), self.reading(self._over), self)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self._dragging = False

    def leaveEvent(self, event: QEvent) -> None:
        """Nothing is read."""
        self._hover(-1)
        QToolTip.hideText()
        super().leaveEvent(event)

    def _hover(self, day: int) -> None:
        if day == self._over:
            return
        for each in {self._over, day} - {-1}:
            self.update(self._stripe(each))
        self._over = day

    def reading(self, day: int) -> str:
        """The numbers of a day, a line each."""
        if self.days is None:
            return ""
        units = self._desk.units
        date, _, rest = day_reading(self.days, day, units).partition(": ")
        tanks = [f"{name}: {litres(float(volumes[day]), units)}" for name, volumes in self._shown.tanks[:_MOST_TANKS]]
        return "\n".join((date, *rest.split(", "), *tanks))

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A notch is a day, with Shift a week."""
        notches = round((event.angleDelta().y() or event.angleDelta().x()) / 120.0)
        if notches:
            self.handTaken.emit()
            self._desk.step_day(-notches * (7 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1))
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Days, months, the year's ends; Space plays."""
        key, days, date = Qt.Key(event.key()), self.days, self._desk.day
        if key is Qt.Key.Key_Space:
            self.playWanted.emit()
            return
        if days is None or date is None:
            super().keyPressEvent(event)
            return
        wanted = {Qt.Key.Key_Home: days.start, Qt.Key.Key_End: days.last}.get(key)
        if key in _STEPS:
            wanted = date + dt.timedelta(days=_STEPS[key])
        elif key in _MONTHS:
            wanted = month_on(date, _MONTHS[key])
        if wanted is None:
            super().keyPressEvent(event)
            return
        self.handTaken.emit()
        self._desk.set_day(wanted)

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if is_look_event(event):
            self._forget()
        super().changeEvent(event)
