"""What the plan says to those who do not see it."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.findings.wording import short_words
from gardenwater.site.names import name_of

_LEAST_MS = 600


def plan_name(desk: Desk) -> str:
    """The plan's name: its question, what is selected, the answer ("Plan, Reach, Shed tank selected, 4 of 7 beds")."""
    chosen = desk.selected
    parts = ["Plan", desk.question.value]
    if len(chosen) == 1:
        parts.append(f"{name_of(desk.site, chosen[0].id)} selected")
    elif chosen:
        parts.append(f"{len(chosen)} things selected")
    answer = _answer(desk)
    return ", ".join([*parts, answer] if answer else parts)


def _answer(desk: Desk) -> str:
    """The answer of the question, for the selected tank where it has one of its own."""
    answers = desk.answers
    if answers is None:
        return ""
    tank = answers.reach.tank(desk.focus) if answers.reach is not None and desk.focus else None
    if tank is not None:
        return f"{tank.beds_reached} of {len(tank.beds)} beds reached"
    short = answers.words.get(desk.question)
    return short_words(short, lambda thing_id: name_of(desk.site, thing_id), desk.units) if short is not None else ""


class Speaker(QObject):
    """Announces words of a widget, at most once in 600 ms; the newest win."""

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self._widget = widget
        self._words = ""
        self._said = ""
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_LEAST_MS)
        self._timer.timeout.connect(self._say)

    def say(self, words: str) -> None:
        """Say these words when it is time; the same words are not said twice in a row."""
        self._words = words
        if words and words != self._said and not self._timer.isActive():
            self._timer.start()

    def _say(self) -> None:
        if self._words and self._words != self._said and self._widget.isVisible():
            self._said = self._words
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self._widget, self._words))
