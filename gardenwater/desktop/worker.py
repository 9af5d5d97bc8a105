"""Answers are worked out off the window's thread, the newest wish first.

A request is captured on the window's thread, worked out anywhere, and delivered on the window's thread with its number.
What is superseded is dropped; a coarse picture asked for while something is dragged is not, as long as nothing newer
was shown, so that a drag that moves faster than the work still shows an answer each frame.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING, Any, Protocol

from PySide6.QtCore import QObject, Signal

from gardenwater.errors import Cancelled, GardenwaterError
from gardenwater.findings import Question
from gardenwater.site.model import Site
from gardenwater.work import Cancel, Progress

if TYPE_CHECKING:
    from gardenwater.assess.stand_answer import StandAsk

_JOIN_S = 10.0
_SWITCH_S = 0.0005  # how soon the window gets the interpreter's lock back; at the usual 5 ms a drag takes twice as long
_REST_S = 0.04  # while something is dragged, exact work begins after so long without a move


class Bench(Protocol):
    """What works out answers: `gardenwater.assess.Workbench`, or a plain one in a test."""

    def answers(
        self,
        site: Site,
        *,
        question: Question,
        focus: str = "",
        coarse: bool = False,
        own: bool = False,
        stand: StandAsk | None = None,
        cancel: Cancel | None = None,
        progress: Progress | None = None,
    ) -> Any:
        """All answers that the plan and the card need for a question."""

    def ready(self, site: Site, *, question: Question, focus: str = "", cancel: Cancel | None = None) -> None:
        """What the first coarse answers of a drag are made from, ahead of it."""


Warm = Callable[[Progress], None]
"""Loads the engines and calls their kernels a first time, telling how far it is."""

Depict = Callable[[Any, Question, str], Any]
"""Makes of answers, a question and a focus what the plan draws; run off the window's thread too."""


class Phase(Enum):
    """What the worker is at."""

    IDLE = auto()
    PREPARING = auto()
    WORKING = auto()


class Part(Enum):
    """How much of the answers: those of the question on a thinned ground, those of the question, or all."""

    COARSE = auto()
    OWN = auto()
    ALL = auto()


@dataclass(frozen=True, slots=True)
class WorkState:
    """What is being worked out, for the words in the window. share: done, 0 to 1."""

    phase: Phase = Phase.IDLE
    share: float = 0.0
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """One wish for answers, by its number.

    live: coarse first, then the question's own, then all. stand: where a tank could stand, as well. epoch: changes when
    what was wished for before no longer matters at all.
    """

    number: int
    epoch: int
    site: Site
    question: Question
    focus: str = ""
    live: bool = False
    stand: StandAsk | None = None

    def same_wish(self, other: Request) -> bool:
        """Whether both ask for the same answers in the same manner."""
        return self.site is other.site and all(
            getattr(self, name) == getattr(other, name) for name in ("epoch", "question", "focus", "live", "stand")
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What came of a request: answers and what is drawn of them, or the error that stopped it."""

    request: Request
    answers: Any = None
    pictures: Any = None
    part: Part
    error: GardenwaterError | None = None


def as_words(error: Exception, doing: str) -> GardenwaterError:
    """An error of the program's family for any error of work, so that it can be shown in words."""
    if isinstance(error, GardenwaterError):
        return error
    return GardenwaterError(
        f"{doing} could not be worked out: {type(error).__name__}: {error}.",
        mend="Everything else is up to date. Undo the last change, or copy the details and report them.",
    )


class AnswerWorker(QObject):
    """Works out answers in a thread of its own; the newest request wins."""

    delivered = Signal(object)
    failed = Signal(object)  # GardenwaterError: the engines could not be prepared
    workChanged = Signal(object)

    def __init__(
        self,
        make_bench: Callable[[], Bench],
        warm: Sequence[Warm] = (),
        depict: Depict | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._make_bench = make_bench
        self._cold = list(warm)  # steps not yet taken: one before the first answers, the others before all answers
        self._depict = depict
        self._wake = threading.Condition()
        self._next: Request | None = None
        self._newest = 0
        self._asked_at = 0.0
        self._epoch = 0
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="gardenwater-answers", daemon=True)

    def start(self) -> None:
        """Start the thread; it prepares the engines first, as far as the first answers need them."""
        self._thread.start()

    def ask(self, request: Request) -> None:
        """Ask for answers; any older request is given up (called on the window's thread)."""
        with self._wake:
            self._next = request
            self._newest = request.number
            self._asked_at = time.monotonic()
            self._epoch = request.epoch
            self._wake.notify()

    def forget(self, epoch: int) -> None:
        """Give up all that was asked for before this epoch."""
        with self._wake:
            self._next = None
            self._epoch = epoch

    def close(self) -> None:
        """Stop what runs and end the thread; returns when it has ended."""
        with self._wake:
            self._closed = True
            self._wake.notify()
        if self._thread.is_alive():
            self._thread.join(_JOIN_S)

    @property
    def alive(self) -> bool:
        """Whether the thread runs."""
        return self._thread.is_alive()

    def _run(self) -> None:
        usual = sys.getswitchinterval()
        sys.setswitchinterval(_SWITCH_S)
        try:
            self._work_on()
        finally:
            sys.setswitchinterval(usual)

    def _work_on(self) -> None:
        bench = self._prepare()
        if bench is None:
            return
        while (request := self._take()) is not None:
            self._serve(bench, request)
            with self._wake:
                idle = self._next is None
            if idle:
                self._tell(WorkState())

    def _prepare(self) -> Bench | None:
        """Make the bench and warm what the first answers need; None when that cannot be done."""
        try:
            bench = self._make_bench()
        except Exception as error:  # noqa: BLE001 - whatever fails becomes words
            self._fail(error)
            return None
        return bench if self._warm(1) else None

    def _warm(self, steps: int) -> bool:
        """Take so many more steps to warm the engines; False when one failed."""
        taken, self._cold = self._cold[:steps], self._cold[steps:]
        try:
            for step in taken:
                if not self._closed:
                    step(self._progress(Phase.PREPARING))
        except Exception as error:  # noqa: BLE001 - whatever fails becomes words
            self._fail(error)
            return False
        finally:
            self._tell(WorkState())
        return True

    def _fail(self, error: Exception) -> None:
        with suppress(RuntimeError):
            self.failed.emit(as_words(error, "The engines"))

    def _take(self) -> Request | None:
        with self._wake:
            while self._next is None and not self._closed:
                self._wake.wait()
            request, self._next = self._next, None
            return None if self._closed else request

    def _serve(self, bench: Bench, request: Request) -> None:
        def superseded() -> bool:
            return self._closed or self._newest != request.number or self._epoch != request.epoch

        def of_another_time() -> bool:
            return self._closed or self._epoch != request.epoch

        if request.live:
            self._work(bench, request, Part.COARSE, of_another_time)
            self._rest()
        if (request.live or self._cold) and not superseded():
            self._work(bench, request, Part.OWN, superseded)
        self._warm(len(self._cold))
        if not superseded():
            self._work(bench, request, Part.ALL, superseded)
        if not superseded():
            self._make_ready(bench, request, superseded)

    def _make_ready(self, bench: Bench, request: Request, cancel: Cancel) -> None:
        """With nothing else to do, see to it that the first frame of a drag does not wait."""
        self._tell(WorkState())
        with suppress(Exception):  # what fails here fails again, in words, when it is asked for
            bench.ready(request.site, question=request.question, focus=request.focus, cancel=cancel)

    def _rest(self) -> None:
        """Wait a moment for the next move: exact work that is begun at each one only takes time from the window."""
        with self._wake:
            left_s = self._asked_at + _REST_S - time.monotonic()
            if self._next is None and not self._closed and left_s > 0:
                self._wake.wait(left_s)

    def _work(self, bench: Bench, request: Request, part: Part, cancel: Cancel) -> None:
        progress = self._progress(Phase.WORKING) if part is Part.ALL else None
        try:
            answers = bench.answers(
                request.site,
                question=request.question,
                focus=request.focus,
                coarse=part is Part.COARSE,
                own=part is Part.OWN,
                cancel=cancel,
                progress=progress,
                **({} if request.stand is None else {"stand": request.stand}),
            )
            pictures = None if self._depict is None else self._depict(answers, request.question, request.focus)
        except Cancelled:
            return
        except Exception as error:  # noqa: BLE001 - whatever fails becomes words; the old answers stay
            self._deliver(Delivery(request=request, part=part, error=as_words(error, request.question.value)))
        else:
            self._deliver(Delivery(request=request, answers=answers, pictures=pictures, part=part))

    def _progress(self, phase: Phase) -> Progress:
        def tell(share: float, words: str) -> None:
            self._tell(WorkState(phase, share, words))

        return tell

    def _tell(self, state: WorkState) -> None:
        with suppress(RuntimeError):  # the window went while the last words were on their way
            self.workChanged.emit(state)

    def _deliver(self, delivery: Delivery) -> None:
        with suppress(RuntimeError):
            self.delivered.emit(delivery)
