"""Opening, saving and importing: files are read and written off the window's thread, and nothing is lost on the way."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from gardenwater.desktop.choosing import SITES, Chooser
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.ask import GuardSheet, ProblemSheet, QuestionSheet
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.desktop.preferences import Preferences
from gardenwater.errors import GardenwaterError
from gardenwater.files.asking import NeedsAnswer
from gardenwater.site.model import Site
from gardenwater.tables import sample_site
from gardenwater.work import Cancel, Progress

if TYPE_CHECKING:
    from gardenwater.files import Found

Then = Callable[[], object]
Job = Callable[[Cancel, Progress], Any]
SAMPLE = "quillet-bank.gpkg"


class FileWork(QObject):
    """What the Site menu does. `has_site` is False while the start sheet stands there with nothing behind it."""

    shownChanged = Signal()  # a site came or went
    savedChanged = Signal()  # the words of the saved state may be others
    wholeWanted = Signal()  # the plan should show the whole site

    def __init__(self, desk: Desk, look: Look, preferences: Preferences, window: QWidget) -> None:
        super().__init__(window)
        self.desk, self.look, self.preferences = desk, look, preferences
        self.window_ = window
        self.choose = Chooser(preferences, window)
        self.sheet: Sheet | None = None
        self._has_site = False
        self._saved_at: dt.datetime | None = None
        desk.historyChanged.connect(self.savedChanged)

    @property
    def has_site(self) -> bool:
        """Whether there is a site to work on."""
        return self._has_site

    # what is said about the saved state

    def saved_words(self) -> str:
        """The saved state: "all saved, 14:02", "5 changes not saved" or "not saved yet"; empty without a site."""
        if not self._has_site:
            return ""
        changes = self.desk.history.changes_since_saved
        if changes:
            return f"{'1 change' if changes == 1 else f'{changes} changes'} not saved"
        if self.desk.path is None:
            return "not saved yet"
        return f"all saved, {self._saved_at:%H:%M}" if self._saved_at is not None else "all saved"

    # opening

    def show_site(self, site: Site, path: Path | None) -> None:
        """Put a site on the desk."""
        self._has_site = True
        self._saved_at = _written_at(path)
        self.desk.open(site, path)
        if path is not None:
            self.preferences.remember(path)
        self.shownChanged.emit()
        self.savedChanged.emit()

    def open(self, path: Path | None = None) -> None:
        """Open a site, asking for the file unless it is given; unsaved work is guarded first."""
        if path is None:
            self.guard(lambda: self.choose.to_open("Open a site", SITES, self._read))
        else:
            self.guard(lambda: self._read(path))

    def open_sample(self) -> None:
        """Open the sample garden as a site that is not saved: the sample itself stays as it is."""
        self.guard(lambda: self._read(sample_site(SAMPLE)))

    def _read(self, path: Path) -> None:
        def job(answers: dict[str, Any], _cancel: Cancel, _progress: Progress) -> Site:
            from gardenwater.files import open_site

            return open_site(path, **answers)

        self.run_asking("Opening", job, lambda site: self.show_site(site, None if _is_sample(path) else path))

    def open_recovered(self, site: Site, work: Found) -> None:
        """Put recovered work on the desk: its changes count as not saved."""
        self._has_site = True
        self._saved_at = _written_at(work.path)
        self.desk.open(Site(name=site.name), work.path)
        self.desk.edit("Recover unsaved work", lambda _: site)
        self.shownChanged.emit()
        self.savedChanged.emit()

    def close_site(self) -> None:
        """Put the site away."""

        def close() -> None:
            self._has_site = False
            self._saved_at = None
            self.desk.open(Site())
            self.shownChanged.emit()
            self.savedChanged.emit()

        self.guard(close)

    # saving

    def save(self, then: Then = lambda: None) -> None:
        """Save the site where it was saved before, else ask where; `then` comes when it is on the disk."""
        if not self._has_site:
            return
        if self.desk.path is None:
            self.save_as(then)
        else:
            self._write(self.desk.path, then)

    def save_as(self, then: Then = lambda: None) -> None:
        """Ask where to save the site."""
        name = f"{_file_name(self.desk.present.name)}.gpkg"
        self.choose.to_save("Save the site", SITES, name, lambda path: self._write(path, then))

    def _write(self, path: Path, then: Then) -> None:
        site = self.desk.present

        def job(_cancel: Cancel, _progress: Progress) -> None:
            from gardenwater.files import save_site

            save_site(site, path)

        def done(_: None) -> None:
            self._saved_at = dt.datetime.now().astimezone()
            self.desk.mark_saved(path, site)
            self.preferences.remember(path)
            self.savedChanged.emit()
            then()

        def failed(error: GardenwaterError) -> None:
            self.show(ProblemSheet(error, self.look, self.window_, mend=("Save elsewhere ...", self.save_as)))

        self.run("Saving", job, done, failed)

    # unsaved work

    def guard(self, then: Then) -> None:
        """Go on at once when all is saved; else ask first."""
        changes = self.desk.history.changes_since_saved
        if not self._has_site or not changes:
            then()
            return
        name = self.desk.present.name
        self.show(
            GuardSheet(name, changes, save=lambda: self.save(then), leave=then, look=self.look, parent=self.window_)
        )

    # running a job on a file

    def run(
        self,
        words: str,
        job: Job,
        done: Callable[[Any], object],
        failed: Callable[[GardenwaterError], object] | None = None,
    ) -> None:
        """Run a job off the window's thread; what fails is shown on a sheet, unless `failed` takes it."""

        def tried(cancel: Cancel, progress: Progress) -> Any:
            try:
                return job(cancel, progress)
            except GardenwaterError as error:
                if type(error).__name__ == "Cancelled":
                    raise
                return _Failed(error)

        def ended(result: Any) -> None:
            if isinstance(result, _Failed):
                (failed or self.show_problem)(result.error)
            else:
                done(result)

        self.desk.errand(words, tried, ended)

    def run_asking(
        self, words: str, job: Callable[[dict[str, Any], Cancel, Progress], Any], done: Callable[[Any], object]
    ) -> None:
        """Run a job that may ask: it is run anew with the answers, until none is wanted."""
        answers: dict[str, Any] = {}

        def begin() -> None:
            given = dict(answers)
            self.run(words, lambda cancel, progress: job(given, cancel, progress), done, failed)

        def failed(error: GardenwaterError) -> None:
            if not isinstance(error, NeedsAnswer):
                self.show_problem(error)
                return

            def answered(value: str) -> None:
                answers[error.keyword] = value
                begin()

            self.show(QuestionSheet(error, answered, self.look, self.window_))

        begin()

    def show_problem(self, error: GardenwaterError) -> None:
        """Say what was not done, on a sheet."""
        self.show(ProblemSheet(error, self.look, self.window_))

    def show(self, sheet: Sheet) -> None:
        """Lay a sheet over the window."""
        self.sheet = sheet
        sheet.finished.connect(lambda: self._let_go(sheet))
        sheet.open()

    def _let_go(self, sheet: Sheet) -> None:
        if self.sheet is sheet:
            self.sheet = None


class _Failed:
    def __init__(self, error: GardenwaterError) -> None:
        self.error = error


def _is_sample(path: Path) -> bool:
    try:
        return path.samefile(sample_site(SAMPLE))
    except (OSError, GardenwaterError):
        return False


def _written_at(path: Path | None) -> dt.datetime | None:
    try:
        return None if path is None else dt.datetime.fromtimestamp(path.stat().st_mtime).astimezone()
    except OSError:
        return None


def _file_name(words: str) -> str:
    """A site's name as the name of a file: letters and digits, the rest as hyphens."""
    kept = "".join(letter if letter.isalnum() else "-" for letter in words.lower())
    return "-".join(part for part in kept.split("-") if part) or "garden"
