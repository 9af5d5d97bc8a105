"""A file that marks its folder as in use; the system takes the mark away when the program ends, however it ends."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Held:
    """A mark that this program holds."""

    def __init__(self, handle: int) -> None:
        self._handle = handle

    def let_go(self) -> None:
        """Take the mark away."""
        os.close(self._handle)


def hold(path: Path) -> Held | None:
    """The mark, when nobody else holds it; None when somebody does, or where no file can be made."""
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError:
        return None
    try:
        _lock(handle)
    except OSError:
        os.close(handle)
        return None
    return Held(handle)


@contextmanager
def held_for_now(path: Path) -> Iterator[bool]:
    """Hold the mark for as long as the block lasts; False when it could not be had."""
    held = hold(path)
    try:
        yield held is not None
    finally:
        if held is not None:
            with contextlib.suppress(OSError):
                held.let_go()


def _lock(handle: int) -> None:
    """Lock the first byte, for this handle alone, without waiting; OSError when it is locked."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
