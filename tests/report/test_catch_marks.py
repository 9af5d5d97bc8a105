from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, box

from gardenwater.assess.answers import Answers, CatchAnswer
from gardenwater.catch import capacities, parts, spills, wiring, year_yields, yields
from gardenwater.findings import Question
from gardenwater.report.catch_marks import flows_of, part_labels, part_signs
from gardenwater.report.drawing import Group, LayerName, Shape, Strokes, Text
from gardenwater.report.look import PlanLook
from gardenwater.report.plan import plan_layers
from gardenwater.report.signs.context import Drafting
from gardenwater.report.view import View
from gardenwater.site import things as t
from gardenwater.site.model import Settings, Site
from tests.report.made import every_mark, ground_answer, slope

VIEW = View(20, 20, 0.03, 1264, 860)


def site(*, rain_mm: float | None = 650.0) -> Site:
    """A gable roof: its north side led to a tank, its south side caught by nobody."""
    things = (
        t.Roof(id="roof", name="House", shape=box(14, 16, 26, 24), form=t.RoofForm.GABLE),
        t.Gutter(id="north", shape=LineString([(26, 24), (14, 24)]), roof="roof", downpipe="led"),
        t.Gutter(id="south", shape=LineString([(14, 16), (26, 16)]), roof="roof", downpipe="lost"),
        t.Downpipe(id="led", name="North pipe", shape=Point(14, 24), roof="roof"),
        t.Downpipe(id="lost", name="South pipe", shape=Point(26, 16), roof="roof"),
        t.Diverter(id="diverter", shape=Point(13.6, 24), downpipe="led", tank="tank"),
        t.Tank(id="tank", name="Tank", shape=Point(12, 24)),
    )
    return Site(settings=Settings(rain_year_mm=rain_mm), things=things)


def answers(of: Site) -> Answers:
    wires = wiring(of)
    shared = parts(of, wires=wires)
    ground = slope()
    wet = yields(of, 24.0, wires=wires, roof_parts=shared)
    catch = CatchAnswer(
        wires=wires,
        parts=shared,
        year=year_yields(of, wires=wires, roof_parts=shared),
        wet_day=wet,
        spills=spills(of, 24.0, 6.0, ground=ground, wires=wires, roof_parts=shared),
        capacities=capacities(of, wires=wires, roof_parts=shared),
        uncaught=tuple(pipe for pipe, each in wet.pipes.items() if each.led_l == 0),
    )
    return Answers(site=of, coarse=False, ground=ground_answer(ground), catch=catch)


def test_each_part_has_lines_down_its_fall_in_its_own_ground() -> None:
    of = site()
    on = Drafting(view=VIEW, site=of, question=Question.CATCH)
    found = part_signs(answers(of).catch, on, (VIEW.sheet.outline(),))
    grounds = [mark.fill.role for _, mark in found if isinstance(mark, Shape) and mark.fill is not None]
    assert sorted(grounds) == ["roof_fill", "warn_wash"]
    hatches = [mark for _, mark in found if isinstance(mark, Group)]
    assert len(hatches) == 2
    spacings = set()
    for group in hatches:
        (strokes,) = group.marks
        assert isinstance(strokes, Strokes)
        steps = strokes.ends[:, 1] - strokes.ends[:, 0]
        assert np.abs(steps[:, 0]) == pytest.approx(0, abs=1e-6)  # the ridge runs west to east: falls run up and down
        spacings.add(round(float(np.diff(np.sort(strokes.ends[:, 0, 0]))[0]), 2))
    assert len(spacings) == 2  # RULES.md: 4.5, 6 or 7.5 px, so that neighbours differ


def test_gutters_carry_what_their_part_yields() -> None:
    of = site()
    flows = flows_of(answers(of), Question.CATCH)
    assert flows["north"].caught
    assert not flows["south"].caught
    assert flows["north"].start_l == 0.0
    assert flows["north"].end_l == pytest.approx(flows["south"].end_l)
    assert flows["diverter"].end_l > 0
    assert dict(flows_of(answers(of), Question.REACH)) == {}
    assert dict(flows_of(answers(site(rain_mm=None)), Question.CATCH)) == {}


def test_parts_bear_litres_and_area_inside() -> None:
    of = site()
    on = Drafting(view=VIEW, site=of, question=Question.CATCH)
    labels = part_labels(answers(of), on, PlanLook())
    assert len(labels) == 2
    assert all(label.inside_only and label.owner == "roof" for label in labels)
    assert labels[0].lines[-1].words == "48.0\u00a0m²"
    (unknown, _) = part_labels(answers(site(rain_mm=None)), on, PlanLook())
    assert len(unknown.lines) == 1  # no litres where the year's rain is not known


def test_the_plan_says_what_is_caught_by_nobody() -> None:
    of = site()
    drawing = plan_layers(of, answers(of), VIEW, question=Question.CATCH, look=PlanLook())
    words = [mark.words for mark in every_mark(drawing.layer(LayerName.LABELS).marks) if isinstance(mark, Text)]
    assert "South pipe, caught by nobody" in words
    assert any(each.endswith("a year lost") for each in words)
    lost = next(placed for placed in drawing.words.placed if placed.label.key == "lost")
    assert lost.label.rank == 1
    roof = shapely.Polygon(VIEW.all_to_px(np.array(of.thing("roof", t.Roof).shape.exterior.coords)))
    inside = [placed for placed in drawing.words.placed if placed.label.key.startswith("part")]
    assert len(inside) == 2
    assert all(roof.contains(shapely.box(each.box.x, each.box.y, each.box.right, each.box.bottom)) for each in inside)
