"""Unsaved work kept aside while it is edited, and found again after the program ended suddenly."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import sys
import time
from pathlib import Path

from gardenwater.files.held import Held, held_for_now, hold
from gardenwater.files.kept import KEPT, Found, found_in, rasters_of, read_kept, write_kept
from gardenwater.files.words import saving, unreadable
from gardenwater.site.model import Site

_HELD = "held"
_RASTERS = "rasters"
_REST_S = 600.0
_TRIES = 5


def state_folder() -> Path:
    """The folder for what the program keeps between runs on this system; GARDENWATER_STATE names another."""
    given = os.environ.get("GARDENWATER_STATE")
    if given:
        return Path(given)
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_STATE_HOME") or Path.home() / ".local" / "state")
    return base / "gardenwater"


class Recovery:
    """Keeps the unsaved work of one window aside. Make one for each window, and `close` it when the window closes.

    Each keeps in a folder of its own, which the system marks as held for as long as the program lives: two programs
    never take each other's work for lost. The methods may be called from any one thread at a time.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._base = folder or state_folder() / "unsaved"
        self._own: Path | None = None
        self._held: Held | None = None

    def keep(self, site: Site, *, path: Path | None, changes: int) -> None:
        """Keep the site as it is now in place of what was kept before; every few seconds at most, off the window.

        path: its site file, None before the first save. changes: how many are not saved. The ground and the picture are
        kept once for as long as they are the same. Raises FileError when it cannot be kept.
        """
        write_kept(self._folder(), self._base / _RASTERS, site, path, changes)

    def forget(self) -> None:
        """Drop what was kept: it has been saved, or is not wanted."""
        if self._own is not None:
            with contextlib.suppress(OSError):
                (self._own / KEPT).unlink(missing_ok=True)

    def close(self) -> None:
        """Drop what was kept and let go of the folder."""
        self.forget()
        if self._held is not None:
            self._held.let_go()
        if self._own is not None:
            shutil.rmtree(self._own, ignore_errors=True)
        self._own = self._held = None
        self._drop_rasters()

    def found(self) -> list[Found]:
        """Unsaved work of programs that ended suddenly, the latest first. That of programs that run is left alone."""
        found: list[Found] = []
        for folder in self._others():
            with held_for_now(folder / _HELD) as ours:
                work = found_in(folder) if ours else None
            if work is not None:
                found.append(work)
            elif ours and _rests(folder):
                shutil.rmtree(folder, ignore_errors=True)
        return sorted(found, key=lambda work: work.when, reverse=True)

    def open(self, work: Found) -> Site:
        """The site with its unsaved changes, which this window keeps from now on.

        Its ground and picture come from what was kept, else from the saved file, else it has none. Raises FileError
        when the work cannot be read, or another window has taken it.
        """
        with held_for_now(work.folder / _HELD) as ours:
            if not ours:
                raise unreadable(work.folder / KEPT, "another window has taken it", "Look for it there.")
            site = read_kept(work, self._base / _RASTERS)
            self.keep(site, path=work.path, changes=work.changes)
        shutil.rmtree(work.folder, ignore_errors=True)
        return site

    def discard(self, work: Found) -> None:
        """Drop the unsaved work; the saved file stays as it is."""
        with held_for_now(work.folder / _HELD) as ours:
            pass
        if ours:
            shutil.rmtree(work.folder, ignore_errors=True)
            self._drop_rasters()

    def _folder(self) -> Path:
        """This window's folder, made and marked when it is first needed."""
        for _ in range(_TRIES):
            if self._own is not None and self._held is not None:
                return self._own
            self._own = self._base / f"{time.strftime('%Y%m%d-%H%M%S')}-{os.getpid()}-{secrets.token_hex(4)}"
            with saving(self._own / KEPT):
                self._own.mkdir(parents=True)
            self._held = hold(self._own / _HELD)
        raise unreadable(self._base / KEPT, "its folder cannot be marked as in use", "Save the site now.")

    def _others(self) -> list[Path]:
        with contextlib.suppress(OSError):
            return [f for f in self._base.iterdir() if f.is_dir() and f.name != _RASTERS and f != self._own]
        return []

    def _drop_rasters(self) -> None:
        """Remove rasters that no work refers to, unless one is being kept just now."""
        with contextlib.suppress(OSError):
            wanted = set[str]().union(*(rasters_of(folder) for folder in self._base.iterdir() if folder.is_dir()))
            for file in (self._base / _RASTERS).iterdir():
                if file.name not in wanted and _rests(file):
                    file.unlink(missing_ok=True)


def _rests(path: Path) -> bool:
    """Whether nobody has touched it for a while."""
    with contextlib.suppress(OSError):
        return time.time() - path.stat().st_mtime > _REST_S
    return False
