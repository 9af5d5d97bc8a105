"""Compiled kernels: one decorator, and a cache folder named by the content of all kernel sources.

numba's own cache looks at the file a function stands in, not at the files of the kernels it calls: a helper edited
elsewhere leaves stale machine code behind. So the folder's name is a digest of every kernel source of the program and
of numba's version, and a change to any of them starts a new folder. numba is imported only when the first kernel
module is.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

_PACKAGE = Path(__file__).resolve().parent.parent
_KEEP_DAYS = 30


def _user_cache() -> Path:
    """The folder for a program's caches on this system."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")


def _sources_digest() -> str:
    """Digest of all kernel sources (`kernels*.py`) and of what runs them."""
    sha = hashlib.sha256(f"{version('numba')} {sys.version_info[:2]}".encode())
    for path in sorted(_PACKAGE.rglob("kernels*.py")):
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
def cache_folder() -> Path | None:
    """The folder for compiled kernels, made when it is missing; None where no folder can be written."""
    given = os.environ.get("GARDENWATER_CACHE")
    for base in (Path(given) if given else _user_cache() / "gardenwater", Path(tempfile.gettempdir()) / "gardenwater"):
        folder = base / "kernels" / _sources_digest()
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


@cache
def _jit() -> Callable[..., Any]:
    folder = cache_folder()
    import numba
    from numba.core import config

    if folder is not None:
        setattr(config, "CACHE_DIR", str(folder))  # noqa: B010 - the module's names are made at run time
    return numba.njit


def kernel(function: F) -> F:
    """Compile a kernel: nopython, cached, without the interpreter's lock.

    `error_model="numpy"`: division by zero gives inf or NaN and no branch is paid for a check; kernels guard where it
    can happen. `fastmath` stays off: NaN means no data everywhere, and fastmath may assume that there is none.
    """
    compiled: F = _jit()(cache=cache_folder() is not None, nogil=True, error_model="numpy")(function)
    return compiled
