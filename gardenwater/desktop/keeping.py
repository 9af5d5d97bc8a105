"""Unsaved work is kept aside while it is edited, in a thread of its own, and offered again after a sudden end."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from gardenwater.desktop.desk import Desk
from gardenwater.errors import GardenwaterError
from gardenwater.site.model import Site

if TYPE_CHECKING:
    from gardenwater.files import Found, Recovery

EACH_MS = 4000


class Keeper(QObject):
    """Writes the site aside every few seconds while it has changes that are not saved."""

    found = Signal(object)  # list of Found
    problem = Signal(object)  # GardenwaterError
    _called = Signal(object)

    def __init__(self, desk: Desk, recovery: Recovery, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._recovery = desk, recovery
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="gardenwater-keeping")
        self._kept: Site | None = None
        self._said = False
        self._timer = QTimer(self)
        self._timer.setInterval(EACH_MS)
        self._timer.timeout.connect(self.keep_now)
        self._called.connect(self._call)
        desk.historyChanged.connect(self._forget_saved)
        self._timer.start()

    def look(self) -> None:
        """Look for work that a sudden end left behind; `found` tells."""
        self._run(self._recovery.found, lambda works: self.found.emit(works) if works else None)

    def keep_now(self) -> None:
        """Keep the site, when it has changes that are neither saved nor kept."""
        desk = self._desk
        site, path, changes = desk.present, desk.path, desk.history.changes_since_saved
        if not changes or site is self._kept:
            return
        self._kept = site
        self._run(lambda: self._recovery.keep(site, path=path, changes=changes))

    def take(self, work: Found, then: Callable[[Site, Path | None], object]) -> None:
        """Open work that was found."""
        self._run(lambda: self._recovery.open(work), lambda site: then(site, work.path))

    def discard(self, work: Found) -> None:
        """Drop work that was found."""
        self._run(lambda: self._recovery.discard(work))

    def close(self) -> None:
        """Drop what was kept, and end the thread: the site is saved, or its changes are not wanted."""
        self._timer.stop()
        self._thread.submit(self._recovery.close)
        self._thread.shutdown()

    def _forget_saved(self) -> None:
        if self._kept is not None and not self._desk.history.changes_since_saved:
            self._kept = None
            self._run(self._recovery.forget)

    def _run(self, job: Callable[[], Any], then: Callable[[Any], object] = lambda _: None) -> None:
        def finished(future: Future[Any]) -> None:
            if not future.cancelled():
                self._called.emit((future, then))

        self._thread.submit(job).add_done_callback(finished)

    @Slot(object)
    def _call(self, what: tuple[Future[Any], Callable[[Any], object]]) -> None:
        future, then = what
        error = future.exception()
        if error is None:
            then(future.result())
        elif isinstance(error, GardenwaterError) and not self._said:
            self._said = True  # once for each window: a full disk is not told every few seconds
            self.problem.emit(error)
