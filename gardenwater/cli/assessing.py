"""`gardenwater assess`: the whole job without a window."""

from __future__ import annotations

from pathlib import Path

from gardenwater.cli.outputs import listed, strangers_in
from gardenwater.cli.questions import needs_answer_in_words
from gardenwater.cli.status import Status, WordsError, interruptible, shown_progress
from gardenwater.errors import FileError
from gardenwater.work import say


def run_sample(to: str | None, *, replace: bool = False, quiet: bool = False, sheets: str = "") -> Status:
    """Open the sample garden, or assess it when a folder is given."""
    from gardenwater.tables import sample_site

    if to is None:
        from gardenwater.cli.window import open_window

        return open_window(None, sample=True)
    return run_assess(str(sample_site("quillet-bank.gpkg")), to, replace=replace, quiet=quiet, sheets=sheets)


def run_assess(
    path: str, to: str, *, replace: bool = False, quiet: bool = False, changed_ground: str = "ask", sheets: str = ""
) -> Status:
    """Assess the site in a file and write the results into a folder; print a summary.

    changed_ground: as `files.ChangedGround`, for levels that are not those that were saved. sheets: as in
    `results.write_results`.

    Raises FileError for a site that cannot be read or a folder that cannot be written to, WordsError for a folder that
    holds other files under the results' names and for a question that the site file leaves open, Cancelled. Each file
    is written whole or not at all.
    """
    folder = Path(to)
    _refuse_strangers(folder, replace=replace)
    with interruptible() as cancel:
        from gardenwater.assess.run import assess
        from gardenwater.cli.results import write_results
        from gardenwater.files import ChangedGround, open_site

        with needs_answer_in_words():
            site = open_site(path, changed_ground=ChangedGround(changed_ground))
        progress = shown_progress(quiet=quiet)
        assessment = assess(site, cancel=cancel, progress=progress)
        _make(folder)
        written = write_results(assessment, folder, cancel, sheets=sheets)
        say(progress, 1.0, "")
    if not quiet:
        from gardenwater.cli.summary import summary

        print(summary(assessment))
        print(f"\nResults in {folder.resolve()}:")
        print(listed(written, "  "))
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
    strangers = () if replace else strangers_in(folder)
    if strangers:
        raise WordsError(
            f'"{folder}" holds a file {strangers[0]} that is not of an assessment.',
            mend="Name another folder, or add --replace.",
        )
