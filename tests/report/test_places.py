"""Pictures of places for a tank and of lines from the side: classes, hatches, words, roles; sheets that have them."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

import gardenwater as gw
from gardenwater.assess import Answers, StandAsk, Workbench
from gardenwater.assess.bed_service import services_of
from gardenwater.findings import Question
from gardenwater.reach import WhyNot
from gardenwater.report.drawing import LayerName, Mark, Strokes, Text
from gardenwater.report.look import PlanLook
from gardenwater.report.moved import moved
from gardenwater.report.page_paper import A3_UPRIGHT, A4
from gardenwater.report.page_words import answer_rows
from gardenwater.report.pages import plan_page
from gardenwater.report.palette import Scheme, palette
from gardenwater.report.pictures import pictures_of
from gardenwater.report.plan import plan_layers
from gardenwater.report.spot_view import spot_view
from gardenwater.report.stand_picture import LOW, PARTS, STEEP, stand_hatches, stand_picture
from gardenwater.report.typeface import measure
from gardenwater.report.view import View
from gardenwater.report.way_view import way_view
from gardenwater.report.ways import bed_profile, bed_way, line_profile
from gardenwater.site.names import name_of
from gardenwater.site.things import WateringLine
from gardenwater.tables import sample_site
from gardenwater.units import UnitSystem
from tests.report.made import every_mark, marks_in, unknown_roles


@pytest.fixture(scope="module")
def answers() -> Answers:
    """The sample, asked where a new tank could stand."""
    site = gw.open_site(sample_site("quillet-bank.gpkg"))
    return Workbench().answers(site, question=Question.REACH, stand=StandAsk())


@pytest.fixture(scope="module")
def plain(answers: Answers) -> Answers:
    """The same, not asked."""
    return dataclasses.replace(answers, stand=None)


def words(marks: list[Mark]) -> list[str]:
    return [mark.words for mark in every_mark(marks) if isinstance(mark, Text)]


def test_classes_follow_the_map(answers: Answers) -> None:
    assert answers.stand is not None
    picture, made = stand_picture(answers.stand), answers.stand.map
    times = picture.classes.shape[0] // made.reason.shape[0]
    at_cells = picture.classes[times // 2 :: times, times // 2 :: times]
    stands, classes = made.reason == WhyNot.STANDS, range(1, 5)
    inside = stands & np.isin(at_cells, classes)
    assert inside.sum() > 0.9 * stands.sum()  # edges are smooth: a cell at the rim may be drawn as what is beside it
    deep = inside & (made.stand_m > 1.1)
    assert (at_cells[deep] == 4).mean() > 0.9
    assert (at_cells[inside & (made.stand_m < 1e-6)] == 1).mean() > 0.9
    assert set(np.unique(picture.parts)) <= {0, *PARTS}
    assert (picture.parts[~stands] == 0).all()
    assert (at_cells[made.reason == WhyNot.TOO_STEEP] == STEEP).mean() > 0.8
    assert (at_cells[made.reason == WhyNot.FEED_LOW] == LOW).mean() > 0.8


def test_the_plan_has_wash_hatches_spots_and_their_words(answers: Answers) -> None:
    site, units = answers.site, answers.site.settings.units
    view = View.of((0, 0, 78, 58), 1060, 790)
    pictures = pictures_of(answers, Question.REACH)
    assert pictures.stand is not None
    look = PlanLook(spot=2, units=units)
    plan = plan_layers(site, answers, view, question=Question.REACH, look=look, pictures=pictures)
    assert not unknown_roles(marks_in(plan))
    said = words(list(plan.layer(LayerName.LABELS).marks))
    assert {f"Spot {rank}" for rank in range(1, 6)} <= set(said)
    assert "feed too low" in said
    pipes = {name_of(site, point.key) for point in answers.stand.map.feeds}  # type: ignore[union-attr]
    along = {each.split(" of feeder from ")[1] for each in said if " of feeder from " in each}
    assert along
    assert along <= pipes
    assert {each.removeprefix("fed from ") for each in said if each.startswith("fed from ")} <= pipes
    strokes = [mark for mark in stand_hatches(pictures.stand, view) if isinstance(mark, Strokes)]
    assert len(strokes) == 2
    level = strokes[1].ends
    assert np.allclose(level[:, 0, 1], level[:, 1, 1])
    assert pictures_of(answers, Question.REACH, before=pictures).stand is pictures.stand
    assert pictures_of(answers, Question.OVERFLOW).stand is None


@pytest.mark.parametrize("units", list(UnitSystem))
def test_two_spots_stand_side_by_side(answers: Answers, units: UnitSystem) -> None:
    assert answers.stand is not None
    shown = answers.stand.proposals[1:3]
    marks = spot_view(
        answers.stand, shown, width_px=310, height_px=158, units=units, name_of=lambda thing: thing, measure=measure
    )
    said = words(marks)
    assert [each for each in said if each.startswith("Spot")] == ["Spot 2", "Spot 3"]
    assert said.count("needed level") == 2
    assert "no stand" in said
    assert spot_view(answers.stand, [], width_px=310, height_px=158, units=units, name_of=str, measure=measure) == []
    roles = palette(Scheme.LIGHT).roles
    assert all(mark.role in roles for mark in every_mark(marks) if isinstance(mark, Text))


def test_the_way_to_a_bed_is_that_of_the_map(plain: Answers) -> None:
    assert plain.reach is not None
    herbs = next(bed for bed in plain.reach.beds if name_of(plain.site, bed.bed) == "Herbs")
    way, found = bed_way(plain, herbs.bed), bed_profile(plain, herbs.bed)
    assert way is not None
    assert found is not None
    assert found.length_m == pytest.approx(way.length)
    assert found.spare_head_m == pytest.approx(herbs.spare_head_m, abs=2e-3)
    marks = way_view(found, width_px=310, height_px=150, units=UnitSystem.METRIC, measure=measure, end_name="Herbs")
    said = words(marks)
    assert any(each.startswith("air at ") for each in said) == bool(found.highs)
    assert any(each.startswith("drain at ") for each in said) == bool(found.lows)
    for mark in every_mark(marks):
        if isinstance(mark, Text) and mark.words.startswith(("air", "drain")):
            half = measure(mark.words, mark.style)[0] / 2
            assert half <= mark.x <= 310 - half
    out = next(bed.bed for bed in plain.reach.beds if not bed.reached)
    assert bed_profile(plain, out) is None
    assert bed_way(plain, "nobody") is None
    drawn = plain.site.of(WateringLine)[0]
    line = line_profile(plain, drawn)
    assert line is not None
    assert line.length_m == pytest.approx(drawn.shape.length)


def test_a_sheet_of_one_tank_has_its_levels_where_the_plan_stays_as_large(answers: Answers, plain: Answers) -> None:
    assert plain.reach is not None
    tank = plain.reach.tanks[0].tank

    def said(paper: object, given: Answers, focus: str) -> list[str]:
        page = plan_page(given.site, given, question=Question.REACH, paper=paper, focus_tank=focus)  # type: ignore[arg-type]
        return words(list(page.layer(LayerName.PAGE).marks))

    assert "water level" in said(A3_UPRIGHT, plain, tank)
    assert "water level" not in said(A3_UPRIGHT, plain, "")
    assert "water level" not in said(A4, plain, tank)  # it would be 1 : 1000 in place of 1 : 400
    places = said(A4, answers, "")
    assert "Where a tank could stand" in places
    assert "The best spots" in places


def test_a_moved_drawing_is_the_same_elsewhere(answers: Answers) -> None:
    assert answers.stand is not None
    marks = spot_view(
        answers.stand, answers.stand.proposals[:2], width_px=310, height_px=158, units=UnitSystem.METRIC,
        name_of=str, measure=measure,
    )  # fmt: skip
    there = moved(marks, 10.0, 20.0)
    assert words(there) == words(marks)
    for one, other in zip(every_mark(marks), every_mark(there), strict=True):
        if isinstance(one, Text):
            assert isinstance(other, Text)
            assert (other.x - one.x, other.y - one.y) == pytest.approx((10.0, 20.0))


def test_each_downpipe_has_its_ground_and_its_limit_on_the_plan(answers: Answers) -> None:
    assert answers.stand is not None
    made = answers.stand.map
    picture = stand_picture(answers.stand).feeders
    for zone in picture.zones:  # in the widest stretch of its ground a pipe feeds
        assert made.at(zone.x, zone.y).feed == zone.pipe
    assert len({zone.pipe for zone in picture.zones}) >= 2
    assert len(picture.parted) >= 1
    view = View.of((0, 0, 78, 58), 1060, 790)
    for curve in picture.parted.in_sight(view):  # on both sides of what parts them another pipe feeds
        x, y = curve.points[len(curve.points) // 2]
        metres = [view.to_map(x + dx, y + dy) for dx, dy in ((9, 0), (-9, 0), (0, 9), (0, -9))]
        assert len({made.at(*spot).feed for spot in metres} - {""}) >= 2
    limit_m = made.limits.most_feeder_m
    for part in picture.limits:  # at the limit the feeder is as long as it may be, to a cell or so
        x, y = part.points[len(part.points) // 2]
        near = [feed for dx in (-0.5, 0, 0.5) for dy in (-0.5, 0, 0.5) for feed in made.feeds_at(x + dx, y + dy)]
        own = [feed.feeder_m for feed in near if feed.key == part.pipe]
        assert max(own) == pytest.approx(limit_m - made.tank.half_width_m, abs=1.0)


def test_a_sheet_of_all_tanks_tells_who_reaches_a_bed_or_how_far_cans_are_carried(plain: Answers) -> None:
    title, rows = answer_rows(plain.site, plain, Question.REACH, UnitSystem.METRIC, "")
    said = {name: told.replace("\u00a0", " ") for name, told in rows}
    assert title == "A can at each bed, and tanks that reach it"
    for row in services_of(plain):
        told = said[name_of(plain.site, row.bed)]
        if row.reached_by:
            count = len(row.reached_by)
            assert told.endswith(f", {count} tank" if count == 1 else f", {count} tanks")
        else:
            assert told.endswith(f"carry {row.carry_m:.1f} m")
    assert sum(told.endswith("tanks") for told in said.values()) >= 5
    # the sample's seven beds stand in two columns on A4: no row is left out
    page = plan_page(plain.site, plain, question=Question.REACH, paper=A4)
    assert set(said.values()) <= {each.replace("\u00a0", " ") for each in words(list(page.layer(LayerName.PAGE).marks))}
