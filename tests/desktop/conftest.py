"""A desk with a plain bench, a small garden, and a check that no thread stays behind."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import Any

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from shapely import LineString, Point, box

from gardenwater.desktop.attention import Theme
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look
from gardenwater.desktop.plan.events import NOTHING_HELD, XY, Button, Held, Pointer
from gardenwater.desktop.preferences import Preferences
from gardenwater.desktop.window import MainWindow
from gardenwater.files import Recovery
from gardenwater.findings import Question
from gardenwater.site.model import Site
from gardenwater.site.things import (
    Bed,
    Boundary,
    Building,
    Diverter,
    Downpipe,
    Overflow,
    Path,
    Roof,
    Soakaway,
    Tank,
    Wall,
)
from gardenwater.work import Cancel, Progress


@dataclass(frozen=True)
class PlainAnswers:
    """What the plain bench gives: what it was asked."""

    site: Site
    question: Question
    focus: str
    coarse: bool
    own: bool = False
    findings: tuple[Any, ...] = ()
    reach: None = None
    overflow: None = None
    need: None = None
    stand: None = None
    catch: None = None
    chains: tuple[Any, ...] = ()


@dataclass
class PlainBench:
    """A bench that answers at once, or when it is let go; it keeps what it was asked."""

    asked: list[PlainAnswers] = field(default_factory=list)
    hold: threading.Event | None = None
    fail: Exception | None = None

    def answers(
        self,
        site: Site,
        *,
        question: Question,
        focus: str = "",
        coarse: bool = False,
        own: bool = False,
        cancel: Cancel | None = None,  # noqa: ARG002 - the worker gives it
        progress: Progress | None = None,  # noqa: ARG002 - the worker gives it
    ) -> Any:
        answer = PlainAnswers(site, question, focus, coarse, own)
        self.asked.append(answer)
        if self.hold is not None:
            self.hold.wait(5)
        if self.fail is not None:
            raise self.fail
        return answer

    def ready(self, site: Site, **asked: Any) -> None:
        """It needs no preparing."""


@pytest.fixture(autouse=True)
def no_thread_left() -> Iterator[None]:
    """Threads of ours end with what started them."""
    before = set(threading.enumerate())
    yield
    left = [one.name for one in set(threading.enumerate()) - before if one.name.startswith("gardenwater")]
    assert left == []


@pytest.fixture
def bench() -> PlainBench:
    return PlainBench()


@pytest.fixture
def garden() -> Site:
    """A shed with a roof and a downpipe at its south-east corner, a tank beside it, a path, two beds, a soakaway."""
    return Site(
        name="Trial garden",
        things=(
            Boundary(id="boundary-1", shape=box(0, 0, 40, 30)),
            Building(id="building-1", name="Shed", shape=box(10.3, 18.3, 17.7, 23.7)),
            Roof(id="roof-1", name="Shed roof", shape=box(10, 18, 18, 24)),
            Downpipe(id="downpipe-1", name="East pipe", shape=Point(18, 18), roof="roof-1"),
            Tank(id="tank-1", name="Shed tank", shape=Point(19.5, 17.5)),
            Diverter(id="diverter-1", name="Diverter", shape=Point(18, 18), downpipe="downpipe-1", tank="tank-1"),
            Overflow(id="overflow-1", name="Overflow", shape=LineString([(19.5, 17.5), (22, 14)]), tank="tank-1"),
            Path(id="path-1", name="Lower path", shape=LineString([(2, 8), (38, 8)])),
            Bed(id="bed-1", name="Beans", shape=box(5, 11, 13, 14)),
            Bed(id="bed-2", name="Roots", shape=box(24, 3, 32, 6)),
            Soakaway(id="soakaway-1", name="Soakaway", shape=box(30, 12, 33, 15)),
            Wall(id="wall-1", name="Wall", shape=LineString([(25, 20), (35, 20)])),
        ),
    )


@pytest.fixture
def desk(qtbot: QtBot, bench: PlainBench, garden: Site) -> Iterator[Desk]:
    """A desk with the garden on it; its worker is not started."""
    made = Desk(lambda: bench)
    made.open(garden)
    yield made
    made.close()


@dataclass
class PlainChooser:
    """Chooses the files that the test laid out, in turn; keeps what was asked."""

    files: list[FilePath] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def _ask(self, title: str, then: Callable[[FilePath], object]) -> None:
        self.asked.append(title)
        if self.files:
            then(self.files.pop(0))

    def to_open(self, title: str, _filters: str, then: Callable[[FilePath], object]) -> None:
        self._ask(title, then)

    def to_save(self, title: str, _filters: str, name: str, then: Callable[[FilePath], object]) -> None:
        self._ask(f"{title}: {name}", then)

    def a_folder(self, title: str, then: Callable[[FilePath], object]) -> None:
        self._ask(title, then)


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication, bench: PlainBench, tmp_path: FilePath) -> Iterator[MainWindow]:
    """A window of 1600 by 1000 without a site; its preferences and kept work lie in the test's folder."""
    look = Look(qapp)
    look.set_theme(Theme.LIGHT)
    preferences = Preferences(tmp_path / "preferences.ini")
    made = MainWindow(Desk(lambda: bench), look, preferences, Recovery(tmp_path / "unsaved"))
    made.files.choose = PlainChooser()  # type: ignore[assignment]
    made.resize(1600, 1000)
    made.show()
    qtbot.waitExposed(made)
    yield made
    if made.files.sheet is not None:
        made.files.sheet.reject()
    made.leave()
    made.deleteLater()
    QCoreApplication.sendPostedEvents(made, QEvent.Type.DeferredDelete)
    look.set_percent(100)


@pytest.fixture
def site_window(window: MainWindow, garden: Site) -> MainWindow:
    """The window with the garden in it, not saved yet."""
    window.files.show_site(garden, None)
    return window


@dataclass
class PlainSight:
    """A plan of 20 px for a metre, its south-west corner at (0, 0); no ground but a slope of 1 in 10 to the south."""

    desk: Desk
    px_per_m: float = 20.0
    grid_m: float = 10.0
    sent: list[str] = field(default_factory=list)

    def level_at(self, x: float, y: float) -> float:
        return 100.0 + y / 10 if math.isfinite(x) else math.nan

    def to_card(self) -> None:
        self.sent.append("card")

    def edit_corners(self) -> None:
        self.sent.append("corners")

    def pointer(self, at: XY, button: Button = Button.NONE, held: Held = NOTHING_HELD, clicks: int = 1) -> Pointer:
        return Pointer((at[0] * self.px_per_m, -at[1] * self.px_per_m), at, button, held, clicks)


@pytest.fixture
def sight(desk: Desk) -> PlainSight:
    return PlainSight(desk)


class Hand:
    """Drives a tool as a person would."""

    def __init__(self, tool: Any, sight: PlainSight) -> None:
        self.tool, self.sight = tool, sight

    def move(self, at: XY, held: Held = NOTHING_HELD) -> None:
        self.tool.move(self.sight.pointer(at, held=held))

    def down(self, at: XY, held: Held = NOTHING_HELD, clicks: int = 1) -> None:
        self.move(at, held)
        self.tool.press(self.sight.pointer(at, Button.MAIN, held, clicks))

    def up(self, at: XY, held: Held = NOTHING_HELD) -> None:
        self.tool.release(self.sight.pointer(at, Button.MAIN, held))

    def click(self, at: XY, held: Held = NOTHING_HELD) -> None:
        self.down(at, held)
        self.up(at, held)

    def drag(self, start: XY, end: XY, held: Held = NOTHING_HELD, steps: int = 4) -> None:
        self.down(start, held)
        for step in range(1, steps + 1):
            share = step / steps
            self.move((start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share), held)
        self.up(end, held)


@pytest.fixture
def hand(sight: PlainSight) -> Callable[[Any], Hand]:
    return lambda tool: Hand(tool, sight)
