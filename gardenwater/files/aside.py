"""Whole or not at all: a file is written aside in the same folder, brought down to the disk, then put in place."""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from gardenwater.files.words import given_path, saving, shown_name, unsaved

_LEFT_OVER_S = 3600.0
_LETTERS = 40

PutInPlace = Callable[[Path, Path], None]
"""Puts the first path's file in the place of the second's."""


@contextmanager
def written_aside(path: Path | str, put: PutInPlace | None = None) -> Iterator[Path]:
    """A path beside `path` to write to; on leaving it takes the place of `path`, on failure `path` is as it was.

    Raises FileError when the disk is full, the folder cannot be written to or is gone, or the file is set read only.
    """
    target = target_of(path)
    with saving(target):
        _refuse_read_only(target)
        _drop_left_overs(target)
        aside = target.with_name(f"{_mark(target)}{secrets.token_hex(6)}{target.suffix}")
        os.close(os.open(aside, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o666))
        try:
            yield aside
            if target.exists():
                aside.chmod(stat.S_IMODE(target.stat().st_mode))
            down_to_disk(aside)
            (put or replace)(aside, target)
            with contextlib.suppress(OSError):  # some systems sync no folders; the file is in place all the same
                down_to_disk(target.parent)
        finally:
            _remove(aside)


def target_of(path: Path | str) -> Path:
    """The absolute path that is written to: what a link leads to, and not the link."""
    given = given_path(path)
    return given.resolve() if given.is_symlink() else given.absolute()


def replace(aside: Path, target: Path) -> None:
    """Put `aside` in the place of `target` in one step."""
    aside.replace(target)


def down_to_disk(path: Path) -> None:
    """Wait until the disk has a file, or a folder's list of names (which Windows keeps by itself)."""
    if path.is_dir() and os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _mark(target: Path) -> str:
    # cut, so that a name that the system just takes can be saved under as well
    return f".{target.stem[:_LETTERS]}.saving-"


def _refuse_read_only(target: Path) -> None:
    """A folder that can be written lets a read-only file in it be replaced; whoever set it so did not mean that."""
    if target.is_dir():
        raise unsaved(target, f'"{shown_name(target)}" is a folder', "Give the file another name.")
    if target.exists() and not target.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
        raise unsaved(target, f'"{shown_name(target)}" is set to be read only', "Save under another name.")


def _drop_left_overs(target: Path) -> None:
    """Remove what a killed save left behind; another program's running save is younger than an hour."""
    oldest = time.time() - _LEFT_OVER_S
    for left in target.parent.iterdir():
        if left.name.startswith(_mark(target)):
            with contextlib.suppress(OSError):
                if left.stat().st_mtime < oldest:
                    left.unlink()


def _remove(aside: Path) -> None:
    for path in (aside, *(aside.with_name(aside.name + tail) for tail in ("-journal", "-wal", "-shm"))):
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)
