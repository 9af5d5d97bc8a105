"""The main window: it wires the parts, and does nothing else."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QCloseEvent, QKeyEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QMainWindow, QVBoxLayout, QWidget

from gardenwater.desktop.attention import Theme
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.ask import RecoverSheet
from gardenwater.desktop.dialogs.pick_word import DrawSheet
from gardenwater.desktop.filework import FileWork
from gardenwater.desktop.framing import LEAST_HEIGHT_PX, LEAST_WIDTH_PX
from gardenwater.desktop.hub import Hub
from gardenwater.desktop.keeping import Keeper
from gardenwater.desktop.look import Look
from gardenwater.desktop.menus import MenuRow, fill_menus
from gardenwater.desktop.preferences import Preferences
from gardenwater.desktop.reading import ReadOutFeed
from gardenwater.desktop.recovered import recovered_words, saved_choice
from gardenwater.desktop.reporting import Reporting, WriteAssessment, write_record
from gardenwater.desktop.rooms import Rooms
from gardenwater.desktop.start_sheet import StartSheet
from gardenwater.desktop.starting import Starts
from gardenwater.files import Found, Recovery
from gardenwater.report.palette import Scheme
from gardenwater.tables import resource

_FIRST_SIZE = QSize(1440, 900)


class MainWindow(QMainWindow):
    """One site in one window."""

    def __init__(
        self,
        desk: Desk,
        look: Look,
        preferences: Preferences,
        recovery: Recovery,
        *,
        write_assessment: WriteAssessment = write_record,
    ) -> None:
        super().__init__()
        self.desk, self.look, self.preferences = desk, look, preferences
        self.setMinimumSize(LEAST_WIDTH_PX, LEAST_HEIGHT_PX)
        self.menus = MenuRow(look, self)
        below = QWidget(self)
        self.rooms = Rooms(desk, look, preferences, below)
        self.start = StartSheet(look, preferences, below)
        column = QVBoxLayout(below)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.rooms)
        self.setMenuWidget(self.menus)
        self.setCentralWidget(below)
        self.files = FileWork(desk, look, preferences, self)
        self.starts = Starts(self.files)
        self.keeper = Keeper(desk, recovery, self)
        self.reporting = Reporting(self.files, self.rooms.plan, write_assessment)
        self.hub = Hub(
            window=self,
            desk=desk,
            look=look,
            preferences=preferences,
            files=self.files,
            starts=self.starts,
            reporting=self.reporting,
            rooms=self.rooms,
        )
        self.actions_ = fill_menus(self.menus, self.hub)
        self.feed = ReadOutFeed(desk, self.rooms.plan, self.rooms.readout)
        self._leaving = False
        self._wire()
        self._place()
        self._follow_site()

    def _wire(self) -> None:
        desk, files, start = self.desk, self.files, self.start
        for signal in (desk.historyChanged, desk.selectionChanged, desk.toolChanged):
            signal.connect(self.actions_.refresh)
        desk.answersChanged.connect(self._follow_answers)
        for signal in (desk.questionChanged, desk.themeChanged, self.look.changed):
            signal.connect(self.actions_.refresh)
        desk.themeChanged.connect(self._take_theme)
        files.shownChanged.connect(self._follow_site)
        files.savedChanged.connect(self._show_saved)
        files.wholeWanted.connect(lambda: self.rooms.plan.show_all(eased=False))
        self.look.changed.connect(self._show_picture)
        self.keeper.found.connect(self._offer)
        self.keeper.problem.connect(self.feed.say_problem)
        start.wanted.connect(self._begin)
        start.opened.connect(files.open)
        start.open_wanted.connect(files.open)

    def _place(self) -> None:
        place = self.preferences.window_place
        if place.isEmpty() or not self.restoreGeometry(place):
            self.resize(_FIRST_SIZE.boundedTo(self.screen().availableSize()))

    # beginning

    def begin(self, path: Path | None) -> None:
        """Open a site when one is given, look for unsaved work, and start the engines."""
        self.desk.start()
        self.keeper.look()
        if path is not None:
            self.files.open(path)
        else:
            self.start.focus_first()

    def _begin(self, way: str) -> None:
        {
            "sample": self.files.open_sample,
            "raster": self.starts.from_raster,
            "picture": self.starts.from_picture,
            "empty": self.starts.from_empty,
        }[way]()

    def _offer(self, works: list[Found]) -> None:
        """Unsaved work was found: open with it, or as it was saved."""
        work = works[0]
        path = work.path

        def as_saved() -> None:
            self.keeper.discard(work)
            if path is not None:
                self.files.open(path)

        self.files.show(
            RecoverSheet(
                recovered_words(work),
                open_with=lambda: self.keeper.take(work, lambda site, _: self.files.open_recovered(site, work)),
                as_saved=as_saved,
                saved_words=saved_choice(work),
                look=self.look,
                parent=self,
            )
        )

    # following

    def _follow_answers(self) -> None:
        """What can be done does not change with the frames of a drag; its end changes the history."""
        if not self.desk.live:
            self.actions_.refresh()

    def _follow_site(self) -> None:
        there = self.files.has_site
        self.rooms.questions.show_no_site(not there)
        self.rooms.show_site(there)
        self.start.setVisible(not there)
        if there:
            self.rooms.plan.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.start.list_recent()
            self.start.raise_()
            self._show_picture()
        self.actions_.refresh()
        self._show_saved()

    def _show_saved(self) -> None:
        words, name = self.files.saved_words(), self.desk.present.name
        frame = self.rooms.shown_frame
        narrow = frame is not None and not frame.heading
        self.menus.show_saved(f"{name}, {words}" if narrow and words else words)
        self.setWindowTitle(f"{name} - gardenwater" if words else "gardenwater")
        self.setWindowModified(False)

    def _show_picture(self) -> None:
        dark = self.look.scheme is Scheme.DARK
        picture = self.start.picture
        if picture is not None:
            picture.show_picture(QPixmap(str(resource(f"pictures/start-{'dark' if dark else 'light'}.png"))))

    def _take_theme(self, theme: Theme) -> None:
        self.preferences.theme = theme
        self.look.set_theme(theme)

    # events

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The saved state's words go with the width."""
        super().resizeEvent(event)
        frame = self.rooms.shown_frame
        if frame is not None:
            self.menus.setFixedHeight(frame.menu_px)
        self._show_saved()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Insert, where no part had a use for it, draws."""
        if event.key() == Qt.Key.Key_Insert and self.files.has_site:
            self.files.show(DrawSheet(self.desk, self.look, self))
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Unsaved work is guarded; then all work ends."""
        changes = self.desk.history.changes_since_saved if self.files.has_site else 0
        if changes and not self._leaving:
            event.ignore()
            self.files.guard(self.leave)
            return
        self.preferences.window_place = self.saveGeometry()
        self.preferences.write()
        self.keeper.close()
        self.desk.close()
        super().closeEvent(event)

    def leave(self) -> None:
        """Close without asking: what is not saved is not wanted."""
        self._leaving = True
        self.close()
