"""Words of files that cannot be read or written, as the window and the command line say them."""

from __future__ import annotations

import errno
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from gardenwater.errors import FileError, GardenwaterError

_FULL = {errno.ENOSPC, errno.EDQUOT if hasattr(errno, "EDQUOT") else errno.ENOSPC, errno.EFBIG}
_REFUSED = {errno.EACCES, errno.EPERM, errno.EROFS}
_GONE = {errno.ENOENT, errno.ENOTDIR, errno.ESTALE if hasattr(errno, "ESTALE") else errno.ENOENT}


def shown_name(path: Path | str) -> str:
    """A file's name as people can be shown it: what is no text in it (names from other systems) is replaced."""
    return Path(path).name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def given_path(path: Path | str) -> Path:
    """A path as somebody gave it, "~" put into full; one with the name of nobody's home is taken to the letter."""
    try:
        return Path(path).expanduser()
    except RuntimeError:
        return Path(path)


def unreadable(path: Path | str, why: str, mend: str = "") -> FileError:
    """The error of a file that cannot be read: what, why, the mend."""
    return FileError(f'Could not read "{shown_name(path)}": {why}.', mend=mend)


def unsaved(path: Path, why: str, mend: str = "Save elsewhere.") -> FileError:
    """The error of a file that cannot be written, with what is on the disk now."""
    return FileError(f"Not saved: {why}. {_as_it_was(path)}", mend=mend)


def reason(problem: GardenwaterError) -> str:
    """An error as the reason of another: where and what, without the full stop."""
    return problem.head.rstrip(".")


def _as_it_was(path: Path) -> str:
    try:
        saved = time.localtime(path.stat().st_mtime)
    except OSError:
        return "Nothing was written."
    today = saved[:3] == time.localtime()[:3]
    return f"The file on disk is as it was at {time.strftime('%H:%M' if today else '%Y-%m-%d %H:%M', saved)}."


@contextmanager
def saving(path: Path) -> Iterator[None]:
    """Turns what the system says when a write fails into words."""
    try:
        yield
    except OSError as problem:
        raise unsaved(path, *_of_system(path, problem)) from problem
    except sqlite3.Error as problem:
        raise unsaved(path, *_of_database(path, problem)) from problem


def _of_system(path: Path, problem: OSError) -> tuple[str, str]:
    if problem.errno in _FULL:
        return "the disk is full", "Save elsewhere, or make room."
    if problem.errno in _REFUSED:
        return f'the folder "{path.parent}" cannot be written to', "Save elsewhere."
    if problem.errno in _GONE:
        return f'there is no folder "{path.parent}"', "Save elsewhere, or make it."
    return f"the disk did not take it ({problem.strerror or problem})", "Save elsewhere."


def _of_database(path: Path, problem: sqlite3.Error) -> tuple[str, str]:
    said = str(problem)
    if "full" in said or "disk I/O" in said:
        return "the disk is full or did not take it", "Save elsewhere, or make room."
    if "locked" in said or "busy" in said:
        return f'another program holds "{shown_name(path)}" open', "Close it there, or save elsewhere."
    return f"the disk did not take it ({said})", "Save elsewhere."
