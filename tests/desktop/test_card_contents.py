"""What the card says of the sample: for each question, for each kind of thing, in both systems of units."""

from __future__ import annotations

import dataclasses

import pytest
from PySide6.QtWidgets import QApplication, QWidget
from shapely import LineString, Point

import gardenwater as gw
from gardenwater import tables
from gardenwater.assess.answers import EndFlow
from gardenwater.assess.run import Assessment
from gardenwater.desktop.card.contents import Contents
from gardenwater.desktop.card.level_hand import gives_words
from gardenwater.desktop.card.of_question import account_table, question_contents
from gardenwater.desktop.card.of_tank import ends_table, full_weight_kg
from gardenwater.desktop.card.of_things import several_contents, thing_contents
from gardenwater.desktop.card.parts import FigureRow, TableList
from gardenwater.desktop.look import Look
from gardenwater.findings import Question
from gardenwater.ground import level_at
from gardenwater.site.things import KINDS, Bed, Tank, WateringLine
from gardenwater.units import UnitSystem, can_time, long_time


@pytest.fixture(scope="module")
def sample() -> Assessment:
    return gw.assess(gw.open_site(tables.sample_site("quillet-bank.gpkg")))


def words_of(contents: Contents) -> str:
    cells = " ".join(" ".join(row.cells) for table in contents.tables for row in table.rows)
    figures = " ".join(f"{figure.value} {figure.caption}" for figure in contents.figures)
    return f"{contents.title} {contents.about} {contents.needs} {figures} {cells}".replace("\u00a0", " ")


@pytest.mark.parametrize("question", list(Question))
def test_each_question_has_a_card_of_its_own(sample: Assessment, question: Question) -> None:
    contents = question_contents(question, sample.site, sample)
    assert contents.title == question.value
    answered = question not in {Question.NEXT_STEP, Question.ROUNDS}
    assert bool(contents.figures) is answered
    assert ("This version does not" in contents.needs) is not answered


def test_every_thing_of_the_sample_has_a_card(sample: Assessment) -> None:
    for thing in sample.site:
        for question in Question:
            contents = thing_contents(thing, sample.site, sample, question)
            assert contents.title
            assert contents.place.startswith(thing.word)
            assert "nan" not in words_of(contents).lower().split()
    assert {thing.kind for thing in sample.site} >= {kind.kind for kind in KINDS} - {
        "link", "pond", "ditch", "bank", "slope_arrow", "rain_garden", "earthwork",
    }  # fmt: skip


def test_a_tank_says_what_it_reaches_and_what_it_weighs(sample: Assessment) -> None:
    assert sample.reach is not None
    tank = sample.site.thing("tank-3", Tank)
    contents = thing_contents(tank, sample.site, sample, Question.REACH)
    found = sample.reach.tank("tank-3")
    assert found is not None
    assert contents.figures[0].value == f"{found.beds_reached} of 7"
    assert contents.about.replace("\u00a0", " ") == "1,500 L, upright, on a 0.20 m stand"
    assert [row.thing for row in contents.tables[0].rows if row.cells[1] == "out"] == [
        bed.bed for bed in sorted(found.beds, key=lambda bed: -bed.margin_m) if bed.status.value == "out"
    ]
    # 1,500 L of water at 999.1 kg/m3 and 45 kg of tank
    assert full_weight_kg(tank) == pytest.approx(1543.65)


def test_the_water_account_on_the_card_adds_up(sample: Assessment) -> None:
    assert sample.overflow is not None
    account = sample.overflow.account
    rows = {row.cells[0].strip(): row for row in account_table(account, UnitSystem.METRIC).rows}
    assert set(rows) >= {"Rain on the roofs", "Spilled", "soaked on the way", "pooled"}
    parts = (
        account.stays_on_roofs_l, account.kept_by_first_flush_l, account.taken_by_tanks_l, account.into_drains_l,
        account.spilled_l,
    )  # fmt: skip
    assert sum(parts) == pytest.approx(account.rain_l, abs=1e-6)
    ends = account.soaked_l + account.takers_l + account.pooled_l + account.off_site_l
    assert ends == pytest.approx(account.spilled_l, abs=1e-6)


def test_feet_and_gallons_stand_where_the_site_has_them(sample: Assessment) -> None:
    site = gw.edits.settings(sample.site, units=UnitSystem.US)
    contents = thing_contents(site.thing("tank-3", Tank), site, sample, Question.REACH)
    assert contents.about.replace("\u00a0", " ") == "396 US gal, upright, on a 0.66 ft stand"


def test_several_things_are_counted_by_kind(sample: Assessment) -> None:
    contents = several_contents(tuple(sample.site.of(Tank)))
    assert contents.title == "4 things"
    assert contents.about == "tank: 4"
    assert contents.icon == "tank"


def test_a_tank_says_what_it_does_as_it_empties_and_with_all_ends_open(sample: Assessment) -> None:
    assert sample.reach is not None
    found = next(tank for tank in sample.reach.tanks if tank.beds_reached)
    contents = thing_contents(sample.site.thing(found.tank, Tank), sample.site, sample, Question.REACH)
    levels = contents.tables[2]
    assert [row.cells[0] for row in levels.rows] == ["full", "half full", "nearly empty"]
    served = [int(row.cells[3].split(" of ")[0]) for row in levels.rows]
    assert served == sorted(served, reverse=True)  # less water never serves more beds
    assert served[0] >= found.beds_reached
    ends = (EndFlow("line-a", (0, 0), 20.0, 14.0), EndFlow("line-b", (1, 0), 9.0, 8.0))
    (table,) = ends_table(ends, sample.site)
    assert [row.cells[-1].replace("\u00a0", " ") for row in table.rows] == ["14.0 L/min", "8.0 L/min", "22.0 L/min"]
    assert ends_table(ends[:1], sample.site) == ()


def test_a_bed_says_how_long_its_water_takes_to_be_drawn(sample: Assessment) -> None:
    assert sample.reach is not None
    best = next(bed for bed in sample.reach.beds if bed.usable_l > 1.0)
    more = dict(thing_contents(sample.site.thing(best.bed, Bed), sample.site, sample, Question.REACH).more)
    assert more["Usable litres drawn in"] == long_time(best.draw_s)
    assert best.draw_s > 60.0 * best.usable_l / 60.0  # slower than a litre a second
    assert best.draw_full_s >= best.draw_s


def test_the_question_tells_of_each_bed_which_tanks_reach_it_and_how_much_of_it(sample: Assessment) -> None:
    assert sample.reach is not None
    beds, tanks = question_contents(Question.REACH, sample.site, sample).tables
    rows = {row.thing: row.cells for row in beds.rows}
    for best in sample.reach.beds:
        reaching = [tank.tank for tank in sample.reach.tanks if tank.bed(best.bed).reached]  # type: ignore[union-attr]
        assert rows[best.bed][2] == f"{len(reaching)} of {len(sample.reach.tanks)}"
        assert rows[best.bed][3].replace("\u00a0", " ") == f"{round(100 * best.share_in_reach)} %"
    carried = {each.subject: each for each in sample.findings if each.code == "cans.carry"}
    assert carried
    for bed, finding in carried.items():
        assert rows[bed][1] == "no tank"
        assert rows[bed][4].replace("\u00a0", " ") == f"carry {finding.number('distance_m'):.1f} m"
    # a tank that is pressed is selected, and its own map shown
    assert [row.thing for row in tanks.rows] == [tank.tank for tank in sample.reach.tanks]


def test_a_tank_tells_of_its_level_what_each_bed_gets_and_how_long_it_runs(sample: Assessment) -> None:
    assert sample.reach is not None
    found = sample.reach.tank("tank-3")
    assert found is not None
    contents = thing_contents(sample.site.thing("tank-3", Tank), sample.site, sample, Question.REACH)
    drawn = {row.thing: row.cells for row in contents.tables[1].rows}
    for bed in found.beds:
        _, usable, cans, lasts = drawn[bed.bed]
        assert (usable == "none") == (bed.usable_l < 0.5)
        assert (cans == "none") == (bed.cans_l < 0.5)
        assert lasts == (long_time(bed.draw_s) if bed.usable_l >= 0.5 else "\u2013")
    assert {cells[3] for cells in drawn.values()} > {"\u2013"}  # some beds are served, some are not


def test_the_hand_says_what_there_is_to_draw_in_litres_and_cans() -> None:
    shape = Point(0, 0)
    tank = Tank(id="t", shape=shape, capacity_l=1000.0, overflow_height_m=1.0, outlet_height_m=0.1, water_l=450.0)
    below = tank.volume_at_m(tank.outlet_height_m)
    words = gives_words(tank, 10.0, UnitSystem.METRIC).replace("\u00a0", " ")
    assert words == f"{round((450 - below) / 10) * 10} L to draw, {round((450 - below) / 10)} cans"
    dry = dataclasses.replace(tank, water_l=below)
    assert gives_words(dry, 10.0, UnitSystem.METRIC) == "its outlet gives nothing"


def test_a_line_says_what_it_gives_and_with_which_pressure(sample: Assessment) -> None:
    assert sample.reach is not None
    line = sample.site.of(WateringLine)[0]
    end = next(end for tank in sample.reach.tanks for end in tank.together if end.line == line.id)
    contents = thing_contents(line, sample.site, sample, Question.REACH)
    assert contents.figures[0].value == can_time(60 * sample.site.settings.can_l / end.alone_l_min)
    assert contents.figures[1].value.replace("\u00a0", " ") == f"{end.alone_l_min:.1f} L/min"
    assert "from Porch tank" in contents.about
    assert contents.tables == ()  # one piece, one end
    more = {name: value.replace("\u00a0", " ") for name, value in contents.more}
    # a metre of water is 9.798 kPa at 15 C
    tank = sample.reach.tank("tank-2")
    assert tank is not None
    ends_m = level_at(sample.ground.ground, *line.shape.coords[-1]) + line.lift_m
    assert more["Pressure at its end, shut"] == f"{9.798 * (tank.water_level_m - ends_m):.1f} kPa"


def test_a_line_of_several_pieces_says_their_lengths(sample: Assessment) -> None:
    line = sample.site.of(WateringLine)[0]
    site = gw.edits.change(sample.site, line.id, pieces="pe-32 10")
    answers = gw.assess(site)
    (pieces,) = thing_contents(site.thing(line.id, WateringLine), site, answers, Question.REACH).tables
    assert [row.cells[1].replace("\u00a0", " ") for row in pieces.rows] == ["10.0 m", f"{line.shape.length - 10:.1f} m"]


def test_a_line_that_leads_from_no_tank_says_how_long_it_is(sample: Assessment) -> None:
    line = dataclasses.replace(
        sample.site.of(WateringLine)[0], id="loose", shape=LineString([(60, 2), (66, 2)]), tank=""
    )
    site = gw.edits.put(sample.site, line)
    contents = thing_contents(line, site, None, Question.REACH)
    assert contents.figures[0].value.replace("\u00a0", " ") == "6.00 m"


def test_columns_give_way_on_a_narrow_card_and_no_word_is_cut(sample: Assessment, qapp: QApplication) -> None:
    holder = QWidget()
    table = TableList(Look(qapp), holder)
    table.show_table(question_contents(Question.REACH, sample.site, sample).tables[0])
    wide, narrow, narrowest = 360, 284, 240
    shown = {}
    for width in (wide, narrow, narrowest):
        table.resize(width, 200)
        columns = table._columns()
        shown[width] = tuple(columns)
        left, room = columns[max(columns)]
        assert left + room <= width + 1e-6
    assert shown[wide] == (0, 1, 2, 3, 4)
    assert shown[narrow] == (0, 1, 3, 4)  # how many tanks goes first
    assert shown[narrowest] == (0, 1, 4)


def test_figures_stand_in_two_lines_where_a_card_is_too_narrow(sample: Assessment, qapp: QApplication) -> None:
    holder = QWidget()
    row = FigureRow(Look(qapp), holder)
    row.resize(320, 46)
    figures = thing_contents(sample.site.thing("tank-3", Tank), sample.site, sample, Question.REACH).figures
    row.show_figures(figures)
    high = row.sizeHint().height()
    assert row._in_lines() == [figures]
    row.resize(240, 46)
    assert row._in_lines() == [figures[:2], figures[2:]]
    assert row.sizeHint().height() == 2 * high
    for line in row._in_lines():  # none is cut
        assert all(room >= row._need(figure) for figure, room in zip(line, row._sizes(line), strict=True))
