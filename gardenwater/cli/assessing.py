"""`gardenwater assess`: the whole job without a window."""

from __future__ import annotations

import json
from pathlib import Path

from gardenwater.cli.status import Status, WordsError, interruptible, shown_progress
from gardenwater.errors import FileError
from gardenwater.work import say

RESULTS = (
    "assessment.json",
    "water-reach.png",
    "water-reach.tif",
    "places.png",
    "places.tif",
    "overflow.png",
    "overflow.geojson",
    "lasting.png",
    "year.png",
    "balance.csv",
    "mud.png",
    "mud.tif",
    "mends.geojson",
)
"""The names of the results, the record first."""


def run_sample(to: str | None, *, replace: bool = False, quiet: bool = False) -> Status:
    """Open the sample garden, or assess it when a folder is given."""
    from gardenwater.tables import sample_site

    if to is None:
        from gardenwater.cli.window import open_window

        return open_window(None, sample=True)
    return run_assess(str(sample_site("quillet-bank.gpkg")), to, replace=replace, quiet=quiet)


def run_assess(path: str, to: str, *, replace: bool = False, quiet: bool = False) -> Status:
    """Assess the site in a file and write the results into a folder; print a summary.

    Raises FileError for a site that cannot be read or a folder that cannot be written to, WordsError for a folder that
    holds other files under the results' names, Cancelled. Each file is written whole or not at all.
    """
    folder = Path(to)
    _refuse_strangers(folder, replace=replace)
    with interruptible() as cancel:
        from gardenwater.assess.run import assess
        from gardenwater.cli.results import ABOUT, write_results
        from gardenwater.files import open_site

        progress = shown_progress(quiet=quiet)
        assessment = assess(open_site(path), cancel=cancel, progress=progress)
        _make(folder)
        written = write_results(assessment, folder, cancel)
        say(progress, 1.0, "")
    if not quiet:
        from gardenwater.cli.summary import summary

        print(summary(assessment))
        print(f"\nResults in {folder.resolve()}:")
        print("\n".join(f"  {name:18}{ABOUT[name]}" for name in written))
    return Status.DONE


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise FileError(
            f'The folder "{folder}" cannot be made: {problem.strerror}.', mend="Name another folder."
        ) from problem


def _refuse_strangers(folder: Path, *, replace: bool) -> None:
    """Files under the results' names are replaced when an assessment of ours stands beside them, or when asked to."""
    if folder.exists() and not folder.is_dir():
        raise WordsError(f'"{folder}" is a file.', mend="Name a folder for the results.")
    there = [name for name in RESULTS if (folder / name).exists()]
    if there and not replace and not _is_ours(folder / RESULTS[0]):
        raise WordsError(
            f'"{folder}" holds a file {there[0]} that is not of an assessment.',
            mend="Name another folder, or add --replace.",
        )


def _is_ours(record: Path) -> bool:
    try:
        content = json.loads(record.read_text("utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(content, dict) and str(content.get("made_by", "")).startswith("gardenwater")
