"""What is printed where not every sign can be: pipes and terminals of one byte for each letter (cp1252, ASCII)."""

from __future__ import annotations

import codecs
import io
import sys

_PLAINER = {
    "\u2212": "-", "\u2013": "-", "\u00a0": " ", "\u2019": "'", "\u201c": '"', "\u201d": '"', "\u2026": "...",
    "\u00b2": "2", "\u00b3": "3", "\u00d7": "x", "\u00b0": " deg",
}  # fmt: skip
"""Signs of our sentences, and what stands for each where it cannot be printed: a minus must not become a mere "?"."""
_HANDLER = "gardenwater-plainer"


def _plainer(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_PLAINER.get(sign, "?") for sign in error.object[error.start : error.end]), error.end


def print_plainly() -> None:
    """Let standard output and error print a plainer sign for one that they cannot encode, instead of failing."""
    codecs.register_error(_HANDLER, _plainer)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and stream.errors in ("strict", "backslashreplace"):
            stream.reconfigure(errors=_HANDLER)


def flush() -> None:
    """Print what waits; a program started without a console (a window on Windows) has nothing to print to."""
    if sys.stdout is not None:
        sys.stdout.flush()
