"""Jobs that are not answers (files read and written) run in turn, off the window's thread."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot

from gardenwater.desktop.worker import Phase, WorkState, as_words
from gardenwater.errors import Cancelled, GardenwaterError
from gardenwater.work import Cancel, Progress


@dataclass(frozen=True, slots=True)
class Errand:
    """A job that is not an answer (a file read or written): run in turn, never superseded."""

    words: str
    job: Callable[[Cancel, Progress], Any]
    done: Callable[[Any], None]
    failed: Callable[[GardenwaterError], None]


class ErrandWorker(QObject):
    """Runs errands one after another in a thread of its own; `done` and `failed` are called on the window's thread."""

    workChanged = Signal(object)
    _finished = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._wake = threading.Condition()
        self._queue: deque[Errand] = deque()
        self._stopped = False
        self._closed = False
        self._thread: threading.Thread | None = None
        self._finished.connect(self._finish)

    def run(self, errand: Errand) -> None:
        """Put an errand in the queue; the thread starts with the first one."""
        with self._wake:
            self._queue.append(errand)
            self._stopped = False
            self._wake.notify()
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="gardenwater-errands", daemon=True)
            self._thread.start()

    def stop(self) -> None:
        """Stop the errand that runs (it fails as cancelled, in no words)."""
        self._stopped = True

    def close(self) -> None:
        """Finish what is queued and end the thread: a save that was asked for is not dropped."""
        with self._wake:
            self._closed = True
            self._wake.notify()
        if self._thread is not None:
            self._thread.join()

    def _run(self) -> None:
        while (errand := self._take()) is not None:
            self.workChanged.emit(WorkState(Phase.WORKING, 0.0, errand.words))
            try:
                result = errand.job(lambda: self._stopped, self._tell)
            except Cancelled:
                self._finished.emit(lambda: None)
            except Exception as error:  # noqa: BLE001 - whatever fails becomes words
                words = as_words(error, errand.words)
                self._finished.emit(lambda errand=errand, words=words: errand.failed(words))
            else:
                self._finished.emit(lambda errand=errand, result=result: errand.done(result))
            self.workChanged.emit(WorkState())

    def _take(self) -> Errand | None:
        with self._wake:
            while not self._queue and not self._closed:
                self._wake.wait()
            return self._queue.popleft() if self._queue else None

    def _tell(self, share: float, words: str) -> None:
        self.workChanged.emit(WorkState(Phase.WORKING, share, words))

    @Slot(object)
    def _finish(self, call: Callable[[], None]) -> None:
        call()
