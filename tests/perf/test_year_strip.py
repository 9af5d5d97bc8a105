"""How fast the plan follows the hand of the year strip, on a site of 200 things.

Aimed at: the strip's own stripe in 2 ms, strip and plan together in 16 ms at the median and 33 ms at the 95th
percentile (60 frames a second). Run with `pytest tests/perf/test_year_strip.py`; figures are printed, none is asserted.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gardenwater.assess.answers import Answers
from gardenwater.desktop.attention import Theme
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.engines import Depicter
from gardenwater.desktop.look import Look, Motion
from gardenwater.desktop.preferences import Preferences
from gardenwater.desktop.rooms import Rooms
from gardenwater.files import open_site
from gardenwater.findings import Question
from gardenwater.ground import ground_of
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Tree
from gardenwater.tables import sample_site
from tests.report.lasting_made import made_lasting

STEPS = 200


class MadeBench:
    """Gives the lie of the land, and the invented answer of Lasting, whose days all differ."""

    def answers(self, site: Site, **_asked: object) -> Answers:
        return Answers(site=site, coarse=False, ground=ground_of(site), lasting=made_lasting(site))


@pytest.fixture
def rooms(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[Rooms]:
    """The sample with 20 beds and 170 trees more, in a window of 1600 by 1000."""
    from shapely import Point, box

    look = Look(qapp)
    look.set_motion(Motion.REDUCED)
    look.set_theme(Theme.LIGHT)
    site = open_site(sample_site("quillet-bank.gpkg"))
    beds = [
        Bed(id=f"bed-{n}", name=f"Bed {n}", shape=box(3 + 7 * (n % 10), 3 + n // 10, 8 + 7 * (n % 10), 3.8 + n // 10))
        for n in range(20, 40)
    ]
    trees = [
        Tree(id=f"tree-{n}", shape=Point(2 + 4.1 * (n % 18), 30 + 2.1 * (n // 18)).buffer(0.9)) for n in range(100, 270)
    ]
    desk = Desk(MadeBench, depict=Depicter())
    shown = Rooms(desk, look, Preferences(tmp_path / "preferences.ini"), None)  # type: ignore[arg-type]
    shown.resize(1600, 970)
    shown.show()
    desk.open(edits.put(site, *beds, *trees))
    desk.ask(Question.LASTING)
    desk.start()
    qtbot.waitUntil(lambda: desk.settled and desk.day is not None, timeout=240_000)
    qtbot.wait(400)
    yield shown
    desk.close()
    look.deleteLater()


def _days(rooms: Rooms) -> np.ndarray:
    """Milliseconds of each step of the hand: told, worked out and painted."""
    days = rooms.strip.picture.days
    assert days is not None
    took = []
    for day in range(100, 100 + STEPS):
        start = time.perf_counter()
        rooms.plan.desk.set_day(days.date(day))
        QApplication.processEvents()
        took.append((time.perf_counter() - start) * 1000)
    return np.array(took)


def test_a_step_of_the_hand(rooms: Rooms, qtbot: QtBot, capsys: pytest.CaptureFixture[str]) -> None:
    with_plan = _days(rooms)
    rooms.plan.desk.ask(Question.CATCH)
    qtbot.waitUntil(lambda: rooms.plan.desk.settled, timeout=60_000)
    alone = _days(rooms)
    with capsys.disabled():
        for name, took in (("strip and plan", with_plan), ("the strip alone", alone)):
            median, late, most = np.percentile(took, [50, 95, 100])
            print(f"\na day of the hand, {name}: median {median:.1f} ms, 95th percentile {late:.1f}, most {most:.1f}")
