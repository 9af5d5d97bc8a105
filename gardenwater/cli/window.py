"""Opening the window."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from gardenwater.cli.status import Status, WordsError
from gardenwater.errors import FileError, GardenwaterError

if TYPE_CHECKING:
    from gardenwater.assess.run import Assessment
    from gardenwater.work import Cancel


def has_screen() -> bool:
    """Whether a window can be shown: a display on Linux, or a Qt platform chosen by hand."""
    if not sys.platform.startswith("linux"):
        return True
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))


def open_window(site: str | None, *, sample: bool = False) -> Status:
    """Open the window on a site, on the sample, or on the start sheet, and stay until it is closed.

    Raises WordsError for two sites at once, FileError for a site that is not there, GardenwaterError without a screen.
    """
    if site and sample:
        raise WordsError("A site and the sample are asked for at once.", mend="Leave out one of them.")
    if site and not Path(site).is_file():
        raise FileError(f'There is no file "{site}".', mend="Give the path of a site, or nothing for the start sheet.")
    if not has_screen():
        raise GardenwaterError(
            "There is no screen to open the window on.",
            mend=f"Type gardenwater assess {site or 'SITE'} --to DIR to have it worked out without one.",
        )
    path = _sample_path() if sample else (Path(site) if site else None)
    try:
        from gardenwater.desktop.app import run
    except ImportError as missing:
        raise GardenwaterError(
            f"The window cannot be loaded: {missing}.",
            mend="Install the system libraries of Qt (packaging/start.py names them), or use gardenwater assess.",
        ) from missing
    return Status.DONE if run(path, write_assessment=_write_assessment) == 0 else Status.NOT_READ


def _write_assessment(assessment: Assessment, folder: Path, cancel: Cancel) -> None:
    """What the window writes when it is asked for an assessment: the same files as the command line."""
    from gardenwater.cli.outputs import strangers_in
    from gardenwater.cli.results import write_results

    strangers = strangers_in(folder)
    if strangers:
        what = f'"{folder}" holds a file {strangers[0]} that is not of an assessment.'
        raise FileError(what, mend="Choose another folder.")
    write_results(assessment, folder, cancel)


def _sample_path() -> Path:
    from gardenwater.tables import sample_site

    return sample_site("quillet-bank.gpkg")
