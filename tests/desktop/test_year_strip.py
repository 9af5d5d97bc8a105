"""The year strip under hands: its hand dragged, stepped, jumped and played; folds, the choice of year, the plan."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from gardenwater.assess.answers import Answers
from gardenwater.desktop.card import Card
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.framing import Fold, StripWish, frame
from gardenwater.desktop.look import Motion
from gardenwater.desktop.window import MainWindow
from gardenwater.desktop.year import YearStrip
from gardenwater.desktop.year.picture import month_on
from gardenwater.desktop.year.shown import Lack
from gardenwater.findings import Question
from gardenwater.ground import ground_of
from gardenwater.report.drawing import LayerName
from gardenwater.report.text import litres
from gardenwater.report.year import StripForm
from gardenwater.site.climate import Monthly
from gardenwater.site.model import Site
from gardenwater.units import UnitSystem
from gardenwater.work import say
from tests.desktop.conftest import PlainBench
from tests.report.lasting_made import made_lasting

FIGURES = (60.0, 50.0, 45.0, 40.0, 45.0, 30.0, 20.0, 25.0, 45.0, 70.0, 80.0, 75.0)
DAYS = (11.0, 10.0, 9.0, 8.0, 8.0, 6.0, 4.0, 5.0, 8.0, 11.0, 12.0, 12.0)


class YearBench(PlainBench):
    """Answers Lasting with invented years."""

    def answers(self, site: Site, *, question: Question, coarse: bool = False, **asked: Any) -> Any:
        say(asked.get("progress"), 0.1, "working out")
        super().answers(site, question=question, coarse=coarse, **asked)
        lasting = made_lasting(site) if site.monthly is not None else None
        return Answers(site=site, coarse=coarse, ground=ground_of(site), lasting=lasting)


@pytest.fixture
def bench() -> PlainBench:
    return YearBench()


@pytest.fixture
def garden(garden: Site) -> Site:
    """The garden with twelve monthly figures."""
    return replace(garden, monthly=Monthly(rain_mm=FIGURES, wet_days=DAYS, t_min_c=(5.0,) * 12, t_max_c=(15.0,) * 12))


@pytest.fixture
def asked(site_window: MainWindow, qtbot: QtBot) -> MainWindow:
    """The window with Lasting asked and answered."""
    site_window.desk.start()
    site_window.desk.ask(Question.LASTING)
    qtbot.waitUntil(lambda: site_window.desk.settled and site_window.desk.day is not None, timeout=20_000)
    site_window.look.set_motion(Motion.SYSTEM)
    return site_window


@pytest.fixture
def strip(asked: MainWindow) -> Iterator[YearStrip]:
    yield asked.rooms.strip
    asked.rooms.strip.player.stop()


def _desk(strip: YearStrip) -> Desk:
    return strip.window().desk  # type: ignore[attr-defined, no-any-return]


def _at(strip: YearStrip, date: dt.date) -> QPoint:
    layout, days = strip.picture.layout_now, strip.picture.days
    assert layout is not None
    assert days is not None
    return QPoint(round(layout.x_of(days.day_of(date), days.count)), round(layout.store.y + 5))


def test_the_strip_opens_by_itself_in_lasting_and_folds_in_reach(asked: MainWindow) -> None:
    strip = asked.rooms.strip
    assert strip.form is StripForm.OPEN
    assert strip.height() == 272
    assert strip.head.isVisible()
    asked.desk.ask(Question.REACH)
    assert strip.form is StripForm.FOLDED
    assert strip.height() == 78
    assert not strip.head.isVisible()


def test_what_was_set_by_hand_holds_for_all_questions(asked: MainWindow) -> None:
    strip = asked.rooms.strip
    asked.rooms.turn(Fold.YEAR_STRIP)
    assert strip.form is StripForm.FOLDED
    asked.desk.ask(Question.REACH)
    asked.desk.ask(Question.LASTING)
    assert strip.form is StripForm.FOLDED
    asked.rooms.turn(Fold.YEAR_STRIP)
    asked.desk.ask(Question.REACH)
    assert strip.form is StripForm.OPEN


def test_ctrl_e_folds_and_opens(asked: MainWindow, qtbot: QtBot) -> None:
    asked.activateWindow()
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    QTest.keyClick(asked, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert asked.rooms.strip.form is StripForm.FOLDED
    QTest.keyClick(asked, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert asked.rooms.strip.form is StripForm.OPEN


@pytest.mark.parametrize(
    ("size", "wish", "form", "height"),
    [
        ((1600, 1000), StripWish.FOLDED, StripForm.FOLDED, 78),
        ((1600, 1000), StripWish.OPEN, StripForm.OPEN, 272),
        ((2560, 1440), StripWish.FOLDED, StripForm.FOLDED, 96),
        ((2560, 1440), StripWish.OPEN, StripForm.OPEN, 320),
        ((1280, 720), StripWish.OPEN, StripForm.LOW, 58),
        ((1280, 630), StripWish.OPEN, StripForm.WORDS, 26),
        ((1600, 1000), StripWish.WORDS, StripForm.WORDS, 26),
    ],
)
def test_forms_and_heights_go_by_the_window(
    size: tuple[int, int], wish: StripWish, form: StripForm, height: int
) -> None:
    made = frame(*size, strip=wish)
    assert (made.strip_form, made.strip_px) == (form, height)


def test_opened_by_hand_in_a_low_window_it_leaves_the_plan_its_480() -> None:
    made = frame(1280, 720, strip=StripWish.FOLDED, by_hand={Fold.YEAR_STRIP: False})
    assert made.strip_form is StripForm.OPEN
    assert 720 - made.menu_px - made.questions_px - made.read_out_px - made.strip_px - 2 >= 480


def test_the_hand_stands_on_the_first_dry_day_at_first(strip: YearStrip) -> None:
    days = strip.picture.days
    assert days is not None
    assert days.first_dry is not None
    assert _desk(strip).day == days.date(days.first_dry)


def test_a_click_brings_the_hand_and_a_drag_takes_it_along(strip: YearStrip) -> None:
    desk, picture = _desk(strip), strip.picture
    QTest.mouseClick(picture, Qt.MouseButton.LeftButton, pos=_at(strip, dt.date(2000, 4, 20)))
    assert desk.day == dt.date(2000, 4, 20)
    QTest.mousePress(picture, Qt.MouseButton.LeftButton, pos=_at(strip, dt.date(2000, 4, 20)))
    for date in (dt.date(2000, 5, 1), dt.date(2000, 6, 10), dt.date(2000, 9, 3)):
        QTest.mouseMove(picture, _at(strip, date))
        assert desk.day == date
    QTest.mouseRelease(picture, Qt.MouseButton.LeftButton, pos=_at(strip, dt.date(2000, 9, 3)))
    QTest.mouseMove(picture, _at(strip, dt.date(2000, 2, 1)))
    assert desk.day == dt.date(2000, 9, 3)


def test_a_drag_beyond_the_end_stops_on_the_last_day(strip: YearStrip) -> None:
    QTest.mousePress(strip.picture, Qt.MouseButton.LeftButton, pos=_at(strip, dt.date(2000, 12, 1)))
    QTest.mouseMove(strip.picture, QPoint(strip.picture.width() + 50, 40))
    QTest.mouseRelease(strip.picture, Qt.MouseButton.LeftButton)
    assert _desk(strip).day == dt.date(2000, 12, 31)


@pytest.mark.parametrize(
    ("key", "day"),
    [
        (Qt.Key.Key_Left, dt.date(2000, 5, 30)),
        (Qt.Key.Key_Right, dt.date(2000, 6, 1)),
        (Qt.Key.Key_PageUp, dt.date(2000, 6, 30)),
        (Qt.Key.Key_PageDown, dt.date(2000, 4, 30)),
        (Qt.Key.Key_Home, dt.date(2000, 1, 1)),
        (Qt.Key.Key_End, dt.date(2000, 12, 31)),
    ],
)
def test_keys_move_the_hand(strip: YearStrip, key: Qt.Key, day: dt.date) -> None:
    desk = _desk(strip)
    desk.set_day(dt.date(2000, 5, 31))
    QTest.keyClick(strip.picture, key)
    assert desk.day == day


def test_a_month_on_keeps_the_day_where_there_is_one() -> None:
    assert month_on(dt.date(2000, 1, 31), 1) == dt.date(2000, 2, 29)
    assert month_on(dt.date(2001, 12, 15), 1) == dt.date(2002, 1, 15)
    assert month_on(dt.date(2001, 1, 15), -1) == dt.date(2000, 12, 15)


def test_brackets_on_the_plan_move_a_day_and_with_shift_a_week(asked: MainWindow) -> None:
    desk, plan = asked.desk, asked.rooms.plan
    desk.set_day(dt.date(2000, 7, 10))
    QTest.keyClick(plan, Qt.Key.Key_BracketLeft)
    assert desk.day == dt.date(2000, 7, 9)
    QTest.keyClick(plan, Qt.Key.Key_BracketRight, Qt.KeyboardModifier.ShiftModifier)
    assert desk.day == dt.date(2000, 7, 16)


def test_buttons_jump_to_the_first_dry_and_the_driest_day(strip: YearStrip) -> None:
    desk, days = _desk(strip), strip.picture.days
    assert days is not None
    assert days.first_dry is not None
    desk.set_day(dt.date(2000, 1, 5))
    QTest.mouseClick(strip.head.driest, Qt.MouseButton.LeftButton)
    assert desk.day == days.date(days.driest)
    QTest.mouseClick(strip.head.first_dry, Qt.MouseButton.LeftButton)
    assert desk.day == days.date(days.first_dry)


def test_play_goes_on_by_itself_and_stops_when_the_hand_is_taken(strip: YearStrip, qtbot: QtBot) -> None:
    desk = _desk(strip)
    desk.set_day(dt.date(2000, 3, 1))
    QTest.keyClick(strip.picture, Qt.Key.Key_Space)
    assert strip.player.playing
    assert strip.head.play.text() == "Stop"
    qtbot.waitUntil(lambda: desk.day is not None and desk.day >= dt.date(2000, 3, 4), timeout=5000)
    QTest.mouseClick(strip.picture, Qt.MouseButton.LeftButton, pos=_at(strip, dt.date(2000, 8, 1)))
    assert not strip.player.playing
    assert desk.day == dt.date(2000, 8, 1)


def test_play_begins_anew_after_the_year_s_end(strip: YearStrip, qtbot: QtBot) -> None:
    desk = _desk(strip)
    desk.set_day(dt.date(2000, 12, 31))
    QTest.mouseClick(strip.head.play, Qt.MouseButton.LeftButton)
    assert desk.day == dt.date(2000, 1, 1)
    desk.set_day(dt.date(2000, 12, 30))
    qtbot.waitUntil(lambda: not strip.player.playing, timeout=5000)
    assert desk.day == dt.date(2000, 12, 31)


def test_with_reduced_motion_each_press_is_a_day(asked: MainWindow) -> None:
    desk, strip = asked.desk, asked.rooms.strip
    asked.look.set_motion(Motion.REDUCED)
    desk.set_day(dt.date(2000, 3, 1))
    QTest.mouseClick(strip.head.play, Qt.MouseButton.LeftButton)
    QTest.mouseClick(strip.head.play, Qt.MouseButton.LeftButton)
    assert not strip.player.playing
    assert desk.day == dt.date(2000, 3, 3)


def test_another_year_keeps_the_day_of_the_year(strip: YearStrip) -> None:
    desk = _desk(strip)
    desk.set_day(dt.date(2000, 7, 10))
    menu = strip.head.choice.menu()
    named = [action.text() for action in menu.actions() if action.menu() is None]
    assert named[0] == "driest of 4 on record, 2000"
    strip.head.choice.chosen.emit("2002")
    assert desk.year == "2002"
    assert desk.day == dt.date(2002, 7, 10)
    assert strip.picture.days is not None
    assert strip.picture.days.name == "2002"


def test_the_plan_shows_the_day_under_the_hand(asked: MainWindow, qtbot: QtBot) -> None:
    desk, plan = asked.desk, asked.rooms.plan
    qtbot.wait(300)
    desk.set_day(dt.date(2000, 2, 1))
    plan.repaint()
    winter = plan._scene.last
    desk.set_day(dt.date(2000, 8, 4))
    plan.repaint()
    summer = plan._scene.last
    assert winter is not None
    assert summer is not None
    for name in (LayerName.THINGS_BELOW, LayerName.BUILT, LayerName.THINGS_ABOVE):
        assert winter.layer(name) is summer.layer(name)
    assert winter.layer(LayerName.STORES) is not summer.layer(LayerName.STORES)
    words = {placed.label.key: placed.lines[-1].words for placed in summer.words.placed}
    state = desk.day_state
    assert state is not None
    assert state.date == dt.date(2000, 8, 4)
    held = state.tanks["tank-1"]
    assert words["tank-1"] == (
        f"spills {litres(held.spill_l, desk.units)}" if held.spills else held_words(held.volume_l)
    )


def held_words(volume_l: float) -> str:
    return "empty" if volume_l < 0.5 else litres(volume_l, UnitSystem.METRIC)


def test_the_strip_speaks_its_day_and_is_a_slider(strip: YearStrip) -> None:
    _desk(strip).set_day(dt.date(2000, 7, 10))
    picture = strip.picture
    assert "10\u00a0July" in picture.accessibleName()
    assert picture.accessibleName().startswith("The year, driest of 4 on record, 2000")
    assert (picture.minimum(), picture.maximum(), picture.value()) == (0, 365, 191)
    assert "Space plays" in picture.accessibleDescription()


def test_hovering_reads_the_numbers_of_a_day(strip: YearStrip) -> None:
    reading = strip.picture.reading(191).split("\n")
    assert reading[0] == "10\u00a0July"
    assert any(line.startswith("Shed tank: ") for line in reading)


def test_f6_comes_by_the_strip(asked: MainWindow, qtbot: QtBot) -> None:
    rooms = asked.rooms
    asked.activateWindow()
    rooms.readout.setFocus()
    qtbot.waitUntil(rooms.readout.hasFocus)
    rooms.go_on(1)
    assert rooms.strip.picture.hasFocus()


def test_a_step_paints_a_stripe_and_not_the_whole_strip(strip: YearStrip) -> None:
    assert strip.picture._stripe(100).width() < strip.picture.width() / 2


def test_a_new_answer_keeps_the_old_year_at_half_strength_until_it_is_there(
    asked: MainWindow, bench: YearBench, qtbot: QtBot
) -> None:
    desk, strip = asked.desk, asked.rooms.strip
    bench.hold = threading.Event()
    desk.select(["tank-1"])
    desk.nudge(0.5, 0.0)
    qtbot.waitUntil(lambda: strip.shown.stale, timeout=5000)
    assert strip.picture.days is not None
    bench.hold.set()
    qtbot.waitUntil(lambda: desk.settled and not strip.shown.stale, timeout=10_000)


def test_a_site_without_weather_says_so_and_leads_to_it(asked: MainWindow, qtbot: QtBot) -> None:
    desk, strip = asked.desk, asked.rooms.strip
    desk.edit("Take the figures away", lambda site: replace(site, monthly=None))
    assert strip.shown.lack is Lack.WEATHER
    assert strip.form is StripForm.WORDS
    assert strip.height() == 26
    assert desk.day is None
    with qtbot.waitSignal(desk.weatherWanted):
        strip._weather.click()


def test_a_site_without_a_bed_says_so(asked: MainWindow) -> None:
    asked.desk.select(["bed-1", "bed-2"])
    asked.desk.delete_selected()
    assert asked.rooms.strip.shown.lack is Lack.BED


def _head(card: Card) -> str:
    heads = card._tables[0]._table.heads
    return heads[0] if heads else ""


def test_the_card_has_the_year_s_figures_and_follows_the_day(asked: MainWindow, qtbot: QtBot) -> None:
    desk, card = asked.desk, asked.rooms.card
    desk.set_day(dt.date(2000, 8, 4))
    qtbot.waitUntil(lambda: _head(card) == "Tanks on 4\u00a0August", timeout=3000)
    lasting = desk.answers.lasting  # type: ignore[union-attr]
    assert lasting is not None
    figures = [figure.value for figure in card._figures._figures]
    assert figures[0] == f"{lasting.figures.short_days} days"
    assert card._lasting.isVisible()
    desk.select(["bed-1"])
    qtbot.waitUntil(lambda: not card._lasting.isVisible(), timeout=3000)
    assert [figure.caption for figure in card._figures._figures][1:] == ["short of full", "met this year"]
    desk.select(["tank-1"])
    qtbot.waitUntil(lambda: _head(card).startswith("Drawn for"), timeout=3000)
    assert [row.thing for row in card._tables[0]._table.rows] == ["bed-1", "bed-2"]


def test_the_card_follows_the_text_size_in_all_its_words(asked: MainWindow, qtbot: QtBot) -> None:
    card = asked.findChild(Card)
    about = next(label for label in card.findChildren(QLabel) if label.text().startswith("In the "))
    small = about.font().pointSizeF()
    asked.look.set_percent(150)
    qtbot.waitUntil(lambda: about.font().pointSizeF() == pytest.approx(1.5 * small), timeout=2000)
    asked.look.set_percent(100)
    qtbot.waitUntil(lambda: about.font().pointSizeF() == pytest.approx(small), timeout=2000)


def test_the_rows_of_a_fold_are_not_made_anew_while_they_say_the_same(asked: MainWindow, qtbot: QtBot) -> None:
    card = asked.findChild(Card)

    def rows() -> list[QLabel]:
        return [label for label in card.findChildren(QLabel) if label.text() == "Years with a dry day"]

    before = rows()
    assert before
    asked.desk.set_day(asked.desk.day + dt.timedelta(days=1))
    card.refresh()
    QApplication.processEvents()
    assert rows() == before
