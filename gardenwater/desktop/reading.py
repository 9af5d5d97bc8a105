"""Keeps the read-out true: the words at the pointer, what is being done, and what was just noticed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QObject, QTimer

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import screen_dpi
from gardenwater.desktop.plan.live import SlipLine
from gardenwater.desktop.plan.widget import PlanWidget
from gardenwater.desktop.pointer_words import reading_at, right_words
from gardenwater.desktop.readout import Reading, ReadOut
from gardenwater.desktop.worker import Phase, WorkState
from gardenwater.errors import GardenwaterError
from gardenwater.findings import Question

_NOTICE_MS = 9000
_WORK_MS = 300
IDLE = "Point at the plan: its level and the answer are read here."


def work_words(state: WorkState) -> str:
    """What is being done, and how far it is."""
    if not state.share:
        return state.words
    parted = "" if state.words.endswith(".") else ","
    return f"{state.words}{parted} {round(100 * state.share)}\u00a0%"


class ReadOutFeed(QObject):
    """Listens to the desk and the plan, and tells the read-out its words."""

    def __init__(self, desk: Desk, plan: PlanWidget, readout: ReadOut) -> None:
        super().__init__(readout)
        self._desk, self._plan, self._readout = desk, plan, readout
        self._notice: tuple[str, str] = ("", "ink")
        self._work = WorkState()
        self._work_shown = False
        self._notice_ends = self._timer(_NOTICE_MS, self._end_notice)
        self._work_begins = self._timer(_WORK_MS, self._show_work)
        plan.set_resting_words(self.resting_words)
        for signal in (desk.pointerMoved, desk.answersChanged, desk.questionChanged, desk.selectionChanged):
            signal.connect(self.refresh)
        for signal in (desk.siteChanged, plan.viewChanged):
            signal.connect(self.refresh)
        desk.dayChanged.connect(self.refresh)
        desk.spilling.changed.connect(self.refresh)
        desk.noticed.connect(self.say)
        desk.problem.connect(self.say_problem)
        desk.errandChanged.connect(self._take_work)
        desk.workChanged.connect(self._take_preparing)
        readout.stopped.connect(desk.stop_errand)
        self.refresh()

    def say(self, words: str, role: str = "ink") -> None:
        """Show a sentence instead of the words at the pointer, for a while."""
        self._notice = words, role
        self._notice_ends.start()
        self.refresh()

    def say_problem(self, error: GardenwaterError) -> None:
        """Say what was not taken, and the mend."""
        self.say(str(error), "fails")

    def resting_words(self) -> Sequence[SlipLine]:
        """The same words for the slip at the pointer."""
        reading = self._reading()
        answer = [SlipLine(reading.answer, strong=True)] if reading.answer else []
        rest = ", ".join(part for part in (reading.level, *reading.more) if part)
        return (*answer, SlipLine(rest, "ink_soft")) if rest else tuple(answer)

    def refresh(self) -> None:
        """Work the words out anew."""
        self._readout.show_reading(self._reading())

    def _reading(self) -> Reading:
        desk, plan = self._desk, self._plan
        right = right_words(plan.px_per_m, plan.grid_m, screen_dpi(), desk.answers, desk.units)
        if self._work_shown:
            return Reading(notice=work_words(self._work), right=right, stoppable=self._stoppable)
        if self._notice[0]:
            return Reading(notice=self._notice[0], notice_role=self._notice[1], right=right)
        if desk.at_pointer is None or desk.answers is None:
            return Reading(notice=IDLE, notice_role="ink_quiet", right=right)
        return reading_at(
            desk.at_pointer,
            site=desk.site,
            answers=desk.answers,
            question=desk.question,
            focus=desk.focus,
            day=desk.day_state if desk.question is Question.LASTING else None,
            underfoot=desk.spilling.look.underfoot,
            right=right,
        )

    @property
    def _stoppable(self) -> bool:
        return self._work.phase is Phase.WORKING

    def _take_work(self, state: WorkState) -> None:
        """An errand (a file) is told after 300 ms; short ones are never seen."""
        self._work = state
        if state.phase is Phase.IDLE:
            self._work_begins.stop()
            self._work_shown = False
        elif not self._work_shown and not self._work_begins.isActive():
            self._work_begins.start()
        self.refresh()

    def _take_preparing(self, state: WorkState) -> None:
        """Only the first preparing of the engines is told here; answers say so themselves."""
        if state.phase is Phase.PREPARING or self._work.phase is Phase.PREPARING:
            self._take_work(state if state.phase is Phase.PREPARING else WorkState())

    def _show_work(self) -> None:
        self._work_shown = True
        self.refresh()

    def _end_notice(self) -> None:
        self._notice = ("", "ink")
        self.refresh()

    def _timer(self, wait_ms: int, then: object) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(wait_ms)
        timer.timeout.connect(then)
        return timer
