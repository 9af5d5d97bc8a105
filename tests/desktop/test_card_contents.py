"""What the card says of the sample: for each question, for each kind of thing, in both systems of units."""

from __future__ import annotations

import pytest

import gardenwater as gw
from gardenwater import tables
from gardenwater.assess.run import Assessment
from gardenwater.desktop.card.contents import Contents
from gardenwater.desktop.card.of_question import account_table, question_contents
from gardenwater.desktop.card.of_tank import full_weight_kg
from gardenwater.desktop.card.of_things import several_contents, thing_contents
from gardenwater.findings import Question
from gardenwater.site.things import KINDS, Tank
from gardenwater.units import UnitSystem


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
