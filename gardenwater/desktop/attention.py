"""What the window's attention is on: what is selected, asked, chosen, drawn and pointed at."""

from __future__ import annotations

import datetime as dt
from enum import StrEnum

from PySide6.QtCore import QObject, Signal
from shapely import LineString

from gardenwater.errors import InputError
from gardenwater.findings import Finding, Question
from gardenwater.site.things import BY_KIND

SCALE_TOOL = "scale"
CONTOUR_TOOL = "contour"
PROFILE_TOOL = "profile"
MEASURING_TOOLS = (SCALE_TOOL, CONTOUR_TOOL, PROFILE_TOOL)
"""Tools that draw no thing: set the underlay to scale, trace a contour, lay a profile."""


class Theme(StrEnum):
    """Light, dark, or as the system says."""

    LIGHT = "light"
    DARK = "dark"
    SYSTEM = "system"


class MapOf(StrEnum):
    """Whose map Reach shows while a tank is selected: its own, or the best of all tanks at each spot."""

    TANK = "tank"
    ALL = "all"


class Attention(QObject):
    """The part of the desk that changes no site."""

    selectionChanged = Signal(object)  # tuple of ids
    questionChanged = Signal(object)  # Question
    findingChosen = Signal(object)  # Finding, or None
    hoverChanged = Signal(str)  # id of the thing under the pointer, or ""
    pointerMoved = Signal(object)  # (x, y) in the site's metres, or None off the plan
    toolChanged = Signal(str)  # kind that is drawn, a measuring tool, or "" for the pointer
    themeChanged = Signal(object)  # Theme
    profileChanged = Signal(object)  # LineString between two spots, or None
    dayChanged = Signal(object)  # date that the hand of the year strip stands on, or None
    weatherWanted = Signal()  # the sheet of the weather is asked for
    mapOfChanged = Signal(object)  # MapOf
    yearChanged = Signal(str)  # key of the year on the strip; "" for the one that the answer shows first

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._selection: tuple[str, ...] = ()
        self._question = Question.REACH
        self._finding: Finding | None = None
        self._hover = ""
        self._pointer: tuple[float, float] | None = None
        self._tool = ""
        self._theme = Theme.SYSTEM
        self._map_of = MapOf.TANK
        self._profile: LineString | None = None
        self._day: dt.date | None = None
        self._year = ""
        self._span: tuple[dt.date, dt.date] | None = None

    @property
    def selection(self) -> tuple[str, ...]:
        """Ids of the selected things, in the order they were selected."""
        return self._selection

    @property
    def question(self) -> Question:
        """What the plan is shaded with."""
        return self._question

    @property
    def finding(self) -> Finding | None:
        """The chosen finding."""
        return self._finding

    @property
    def hovered(self) -> str:
        """Id of the thing under the pointer, or empty."""
        return self._hover

    @property
    def at_pointer(self) -> tuple[float, float] | None:
        """Where the pointer is, in the site's metres."""
        return self._pointer

    @property
    def tool(self) -> str:
        """The kind that is drawn, a measuring tool, or empty for the pointer."""
        return self._tool

    @property
    def theme(self) -> Theme:
        """Light, dark, or as the system says."""
        return self._theme

    @property
    def map_of(self) -> MapOf:
        """Whose map Reach shows while a tank is selected."""
        return self._map_of

    @property
    def profile(self) -> LineString | None:
        """The line along which the ground is shown from the side, or None."""
        return self._profile

    @property
    def day(self) -> dt.date | None:
        """The day that the hand of the year strip stands on; None while there is no year to show."""
        return self._day

    @property
    def year(self) -> str:
        """Key of the year on the strip; empty for the one that the answer shows first."""
        return self._year

    def want_weather(self) -> None:
        """Ask for the sheet of the weather."""
        self.weatherWanted.emit()

    def choose_year(self, key: str) -> None:
        """Show another year on the strip."""
        if key != self._year:
            self._year = key
            self.yearChanged.emit(key)

    def show_days(self, span: tuple[dt.date, dt.date] | None, day: dt.date | None) -> None:
        """Tell which days the strip has, first and last, and put its hand on one of them; None: it has none."""
        self._span = span
        self.set_day(day)

    def set_day(self, day: dt.date | None) -> None:
        """Put the hand on a day; beyond the ends of the strip it stops there. Nothing on a strip without days."""
        wanted = None
        if self._span is not None and day is not None:
            wanted = min(max(day, self._span[0]), self._span[1])
        if wanted != self._day:
            self._day = wanted
            self.dayChanged.emit(wanted)

    def to_first_day(self) -> None:
        """Put the hand on the first day of the strip."""
        if self._span is not None:
            self.set_day(self._span[0])

    def step_day(self, by: int) -> bool:
        """Move the hand by so many days; False at the end, or without a strip."""
        before = self._day
        if before is not None:
            self.set_day(before + dt.timedelta(days=by))
        return self._day != before

    def lay_profile(self, line: LineString | None) -> None:
        """Show the ground from the side along a line; None takes the profile away."""
        if line != self._profile:
            self._profile = line
            self.profileChanged.emit(line)

    def hover(self, thing_id: str) -> None:
        """Tell which thing is under the pointer (empty: none)."""
        if thing_id != self._hover:
            self._hover = thing_id
            self.hoverChanged.emit(thing_id)

    def point(self, at: tuple[float, float] | None) -> None:
        """Tell where the pointer is, in the site's metres; None off the plan."""
        if at != self._pointer:
            self._pointer = at
            self.pointerMoved.emit(at)

    def draw(self, tool: str) -> None:
        """Take up the tool that draws this kind, a measuring tool, or with "" the pointer.

        Raises InputError for another word.
        """
        if tool and tool not in BY_KIND and tool not in MEASURING_TOOLS:
            raise InputError(f"Nothing draws {tool!r}.", where="tool", mend="Give a kind of thing.")
        if tool != self._tool:
            self._tool = tool
            self.toolChanged.emit(tool)

    def set_theme(self, theme: Theme) -> None:
        """Choose light or dark."""
        if theme is not self._theme:
            self._theme = theme
            self.themeChanged.emit(theme)

    def show_map_of(self, whose: MapOf) -> None:
        """Choose whose map Reach shows while a tank is selected."""
        if whose is not self._map_of:
            self._map_of = whose
            self.mapOfChanged.emit(whose)

    def _set_selection(self, ids: tuple[str, ...]) -> None:
        if ids != self._selection:
            self._selection = ids
            self.selectionChanged.emit(ids)

    def _set_finding(self, finding: Finding | None) -> None:
        if finding != self._finding:
            self._finding = finding
            self.findingChosen.emit(finding)

    def _set_question(self, question: Question) -> bool:
        changed = question is not self._question
        if changed:
            self._question = question
            self.questionChanged.emit(question)
        return changed
