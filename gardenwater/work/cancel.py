"""Cancel and progress, as every engine takes them."""

from __future__ import annotations

from collections.abc import Callable

from gardenwater.errors import Cancelled

Cancel = Callable[[], bool]
"""Looked at between chunks of work; True ends the work with `Cancelled`."""

Progress = Callable[[float, str], None]
"""Told now and then how far the work is: share done from 0 to 1, and a few words."""


def stop_if(cancel: Cancel | None) -> None:
    """Raise Cancelled when the work is no longer wanted."""
    if cancel is not None and cancel():
        raise Cancelled


def say(progress: Progress | None, share: float, words: str) -> None:
    """Tell how far the work is, when somebody listens."""
    if progress is not None:
        progress(share, words)
