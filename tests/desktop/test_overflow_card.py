"""Overflow's card under hands and keys: the rain hand, mends, the water that is followed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

import gardenwater as gw
from gardenwater.assess import Workbench
from gardenwater.desktop.card.overflow_part import OverflowPart
from gardenwater.desktop.card.pick_rows import PickRow, PickRows
from gardenwater.desktop.card.rain_hand import HandMark, HandWords, RainHand
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look
from gardenwater.desktop.plan.pointer_tool import PointerTool
from gardenwater.desktop.spilling import OverflowView, Shared, Spilling, water_at
from gardenwater.findings import Question
from gardenwater.tables import sample_site

_LONG_MS = 120_000  # kernels may have to be compiled


@pytest.fixture
def look(qapp: QApplication) -> Look:
    return Look(qapp)


@pytest.fixture
def holder(qtbot: QtBot) -> QWidget:
    made = QWidget()
    qtbot.addWidget(made)
    made.resize(320, 500)
    return made


@dataclass
class Told:
    """What a signal told."""

    told: list[Any] = field(default_factory=list)

    def __call__(self, *values: Any) -> None:
        self.told.append(values)


# the rain hand


def made_hand(look: Look, holder: QWidget) -> tuple[RainHand, Told]:
    hand, told = RainHand(look, holder), Told()
    hand.resize(QSize(316, 80))
    hand.moved.connect(told)
    holder.show()
    return hand, told


def test_the_hand_is_dragged_and_tells_each_move(qtbot: QtBot, look: Look, holder: QWidget) -> None:
    hand, told = made_hand(look, holder)
    qtbot.mousePress(hand, Qt.MouseButton.LeftButton, pos=QPoint(158, 34))
    qtbot.mouseMove(hand, QPoint(83, 34))
    qtbot.mouseRelease(hand, Qt.MouseButton.LeftButton, pos=QPoint(83, 34))
    assert told.told[0] == (pytest.approx(0.5), True)
    assert told.told[-1] == (pytest.approx(0.25), False)
    assert hand.share == pytest.approx(0.25)


def test_the_hand_goes_by_keys(qtbot: QtBot, look: Look, holder: QWidget) -> None:
    hand, told = made_hand(look, holder)
    for key, share in (
        (Qt.Key.Key_Left, 0.99),
        (Qt.Key.Key_PageDown, 0.89),
        (Qt.Key.Key_Right, 0.90),
        (Qt.Key.Key_Home, 0.0),
        (Qt.Key.Key_PageUp, 0.1),
        (Qt.Key.Key_End, 1.0),
    ):
        qtbot.keyClick(hand, key)
        assert told.told[-1] == (pytest.approx(share), False)


def test_escape_puts_the_hand_back(qtbot: QtBot, look: Look, holder: QWidget) -> None:
    hand, told = made_hand(look, holder)
    qtbot.mousePress(hand, Qt.MouseButton.LeftButton, pos=QPoint(100, 34))
    qtbot.keyClick(hand, Qt.Key.Key_Escape)
    assert told.told[-1] == (1.0, False)


def test_marks_near_each_other_take_a_row_each(look: Look, holder: QWidget) -> None:
    hand, _ = made_hand(look, holder)
    plain = hand.sizeHint().height()
    near = (HandMark(0.4, "Lower path wet from 11", "fails"), HandMark(0.45, "Swale full from 12", "watch"))
    hand.show_rain(1.0, HandWords("Rain", "24 mm of 24 mm", "0", "24 mm", near))
    assert hand.sizeHint().height() == plain + 2 * look.px(18)
    hand.grab()


# rows of which one is chosen


def test_rows_are_chosen_and_their_word_pressed(qtbot: QtBot, look: Look, holder: QWidget) -> None:
    rows, picked, pressed = PickRows("Mends", look, holder, word="Keep it"), Told(), Told()
    rows.picked.connect(picked)
    rows.pressed_word.connect(pressed)
    rows.show_rows("Mends for Path", "remains", (PickRow("Pipe", "50 mm", "0 L"), PickRow("Swale", "3 m", "40 L")), 0)
    rows.resize(rows.sizeHint().expandedTo(QSize(312, 0)))
    holder.show()
    qtbot.mouseClick(rows, Qt.MouseButton.LeftButton, pos=QPoint(100, 24 + 38 + 10))
    assert picked.told == [(1,)]
    qtbot.keyClick(rows, Qt.Key.Key_Down)
    assert picked.told[-1] == (1,)
    qtbot.mouseClick(rows, Qt.MouseButton.LeftButton, pos=QPoint(rows.width() - 10, 24 + 30))
    qtbot.keyClick(rows, Qt.Key.Key_Return)
    assert pressed.told == [(), ()]
    assert "Pipe, 50 mm, 0 L, 1 of 2" in rows.accessibleName()
    rows.grab()


# the window's part, with the engines


@pytest.fixture
def sample_desk(qtbot: QtBot) -> Iterator[Desk]:
    """A desk with the sample garden in Overflow, answered."""
    desk = Desk(Workbench)
    desk.open(gw.open_site(sample_site("quillet-bank.gpkg")))
    desk.ask(Question.OVERFLOW)
    desk.start()
    qtbot.waitUntil(lambda: desk.settled, timeout=_LONG_MS)
    yield desk
    desk.close()


def test_a_person_sees_the_trouble_tries_two_mends_and_sees_it_gone(
    qtbot: QtBot, sample_desk: Desk, look: Look, holder: QWidget
) -> None:
    desk, spilling = sample_desk, sample_desk.spilling
    part = OverflowPart(desk, look, holder)
    holder.show()
    trouble = next(each for each in desk.answers.findings if each.code == "overflow.pool-on-path")  # type: ignore[union-attr]
    desk.show_mends(trouble)
    assert desk.selection == ()
    qtbot.waitUntil(lambda: not spilling.looking, timeout=_LONG_MS)
    assert spilling.mends is not None
    assert spilling.mends.before_l == pytest.approx(trouble.number("volume_l"))
    qtbot.waitUntil(part.mends.isVisible, timeout=2000)
    part.mends.picked.emit(1)
    tried = spilling.chosen
    assert tried is spilling.mends.mends[1]
    assert spilling.look.mend is tried
    for number in (0, 1):
        spilling.choose_mend(number)
        assert desk.keep_mend()
        assert desk.history.undo_label.startswith("Keep the ")
        qtbot.waitUntil(lambda: desk.settled, timeout=_LONG_MS)
        assert trouble.code not in {each.code for each in desk.answers.findings}  # type: ignore[union-attr]
        assert spilling.chosen is None
        desk.undo()
        qtbot.waitUntil(lambda: desk.settled, timeout=_LONG_MS)
        assert trouble in desk.answers.findings  # type: ignore[union-attr]
        desk.show_mends(trouble)
        qtbot.waitUntil(lambda: not spilling.looking, timeout=_LONG_MS)


def test_the_hand_spreads_the_water_and_the_heads_go_with_it(qtbot: QtBot, sample_desk: Desk) -> None:
    desk, spilling = sample_desk, sample_desk.spilling
    whole = desk.answers.overflow.account.spilled_l  # type: ignore[union-attr]
    assert spilling.look.heads_px == 0.0
    spilling.move_rain(0.5, moving=True)
    assert spilling.look.heads_px % 34.0 != pytest.approx(0.0) or spilling.look.heads_px != 0.0
    qtbot.waitUntil(lambda: desk.coarse or desk.settled, timeout=_LONG_MS)
    spilling.move_rain(0.5, moving=False)
    qtbot.waitUntil(lambda: desk.settled, timeout=_LONG_MS)
    half = desk.answers.overflow.account.spilled_l  # type: ignore[union-attr]
    assert 0.3 * whole < half < 0.7 * whole
    assert desk.history.can_undo is False
    spilling.move_rain(1.0, moving=False)
    qtbot.waitUntil(lambda: desk.settled, timeout=_LONG_MS)
    assert desk.answers.overflow.account.spilled_l == pytest.approx(whole)  # type: ignore[union-attr]


def test_a_click_on_a_way_follows_its_water(qtbot: QtBot, sample_desk: Desk, hand: Any) -> None:
    from tests.desktop.conftest import PlainSight

    desk = sample_desk
    overflow = desk.answers.overflow  # type: ignore[union-attr]
    end = next(each for each in overflow.ends if each.owner == "tank-3")
    spot = overflow.spill.routes[end.route].line.interpolate(0.3, normalized=True)
    assert water_at(desk.answers, (spot.x, spot.y), 0.2) == "tank-3"
    sight = PlainSight(desk)
    tool = PointerTool(sight)
    tool.press(sight.pointer((spot.x, spot.y), button=_main()))
    assert desk.spilling.owner == "tank-3"
    assert len(desk.spilling.steps) >= 3
    desk.spilling.choose_step(2)
    assert desk.spilling.at_step == 2
    desk.spilling.follow("", None)
    assert desk.spilling.steps == ()


def _main() -> Any:
    from gardenwater.desktop.plan.events import Button

    return Button.MAIN


# the part that knows no engine


@dataclass
class SlowBench:
    """A bench whose mends wait to be let go."""

    asked: list[object] = field(default_factory=list)

    def mends(self, _site: object, trouble: object, *, cancel: Any = None) -> str:
        self.asked.append(trouble)
        while trouble == "first" and not cancel():
            pass
        if trouble == "first":
            from gardenwater.errors import Cancelled

            raise Cancelled("given up")
        return f"mends of {trouble}"


def test_the_newest_wish_for_mends_wins(qtbot: QtBot) -> None:
    bench = SlowBench()
    spilling = Spilling(Shared(lambda: bench))  # type: ignore[arg-type, return-value]
    spilling.look_for_mends("site", "first")  # type: ignore[arg-type]
    spilling.look_for_mends("site", "second")  # type: ignore[arg-type]
    qtbot.waitUntil(lambda: not spilling.looking, timeout=5000)
    assert spilling.mends == "mends of second"
    spilling.close()


def test_the_view_is_told_once(qtbot: QtBot) -> None:
    spilling, told = Spilling(Shared(SlowBench)), Told()  # type: ignore[arg-type]
    spilling.changed.connect(told)
    spilling.show(OverflowView.UNDERFOOT)
    spilling.show(OverflowView.UNDERFOOT)
    assert len(told.told) == 1
    assert spilling.look.underfoot
    spilling.close()
