"""How a command ends: exit status, and one line on stderr that says the mend."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from enum import IntEnum
from types import FrameType

from gardenwater.errors import Cancelled, GardenwaterError
from gardenwater.work import Cancel, Progress


class Status(IntEnum):
    """Exit status."""

    DONE = 0
    WORDS_OFF = 2
    NOT_READ = 3
    CANCELLED = 4


class WordsError(GardenwaterError):
    """The command's own words cannot be taken."""


def status_of(error: GardenwaterError) -> Status:
    """The exit status of an error."""
    if isinstance(error, Cancelled):
        return Status.CANCELLED
    return Status.WORDS_OFF if isinstance(error, WordsError) else Status.NOT_READ


def complain(words: str) -> None:
    """One line on stderr."""
    print(f"gardenwater: {' '.join(words.split())}", file=sys.stderr)


@contextmanager
def interruptible() -> Iterator[Cancel]:
    """A cancel that Ctrl+C sets: work ends between chunks and leaves nothing half done; a second one ends at once."""
    stopped = threading.Event()

    def stop(_number: int, _frame: FrameType | None) -> None:
        if stopped.is_set():
            raise KeyboardInterrupt
        stopped.set()

    if threading.current_thread() is not threading.main_thread():
        yield stopped.is_set
        return
    usual = signal.signal(signal.SIGINT, stop)
    try:
        yield stopped.is_set
    finally:
        signal.signal(signal.SIGINT, usual)


def shown_progress(*, quiet: bool) -> Progress | None:
    """Progress on one line of a terminal; none when nobody looks."""
    if quiet or sys.stderr is None or not sys.stderr.isatty():
        return None

    def show(share: float, words: str) -> None:
        line = f"{words} {share:.0%}" if share < 1 else ""
        print(f"\r\033[K{line}", end="", file=sys.stderr, flush=True)

    return show
