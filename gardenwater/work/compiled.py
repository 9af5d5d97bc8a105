"""Compiled kernels: one decorator, and for each room a cache folder named by the content of its kernels' sources.

numba's own cache looks at the file a function stands in, not at the files of the kernels it calls: a helper edited
elsewhere leaves stale machine code behind. So a folder's name is a digest of every kernel source of the room, of the
rooms whose kernels these import, and of numba's version; a change to any of them starts a new folder, and the kernels
of other rooms keep theirs. numba is imported only when the first kernel module is.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

_PACKAGE = Path(__file__).resolve().parent.parent
_KEEP_DAYS = 30
_ROOM_IMPORTED = re.compile(r"^(?:from|import) gardenwater\.(\w+)", re.MULTILINE)
_DECORATING = threading.Lock()


def _user_cache() -> Path:
    """The folder for a program's caches on this system."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")


def kernel_sources(room: str, package: Path = _PACKAGE) -> tuple[Path, ...]:
    """The sources that the kernels of a room are compiled from: its own, and those of the rooms that they import from.

    They are the `kernels*.py` and the `records*.py` (types that kernels share with their callers).
    """
    found: set[Path] = set()
    seen: set[str] = set()
    waiting = {room}
    while waiting:
        at = waiting.pop()
        seen.add(at)
        mine = [*(package / at).rglob("kernels*.py"), *(package / at).rglob("records*.py")]
        found.update(mine)
        for path in mine:
            waiting.update(set(_ROOM_IMPORTED.findall(path.read_text(encoding="utf-8"))) - seen)
    return tuple(sorted(found))


def _sources_digest(room: str) -> str:
    sha = hashlib.sha256(f"{version('numba')} {sys.version_info[:2]}".encode())
    for path in kernel_sources(room):
        sha.update(path.relative_to(_PACKAGE).as_posix().encode())
        sha.update(path.read_bytes())
    return sha.hexdigest()[:16]


def _drop_old(folder: Path, keep: Path) -> None:
    """Remove caches of older programs that were not used for a month."""
    oldest = time.time() - _KEEP_DAYS * 86_400
    with contextlib.suppress(OSError):
        for old in folder.iterdir():
            if old != keep and old.is_dir() and old.stat().st_mtime < oldest:
                shutil.rmtree(old, ignore_errors=True)


@cache
def cache_folder(room: str) -> Path | None:
    """The folder for a room's compiled kernels, made when it is missing; None where no folder can be written."""
    given = os.environ.get("GARDENWATER_CACHE")
    for base in (Path(given) if given else _user_cache() / "gardenwater", Path(tempfile.gettempdir()) / "gardenwater"):
        folder = base / "kernels" / f"{room}-{_sources_digest(room)}"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=folder):
                pass
        except OSError:
            continue
        with contextlib.suppress(OSError):
            os.utime(folder)
        _drop_old(folder.parent, folder)
        return folder
    return None


def kernel(function: F) -> F:
    """Compile a kernel: nopython, cached, without the interpreter's lock.

    `error_model="numpy"`: division by zero gives inf or NaN and no branch is paid for a check; kernels guard where it
    can happen. `fastmath` stays off: NaN means no data everywhere, and fastmath may assume that there is none.
    """
    return _compiled(function, {})


def kernel_part(function: F) -> F:
    """A `kernel` that only kernels call: without its door to Python it compiles in two thirds of the time."""
    return _compiled(function, {"no_cpython_wrapper": True, "no_cfunc_wrapper": True})


def kernel_inline(function: F) -> F:
    """A small `kernel` whose body stands in the place of each call to it by another kernel.

    An array is handed over as seven words, so calling costs more than a few sums do.
    """
    return _compiled(function, {"forceinline": True})


def kernel_inline_part(function: F) -> F:
    """Both: a `kernel_inline` that only kernels call."""
    return _compiled(function, {"forceinline": True, "no_cpython_wrapper": True, "no_cfunc_wrapper": True})


def _compiled(function: F, options: dict[str, Any]) -> F:
    import numba
    from numba.core import config

    folder = cache_folder(function.__module__.split(".")[1])
    with _DECORATING:  # the folder is numba's own setting, read as a function is decorated
        if folder is not None:
            setattr(config, "CACHE_DIR", str(folder))  # noqa: B010 - the module's names are made at run time
        jit: Callable[..., Any] = numba.njit
        compiled: F = jit(cache=folder is not None, nogil=True, error_model="numpy", **options)(function)
    return compiled
