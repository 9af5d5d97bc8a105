"""The year strip as a part of the window: line of buttons, picture, and the words where there is no year."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Button, Weight
from gardenwater.desktop.look import Look, is_look_event
from gardenwater.desktop.year.head import FoldButton, YearHead
from gardenwater.desktop.year.picture import YearPicture
from gardenwater.desktop.year.player import Player
from gardenwater.desktop.year.shown import Lack, YearShown
from gardenwater.findings import Question
from gardenwater.report.year import StripForm

_HEAD_PX, _LOW_HEAD_PX, _LOW_OPEN_PX = 40, 34, 200


class YearStrip(QWidget):
    """Shows a year; the desk has the day that its hand stands on."""

    foldWanted = Signal()

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._form = StripForm.FOLDED
        self._shown = YearShown()
        self.player = Player(desk, look, self)
        self.head, self.picture = YearHead(look, self), YearPicture(desk, look, self)
        self._open = FoldButton(look, self.picture, words="")
        self._weather = Button("Weather ...", look, self, Weight.LINK)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 1, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.head)
        column.addWidget(self.picture, 1)
        self.setAccessibleName("Year strip")
        self.setFocusProxy(self.picture)
        self._wire()
        self.set_form(StripForm.FOLDED)
        self.show_year(YearShown())

    def _wire(self) -> None:
        head, picture, desk = self.head, self.picture, self._desk
        for button in (head.fold, self._open):
            button.clicked.connect(self.foldWanted)
        head.choice.chosen.connect(desk.choose_year)
        head.play.clicked.connect(self.player.turn)
        picture.playWanted.connect(self.player.turn)
        picture.handTaken.connect(self.player.stop)
        head.first_dry.clicked.connect(lambda: self._jump(first=True))
        head.driest.clicked.connect(lambda: self._jump(first=False))
        self.player.playingChanged.connect(head.play.show_playing)
        self._weather.clicked.connect(desk.want_weather)
        desk.questionChanged.connect(self._take_question)
        self._take_question(desk.question)

    @property
    def form(self) -> StripForm:
        """How much of it is shown."""
        return self._form

    @property
    def shown(self) -> YearShown:
        """What is shown."""
        return self._shown

    def set_form(self, form: StripForm) -> None:
        """Fold or open it."""
        self._form = form
        self.head.setVisible(form is StripForm.OPEN)
        self.picture.set_form(form)
        self._place()

    def show_year(self, shown: YearShown) -> None:
        """Show another year, or why there is none."""
        before = self._shown.days
        self._shown = shown
        if shown.days is None or (before is not None and shown.days.start != before.start):
            self.player.stop()
        self.head.show_year(shown)
        self.picture.show_year(shown)
        self._place()

    def _jump(self, *, first: bool) -> None:
        days = self._shown.days
        if days is None:
            return
        self.player.stop()
        day = days.first_dry if first else days.driest
        if day is not None:
            self._desk.set_day(days.date(day))

    def _take_question(self, question: Question) -> None:
        """Play is the one filled button in Lasting; where the card has one of its own it stands back."""
        self.head.play.set_weight(Weight.GOES_ON if question is Question.LASTING else Weight.PLAIN)

    def _place(self) -> None:
        """The name over a folded strip opens it; the way to the weather stands at the right of the words."""
        low = self.height() < self._look.px(_LOW_OPEN_PX)
        self.head.setFixedHeight(self._look.px(_LOW_HEAD_PX if low else _HEAD_PX))
        layout = self.picture.layout_now
        folded = layout is not None and self._form is not StripForm.OPEN
        self._open.setVisible(folded)
        if folded and layout is not None:
            self._open.setFixedSize(round(layout.plot.x) - 8, self.picture.height() - 4)
            self._open.move(4, 2)
        self._weather.setVisible(self._shown.lack is Lack.WEATHER and self._shown.days is None)
        self._weather.adjustSize()
        self._weather.move(self.width() - self._weather.width() - 16, (self.height() - self._weather.height()) // 2)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The laid-over buttons go along."""
        super().resizeEvent(event)
        self._place()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The slip, and a rule above it."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), self._look.color("slip"))
        painter.fillRect(0, 0, self.width(), 1, self._look.color("rule"))

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if is_look_event(event):
            self._place()
        super().changeEvent(event)

    def focus_current(self) -> None:
        """Give the keyboard to the hand."""
        self.picture.setFocus(Qt.FocusReason.ShortcutFocusReason)
