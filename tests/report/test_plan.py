from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from shapely import Point
from shapely.affinity import translate

from gardenwater.assess.answers import Answers, Status
from gardenwater.findings import Finding, Question, Severity
from gardenwater.report.drawing import Group, Layer, LayerName, Picture, Shape, Text
from gardenwater.report.look import PlanLook
from gardenwater.report.pictures import pictures_of
from gardenwater.report.plan import HALF_STRENGTH, plan_layers
from gardenwater.report.plan_drawing import PlanDrawing
from gardenwater.report.text import bed_words, level_words, pool_words
from gardenwater.report.view import View
from gardenwater.site import things as t
from gardenwater.site.model import Site
from gardenwater.units import UnitSystem
from tests.report.made import (
    ANSWERED,
    bed_reach,
    every_mark,
    garden,
    ground_answer,
    marks_in,
    points_in,
    reach_answers,
    slope,
    unknown_roles,
)

VIEW = View(30, 20, 0.055, 1264, 860)
LOOK = PlanLook()


def plan(
    site: Site | None = None,
    answers: Answers | None = None,
    *,
    question: Question = Question.REACH,
    view: View = VIEW,
    look: PlanLook = LOOK,
    before: PlanDrawing | None = None,
) -> PlanDrawing:
    site = site or garden()
    return plan_layers(site, answers, view, question=question, look=look, before=before)


def words(layer: Layer) -> list[str]:
    return [mark.words for mark in every_mark(layer.marks) if isinstance(mark, Text)]


@pytest.mark.parametrize("question", Question)
def test_each_question_draws_in_known_roles(question: Question) -> None:
    site = garden()
    drawing = plan(site, reach_answers(site), question=question)
    names = [layer.name for layer in drawing]
    assert names == [name for name in LayerName if name in names]
    assert set(LayerName) - set(names) == {LayerName.BEDS, LayerName.STORES, LayerName.PAGE}, "of a day, and of paper"
    assert unknown_roles(marks_in(drawing)) == set()
    assert all(np.isfinite(points_in(mark)).all() for mark in marks_in(drawing))


def test_an_empty_sheet_is_drawn_before_there_is_any_answer() -> None:
    drawing = plan(Site(), None)
    assert drawing.layer(LayerName.FRAME).marks
    assert not drawing.layer(LayerName.WASH).marks
    assert plan(garden(), None).layer(LayerName.BUILT).marks


def test_the_frame_alone_may_draw_in_the_margins() -> None:
    drawing = plan(garden(), reach_answers(garden()))
    assert [layer.name for layer in drawing if layer.clip is None] == [LayerName.FRAME]
    assert all(layer.clip == VIEW.sheet for layer in drawing if layer.name is not LayerName.FRAME)


def test_the_reach_is_drawn_in_reach_only() -> None:
    site = garden()
    answers = reach_answers(site)
    assert any(isinstance(mark, Picture) for mark in plan(site, answers).layer(LayerName.WASH).marks)
    assert plan(site, answers).layer(LayerName.LIMITS).marks
    assert not plan(site, answers, question=Question.CATCH).layer(LayerName.LIMITS).marks


def test_a_coarse_answer_is_washed_at_half_strength() -> None:
    site = garden()
    drawing = plan(site, reach_answers(site, coarse=True))
    pictures = [mark for mark in drawing.layer(LayerName.WASH).marks if isinstance(mark, Picture)]
    assert [mark.strength for mark in pictures] == [HALF_STRENGTH]


def test_layers_that_are_made_of_the_same_are_the_same() -> None:
    site = garden()
    answers = reach_answers(site)
    pictures = pictures_of(answers, Question.REACH)
    first = plan_layers(site, answers, VIEW, question=Question.REACH, look=LOOK, pictures=pictures)
    second = plan_layers(site, answers, VIEW, question=Question.REACH, look=LOOK, pictures=pictures, before=first)
    changed = [layer.name for layer, old in zip(second, first, strict=True) if layer is not old]
    assert changed == [LayerName.OVERLAY]
    assert second.words is first.words


def test_dragging_a_tank_leaves_all_layers_but_the_answers_as_they_are() -> None:
    site = garden()
    answers = reach_answers(site)
    pictures = pictures_of(answers, Question.REACH)
    look = replace(LOOK, selection=("tank",), dragged=frozenset({"tank"}), settled=False)
    rest = plan_layers(
        site, answers, VIEW, question=Question.REACH, look=replace(LOOK, selection=("tank",)), pictures=pictures
    )
    first = plan_layers(site, answers, VIEW, question=Question.REACH, look=look, pictures=pictures, before=rest)
    tank = site.thing("tank", t.Tank)
    moved = site.replace(
        things=tuple(replace(tank, shape=translate(tank.shape, 0.4, 0.2)) if each is tank else each for each in site)
    )
    other = pictures_of(reach_answers(moved), Question.REACH, before=pictures)
    second = plan_layers(moved, answers, VIEW, question=Question.REACH, look=look, pictures=other, before=first)
    changed = {layer.name for layer, old in zip(second, first, strict=True) if layer is not old}
    assert changed == {LayerName.WASH, LayerName.HATCHES, LayerName.LIMITS, LayerName.OVERLAY, LayerName.LABELS}
    signs = [mark for mark in every_mark(second.layer(LayerName.OVERLAY).marks) if isinstance(mark, Shape)]
    at = VIEW.to_px(tank.shape.x + 0.4, tank.shape.y + 0.2)
    assert any(np.hypot(*(mark.path[0].points.mean(axis=0) - at)) < 1 for mark in signs)


def test_what_hangs_on_a_dragged_thing_is_lifted_with_it() -> None:
    site = garden()
    look = replace(LOOK, dragged=frozenset({"tank"}), settled=False)
    view = replace(VIEW, metres_per_px=0.04)
    resting, lifted = plan(site, None, view=view), plan(site, None, view=view, look=look)
    less = len(resting.layer(LayerName.THINGS_ABOVE).marks) - len(lifted.layer(LayerName.THINGS_ABOVE).marks)
    assert less >= 10  # the tank, its tap, its link and its feeder
    assert len(lifted.layer(LayerName.OVERLAY).marks) >= less


def test_panning_carries_the_labels_along() -> None:
    site = garden()
    answers = reach_answers(site)
    first = plan(site, answers)
    moved = plan(site, answers, view=VIEW.moved(17, -9), look=replace(LOOK, settled=False), before=first)
    old = {placed.label.key: placed for placed in first.words.placed}
    assert moved.words.placed
    for placed in moved.words.placed:
        before = old[placed.label.key]
        assert (placed.box.x - before.box.x, placed.box.y - before.box.y) == pytest.approx((17, -9))
    assert {each.line.words for each in moved.words.along} == {each.line.words for each in first.words.along}


def test_labels_keep_clear_of_key_scale_and_north() -> None:
    site = garden()
    drawing = plan(site, reach_answers(site))
    assert len(drawing.sheets) == 3
    boxes = [placed.box for placed in drawing.words.placed] + [each.box for each in drawing.words.along]
    assert boxes
    assert not any(box.meets(sheet) for box in boxes for sheet in drawing.sheets)


def test_a_narrow_plan_has_no_key() -> None:
    site = garden()
    narrow = replace(VIEW, width_px=840)
    assert len(plan(site, reach_answers(site), view=narrow).sheets) == 2  # LOOK 2: it goes under 900 px of plan width
    assert plan(site, reach_answers(site), look=replace(LOOK, sheets=False)).sheets == ()


def test_the_key_slides_away_from_what_is_selected() -> None:
    site = garden()
    answers = reach_answers(site)
    home = plan(site, answers).sheets[2]
    x, y = VIEW.to_map(home.x + 40, home.y + 30)
    tank = site.thing("tank", t.Tank)
    there = site.replace(things=tuple(replace(tank, shape=Point(x, y)) if each is tank else each for each in site))
    moved = plan(there, answers, look=replace(LOOK, selection=("tank",))).sheets[2]
    assert not moved.holds(home.x + 40, home.y + 30)


def test_each_bed_says_what_the_question_asks() -> None:
    site = garden()
    assert "2\u00a0min\u00a030\u00a0s a can" in words(plan(site, reach_answers(site)).layer(LayerName.LABELS))
    assert words(plan(site, reach_answers(site), question=Question.GROUND).layer(LayerName.LABELS)).count("Beans") == 1


@pytest.mark.parametrize(
    ("status", "figures", "said"),
    [
        (Status.SURE, {}, "2 min 30 s a can"),
        (Status.MARGINAL, {}, "marginal"),
        (Status.SLOW, {"minutes_per_can": 12.0}, "slow, 12 min a can"),
        (Status.OUT, {"too_high_m": 0.36}, "0.36 m too high"),
        (Status.OUT, {"too_high_m": np.nan}, "too high"),
    ],
)
def test_words_for_a_bed(status: Status, figures: dict[str, float], said: str) -> None:
    assert bed_words(bed_reach(status, **figures), UnitSystem.METRIC).replace("\u00a0", " ") == said


def test_words_for_a_bed_in_feet() -> None:
    assert (
        bed_words(bed_reach(Status.OUT, too_high_m=0.3048), UnitSystem.US).replace("\u00a0", " ") == "1.00 ft too high"
    )


@pytest.mark.parametrize(
    ("level", "step", "units", "said"),
    [
        (99.0, 1.0, UnitSystem.METRIC, "99 m"),
        (99.5, 0.5, UnitSystem.METRIC, "99.5 m"),
        (-2.25, 0.25, UnitSystem.METRIC, "\u22122.25 m"),
        (30.48, 3.048, UnitSystem.US, "100 ft"),
    ],
)
def test_a_level_is_shown_no_finer_than_its_step(level: float, step: float, units: UnitSystem, said: str) -> None:
    assert level_words(level, step, units) == said.replace(" ", "\u00a0")


def test_what_is_small_bears_no_name_at_a_small_scale() -> None:
    site = garden()
    near, far, farther = (
        words(plan(site, reach_answers(site), view=replace(VIEW, metres_per_px=step)).layer(LayerName.LABELS))
        for step in (0.055, 0.2, 0.4)
    )
    assert "Soakaway" in near
    assert "Soakaway" not in far  # LOOK 5.1: under 12 px a metre no rank 4 for things under 40 px
    assert any("a can" in each for each in near)
    assert not any("a can" in each for each in farther)  # under 8 no answer lines but ranks 0 and 1


def test_a_hidden_name_shows_when_its_thing_is_pointed_at() -> None:
    site = garden()
    assert "South pipe" not in words(plan(site, None).layer(LayerName.LABELS))
    assert "South pipe" in words(plan(site, None, look=replace(LOOK, hover="downpipe")).layer(LayerName.LABELS))


def test_pegs_are_drawn_in_ground_and_from_near() -> None:
    site = Site(things=(t.LevelPeg(id="peg", shape=Point(30, 20), level_m=98.2),))

    def drawn(question: Question, step: float) -> int:
        view = replace(VIEW, metres_per_px=step)
        return len(plan(site, None, question=question, view=view).layer(LayerName.THINGS_ABOVE).marks)

    assert drawn(Question.GROUND, 0.055) > 0
    assert drawn(Question.REACH, 0.055) == 0
    assert drawn(Question.REACH, 0.03) > 0


def test_a_single_selected_thing_has_handles_and_several_a_common_box() -> None:
    site = garden()

    def squares(*ids: str) -> int:
        marks = plan(site, None, look=replace(LOOK, selection=ids)).layer(LayerName.OVERLAY).marks
        handles = [
            m for m in every_mark(marks) if isinstance(m, Shape) and m.fill is not None and m.fill.role == "slip"
        ]
        return sum(len(mark.path) for mark in handles)

    assert squares("bed") == 8  # four corners, four half way
    assert squares("tank") == 4
    assert squares("downpipe") == 0  # LOOK 5: no handles on what has no size to change
    assert squares("bed", "soakaway") == 8


def test_others_are_faint_and_nameless_under_a_filter() -> None:
    site = garden()
    drawing = plan(site, reach_answers(site), look=replace(LOOK, only=frozenset({"tank"})))
    faint = [mark for mark in drawing.layer(LayerName.BUILT).marks if isinstance(mark, Group)]
    assert faint
    assert all(mark.strength == 0.3 for mark in faint)  # LOOK 5: others at 30 % strength
    assert "Beans" not in words(drawing.layer(LayerName.LABELS))


def finding(subject: str, severity: Severity, at: tuple[float, float] | None = None) -> Finding:
    return Finding(code="reach.bed-out", severity=severity, question=Question.REACH, subject=subject, at=at, source="x")


def test_a_finding_is_marked_once_at_its_subject_by_the_gravest() -> None:
    site = garden()
    found = (finding("bed", Severity.FAILS), finding("bed", Severity.WATCH), finding("tank", Severity.NOTE))
    drawing = plan(site, reach_answers(site, findings=found))
    (disc,) = drawing.discs
    assert disc.finding is found[0]
    x, y = VIEW.to_px(26, 15)
    assert np.hypot(disc.x - x, disc.y - y) < 16
    assert not any(placed.box.holds(disc.x, disc.y) for placed in drawing.words.placed)


def test_the_selected_finding_is_ringed() -> None:
    site = garden()
    trouble = finding("", Severity.UNSAFE, at=(40.0, 30.0))
    answers = reach_answers(site, findings=(trouble,))
    marks = plan(site, answers, look=replace(LOOK, finding=trouble)).layer(LayerName.OVERLAY).marks
    rings = [m for m in every_mark(marks) if isinstance(m, Shape) and m.pen is not None and m.pen.width_px == 2.2]
    assert [ring.pen.role for ring in rings if ring.pen] == ["unsafe"]
    assert rings[0].path[0].points.mean(axis=0) == pytest.approx(VIEW.to_px(40, 30), abs=0.5)


def test_words_for_a_pool_that_never_goes() -> None:
    class Standing:
        volume_m3, depth_m, hours_to_soak = 0.31, 0.10, np.inf

    first, second = pool_words(Standing(), UnitSystem.METRIC)  # type: ignore[arg-type]
    assert first.replace("\u00a0", " ") == "310 L, 10 cm deep"
    assert second == "does not soak away"


@pytest.mark.parametrize("question", ANSWERED)
def test_two_hundred_things_are_listed(question: Question) -> None:
    things = tuple(
        replace(each, id=f"{each.id}-{number}", shape=translate(each.shape, 3.0 * number, -1.5 * number))
        for number in range(8)
        for each in garden().things
    )
    site = Site(things=things)
    answers = replace(reach_answers(site), ground=ground_answer(slope()))
    started = time.process_time()
    drawing = plan(site, answers, question=question)
    assert len(marks_in(drawing)) > 400
    assert time.process_time() - started < 30  # not a measure of speed: only that nothing runs away
