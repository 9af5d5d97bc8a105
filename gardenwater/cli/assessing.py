"""`gardenwater assess`: the whole job without a window."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from gardenwater.cli.status import Status, WordsError, interruptible, shown_progress
from gardenwater.errors import FileError

if TYPE_CHECKING:
    from gardenwater.assess.run import Assessment
    from gardenwater.work import Cancel

RECORD = "assessment.json"
_ABOUT = {
    RECORD: "every number, and every finding",
    "water-reach.png": "the plan with the minutes that a can takes",
    "water-reach.tif": "the same as a raster, with spare head, distance, flow, reason and tank",
    "overflow.png": "the plan with where spilled water goes",
    "overflow.geojson": "routes and pools",
}


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
        from gardenwater.files import open_site

        progress = shown_progress(quiet=quiet)
        assessment = assess(open_site(path), cancel=cancel, progress=progress)
        _make(folder)
        write_results(assessment, folder, cancel)
        if progress is not None:
            progress(1.0, "")
    if not quiet:
        from gardenwater.cli.summary import summary

        written = _writers(assessment)
        print(summary(assessment))
        print(f"\nResults in {folder.resolve()}:")
        print("\n".join(f"  {name:18}{about}" for name, about in _ABOUT.items() if name in written))
    return Status.DONE


def write_results(assessment: Assessment, folder: Path, cancel: Cancel) -> None:
    """Write all results into a folder that is there, each file whole or not at all. Raises FileError, Cancelled."""
    from gardenwater.work import stop_if

    for name, write in _writers(assessment).items():
        stop_if(cancel)
        write(folder / name)


def _writers(assessment: Assessment) -> dict[str, Callable[[Path], None]]:
    """What is written, in order: the record last, so that a folder with a record is a whole one."""
    from gardenwater.cli import results

    writers: dict[str, Callable[[Path], None]] = {}
    if assessment.reach is not None:
        writers["water-reach.png"] = lambda path: results.write_reach_picture(path, assessment)
        writers["water-reach.tif"] = lambda path: results.write_reach_raster(path, assessment)
    if assessment.overflow is not None:
        writers["overflow.png"] = lambda path: results.write_overflow_picture(path, assessment)
        writers["overflow.geojson"] = lambda path: results.write_overflow_map(path, assessment)
    writers[RECORD] = lambda path: results.write_record(path, assessment)
    return writers


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
    there = [name for name in _ABOUT if (folder / name).exists()]
    if there and not replace and not _is_ours(folder / RECORD):
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
