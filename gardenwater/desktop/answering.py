"""Which answers are wanted, and which of those that come are shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal, Slot

from gardenwater.desktop.worker import AnswerWorker, Bench, Delivery, Depict, Part, Request, Warm, WorkState
from gardenwater.findings import Question
from gardenwater.site.model import Site

if TYPE_CHECKING:
    from gardenwater.assess import Answers
    from gardenwater.assess.stand_answer import StandAsk


class Answering(QObject):
    """Asks the worker for answers and keeps the newest that came; they stay until others come, also when work fails."""

    answersChanged = Signal(object)  # Answers, or None
    workChanged = Signal(object)  # WorkState
    problem = Signal(object)  # GardenwaterError

    def __init__(
        self,
        make_bench: Callable[[], Bench],
        warm: Sequence[Warm],
        depict: Depict | None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._answers: Answers | None = None
        self._pictures: Any = None
        self._answered: Request | None = None
        self._coarse = False
        self._work = WorkState()
        self._number = 0
        self._epoch = 0
        self._shown = 0
        self._asked: Request | None = None
        self._exact: Request | None = None
        self._started = False
        self._worker = AnswerWorker(make_bench, warm, depict, self)
        self._worker.delivered.connect(self._take_delivery)
        self._worker.failed.connect(self.problem)
        self._worker.workChanged.connect(self._take_work)

    @property
    def answers(self) -> Answers | None:
        """The newest answers, or None when there are none yet."""
        return self._answers

    @property
    def pictures(self) -> Any:
        """What the plan draws of the answers, or None."""
        return self._pictures

    @property
    def answered(self) -> Request | None:
        """The request that the answers are of, or None when there are none."""
        return self._answered

    @property
    def coarse(self) -> bool:
        """Whether the answers are a coarse picture, the exact one being on its way."""
        return self._coarse

    @property
    def settled(self) -> bool:
        """Whether the answers are the exact ones to what was asked last."""
        return self._asked is not None and self._exact is self._asked

    @property
    def work(self) -> WorkState:
        """What the worker is at."""
        return self._work

    @property
    def alive(self) -> bool:
        """Whether the worker's thread runs."""
        return self._worker.alive

    def start(self) -> None:
        """Start the worker; it prepares the engines, then answers what was asked last."""
        self._started = True
        self._worker.start()
        if self._asked is not None:
            self._worker.ask(self._asked)

    def close(self) -> None:
        """Give up all work and end the thread."""
        self._worker.close()

    def ask(self, site: Site, question: Question, focus: str, *, live: bool, stand: StandAsk | None = None) -> None:
        """Ask for answers, unless the same were asked for last. live: a coarse picture first. stand: see `Request`."""
        number = self._number + 1
        wish = Request(
            number=number, epoch=self._epoch, site=site, question=question, focus=focus, live=live, stand=stand
        )
        if self._asked is not None and self._asked.same_wish(wish):
            return
        self._number, self._asked = number, wish
        if self._started:
            self._worker.ask(self._asked)

    def new_epoch(self) -> None:
        """What was asked for before no longer matters at all, not even as a coarse picture."""
        self._epoch += 1
        self._worker.forget(self._epoch)

    def clear(self) -> None:
        """Forget the answers (another site was opened)."""
        self.new_epoch()
        self._answers = self._pictures = self._answered = self._exact = None
        self._coarse = False
        self.answersChanged.emit(None)

    @Slot(object)
    def _take_delivery(self, delivery: Delivery) -> None:
        request = delivery.request
        if request.epoch != self._epoch or request.number < self._shown:
            return
        if delivery.error is not None:
            if request is self._asked:
                self.problem.emit(delivery.error)
            return
        self._shown = request.number
        self._answers = delivery.answers
        self._pictures = delivery.pictures
        self._answered = request
        self._coarse = delivery.part is Part.COARSE
        if delivery.part is Part.ALL:
            self._exact = request
        self.answersChanged.emit(self._answers)

    @Slot(object)
    def _take_work(self, state: WorkState) -> None:
        if state != self._work:
            self._work = state
            self.workChanged.emit(state)
