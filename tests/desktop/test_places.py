"""Where could a tank stand, asked and answered in the window with the real engines: gestures, card, read-out, undo."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from shapely import LineString, Point, box

from gardenwater.assess import StandAsk, Workbench
from gardenwater.desktop.attention import MapOf
from gardenwater.desktop.card.card import Card
from gardenwater.desktop.card.level_drag import taken
from gardenwater.desktop.card.of_stand import no_spot_words, pair_of, stand_contents
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.engines import Depicter
from gardenwater.desktop.look import Look
from gardenwater.desktop.plan.pointer_tool import PointerTool
from gardenwater.desktop.pointer_words import stand_words
from gardenwater.desktop.standing import answer_in, spot_at
from gardenwater.findings import Question
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import Settings, Site
from tests.desktop.conftest import Hand, PlainSight

BENCH = Workbench()


@pytest.fixture
def hillside() -> Site:
    """A house half way down a slope of 1 in 20 to the south, a tank of its own, a bed above and one below."""
    return Site(
        name="Hillside",
        settings=Settings(cell_m=0.5),
        things=(
            t.SlopeArrow(id="slope_arrow-1", shape=LineString([(20.0, 28.0), (20.0, 2.0)]), one_in=20.0),
            t.Building(id="house", name="House", shape=box(14, 14, 20, 18)),
            t.Roof(id="roof", shape=box(13.8, 13.8, 20.2, 18.2), eaves_height_m=3.0),
            t.Downpipe(id="pipe", name="East pipe", shape=Point(20.2, 15.0), roof="roof"),
            t.Tank(id="tank-1", name="Old tank", shape=Point(22, 16), stand_height_m=0.2),
            t.Diverter(
                id="div", name="Diverter", shape=Point(20.4, 15.2), downpipe="pipe", tank="tank-1", height_m=2.2
            ),
            t.Bed(id="upper", name="Upper bed", shape=box(24, 22, 28, 24)),
            t.Bed(id="lower", name="Lower bed", shape=box(8, 4, 14, 7)),
        ),
    )


@pytest.fixture
def working(qtbot: QtBot, hillside: Site) -> Iterator[Desk]:
    """A desk with the hillside on it and the real engines behind it."""
    made = Desk(lambda: BENCH, depict=Depicter())
    made.open(hillside)
    made.ask(Question.REACH)
    made.start()
    yield made
    made.close()


def settled(desk: Desk, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: desk.settled, timeout=60_000)


def test_asking_answers_and_a_click_puts_a_tank_there(working: Desk, qtbot: QtBot) -> None:
    working.ask_place()
    settled(working, qtbot)
    answer = answer_in(working.answers)
    assert answer is not None
    assert working.pictures.stand is not None
    assert working.pictures.reach is None
    best = answer.proposals[0]
    before = working.present
    hand = Hand(PointerTool(PlainSight(working)), PlainSight(working))
    hand.click(best.spot.at)
    assert len(working.present.of(t.Tank)) == 2
    assert working.selection == (best.tank.id,)
    assert working.standing.ask is None
    assert working.history.undo_label == "Put Tank 1 on spot 1"
    tank = working.present.thing(best.tank.id, t.Tank)
    assert (tank.shape.x, tank.shape.y) == pytest.approx(best.spot.at)
    assert {each.tank for each in working.present.of(t.Diverter)} == {"tank-1", best.tank.id}
    settled(working, qtbot)
    assert working.answers is not None
    assert working.answers.reach is not None
    rows = working.answers.reach.tank(best.tank.id)
    assert rows is not None
    assert {row.bed for row in rows.beds if row.reached} == set(best.spot.beds)
    working.undo()
    assert working.present is before


def test_a_selected_tank_is_asked_elsewhere_and_beds_alone(working: Desk, qtbot: QtBot) -> None:
    working.select(("tank-1",))
    working.ask_place()
    assert working.standing.ask == StandAsk(tank="tank-1")
    settled(working, qtbot)
    answer = answer_in(working.answers)
    assert answer is not None
    assert answer.model.id == "tank-1"
    assert working.put_on_spot(1)
    assert working.history.undo_label == "Move Old tank on spot 1"
    assert len(working.present.of(t.Tank)) == 1
    working.select(("lower",))
    working.ask_place()
    assert working.standing.ask == StandAsk(beds=("lower",))
    working.ask(Question.OVERFLOW)
    settled(working, qtbot)
    assert working.answers is not None
    assert working.answers.stand is None


def test_a_spot_is_looked_at_under_the_pointer(working: Desk, qtbot: QtBot) -> None:
    working.ask_place()
    settled(working, qtbot)
    answer = answer_in(working.answers)
    assert answer is not None
    last = answer.proposals[-1]
    hand = Hand(PointerTool(PlainSight(working)), PlainSight(working))
    hand.move(last.spot.at)
    assert working.standing.spot == last.rank
    assert spot_at(working.answers, last.spot.at, 20.0) == last
    assert spot_at(working.answers, (1.0, 29.0), 20.0) is None
    assert pair_of(answer, last.rank)[0] == last


def test_the_card_and_the_read_out_say_what_stands_there(working: Desk, qtbot: QtBot) -> None:
    working.ask_place()
    settled(working, qtbot)
    site, answer = working.site, answer_in(working.answers)
    assert answer is not None
    contents = stand_contents(answer, 1, site)
    assert contents.title == "A place for a tank"
    assert contents.about == "1,500\u00a0L, upright; half of its litres for 2 beds"
    assert [figure.caption for figure in contents.figures][1:] == ["beds served", "when full"]
    safe = {row.cells[0]: row.cells[1] for row in contents.tables[1].rows}
    assert safe["Weight when full"] == "1.5\u00a0t"
    assert safe["Ground bears, presumed"] == "71.8\u00a0kPa"
    assert contents.caution == "Local code and a licensed structural engineer decide."
    words = stand_words(answer.proposals[0].spot.at, site, answer)
    assert words.answer.startswith("Spot 1: ")
    assert any(part.startswith("feed clears the inlet by ") for part in words.more)
    best = answer.proposals[0].spot
    told = f"{best.feeder_m:.1f} m of feeder from East pipe at {best.feed_level_m:.2f} m"
    assert told in [part.replace("\u00a0", " ") for part in words.more] or best.feeder_m < 10.0
    assert any(" of feeder from East pipe at " in part for part in words.more)
    assert stand_words((17.0, 16.0), site, answer).answer == "something stands or lies here"
    assert stand_words((38.0, 1.0), site, answer).answer == "too far from a downpipe"


def test_where_no_spot_works_the_card_says_why(qtbot: QtBot, hillside: Site) -> None:
    low = edits.change(edits.change(hillside, "roof", eaves_height_m=1.0), "div", height_m=0.6)
    answer = BENCH.stand(low, StandAsk(beds=("upper",), size="butt-200", most_feeder_m=8.0))
    assert answer is not None
    assert answer.proposals == ()
    contents = stand_contents(answer, 1, low)
    assert contents.place == "no spot"
    assert contents.needs == no_spot_words(answer, low)
    assert contents.needs.startswith("No spot works for Upper bed: the feed is ")


def test_levels_are_dragged_in_the_side_view(working: Desk, qtbot: QtBot) -> None:
    settled(working, qtbot)
    assert working.answers is not None
    chain, site = working.answers.chains[0], working.present
    stand = taken("stand", chain, site)
    assert stand is not None
    assert stand.at(site, 0.25).thing("tank-1", t.Tank).stand_height_m == 0.45
    assert stand.at(site, 9.0).thing("tank-1", t.Tank).stand_height_m == 1.5  # the highest that is taken
    diverter = taken("diverter", chain, site)
    assert diverter is not None
    assert diverter.at(site, -0.2).thing("div", t.Diverter).height_m == pytest.approx(2.0)
    water = taken("water level", chain, site)
    assert water is not None
    assert water.at(site, -0.1).thing("tank-1", t.Tank).water_l < site.thing("tank-1", t.Tank).water_l
    eaves = taken("eaves", chain, site)
    assert eaves is not None
    assert eaves.at(site, 0.1).thing("roof", t.Roof).eaves_height_m == pytest.approx(3.1)
    overflow = taken("overflow", chain, site)
    assert overflow is not None
    assert overflow.at(site, 5.0) is site  # over the tank's rim it cannot be
    assert taken("nothing", chain, site.replace(things=())) is None


def test_the_side_view_on_the_card_follows_the_hand(qtbot: QtBot, qapp: object, working: Desk) -> None:
    from PySide6.QtWidgets import QWidget

    from gardenwater.desktop.card.side_picture import SidePicture
    from gardenwater.desktop.look import Look

    settled(working, qtbot)
    holder = QWidget()
    qtbot.addWidget(holder)
    picture = SidePicture(working, Look(qapp), holder)  # type: ignore[arg-type]
    picture.resize(310, 168)
    working.select(("tank-1",))
    settled(working, qtbot)
    picture.show_tank(working.present.thing("tank-1", t.Tank))
    holder.show()
    grip = next(
        grip
        for y in range(168)
        if (grip := picture._grip_at(QPointF(300.0, float(y)))) is not None and grip.name == "inlet"
    )
    start = QPointF(300.0, grip.row_y).toPoint()
    QTest.mousePress(picture, Qt.MouseButton.LeftButton, pos=start)
    end = QPointF(300.0, grip.row_y + 0.2 * grip.px_per_m).toPoint()
    QTest.mouseMove(picture, end)
    assert working.live
    QTest.mouseRelease(picture, Qt.MouseButton.LeftButton, pos=end)
    assert not working.live
    assert working.present.thing("tank-1", t.Tank).inlet_height_m == pytest.approx(1.12, abs=0.02)
    assert working.history.undo_label == "Inlet of Old tank"


def test_a_selected_tank_shows_its_own_map_until_all_tanks_are_asked_for(working: Desk, qtbot: QtBot) -> None:
    other = t.Tank(id="tank-2", name="New tank", shape=Point(6, 12))
    working.edit("Put a tank", lambda site: edits.put(site, other))
    working.select(("tank-1",))
    settled(working, qtbot)
    reach = working.answers.reach  # type: ignore[union-attr]
    assert reach is not None
    assert working.pictures.of_reach is reach.tank("tank-1")
    working.show_map_of(MapOf.ALL)
    settled(working, qtbot)
    assert working.focus == ""
    assert working.selection == ("tank-1",)
    assert working.pictures.of_reach is working.answers.reach.best  # type: ignore[union-attr]
    working.show_map_of(MapOf.TANK)
    settled(working, qtbot)
    assert working.pictures.of_reach.tank == "tank-1"


def test_the_choice_of_whose_map_is_there_for_a_tank_among_several(
    working: Desk, qtbot: QtBot, qapp: QApplication
) -> None:
    card = Card(working, Look(qapp))
    qtbot.addWidget(card)
    working.select(("tank-1",))
    card.refresh()
    assert card._whose.isHidden()  # one tank: its map is the best of all
    working.edit("Put a tank", lambda site: edits.put(site, t.Tank(id="tank-2", shape=Point(6, 12))))
    card.refresh()
    assert not card._whose.isHidden()
    card._whose._choice.chosen.emit(1)
    assert working.map_of is MapOf.ALL
    card.refresh()
    assert card._whose._choice.picked == 1
    working.select(())
    card.refresh()
    assert card._whose.isHidden()
