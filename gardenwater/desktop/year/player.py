"""Plays the year: the hand goes on by itself, twelve days a second."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look

DAYS_A_SECOND = 12


class Player(QObject):
    """Moves the desk's hand on. With reduced motion it goes one day at each press, and never by itself."""

    playingChanged = Signal(bool)

    def __init__(self, desk: Desk, look: Look, parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(round(1000 / DAYS_A_SECOND))
        self._timer.timeout.connect(self._step)

    @property
    def playing(self) -> bool:
        """Whether the hand goes on by itself."""
        return self._timer.isActive()

    def turn(self) -> None:
        """Play, or stop. At the year's end it begins anew."""
        if self.playing:
            self.stop()
        elif self._desk.day is None:
            return
        elif self._look.still:
            self._desk.step_day(1)
        else:
            if not self._desk.step_day(1):
                self._desk.to_first_day()
            self._timer.start()
            self.playingChanged.emit(True)

    def stop(self) -> None:
        """Let the hand rest."""
        if self.playing:
            self._timer.stop()
            self.playingChanged.emit(False)

    def _step(self) -> None:
        if not self._desk.step_day(1):
            self.stop()
