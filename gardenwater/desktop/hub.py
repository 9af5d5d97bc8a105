"""What the menus work with: the parts of one window, by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QMainWindow

    from gardenwater.desktop.desk import Desk
    from gardenwater.desktop.filework import FileWork
    from gardenwater.desktop.look import Look
    from gardenwater.desktop.plan.widget import PlanWidget
    from gardenwater.desktop.preferences import Preferences
    from gardenwater.desktop.reporting import Reporting
    from gardenwater.desktop.rooms import Rooms
    from gardenwater.desktop.starting import Starts


@dataclass(frozen=True, slots=True, eq=False)
class Hub:
    """The parts of one window."""

    window: QMainWindow
    desk: Desk
    look: Look
    preferences: Preferences
    files: FileWork
    starts: Starts
    reporting: Reporting
    rooms: Rooms

    @property
    def plan(self) -> PlanWidget:
        """The plan."""
        return self.rooms.plan

    def no_site(self) -> str:
        """The reason why there is nothing to do without a site; empty with one."""
        return "" if self.files.has_site else "There is no site yet."

    def nothing_selected(self) -> str:
        """The reason why nothing can be done with the selection; empty with one."""
        return self.no_site() or ("" if self.desk.selection else "Nothing is selected.")
