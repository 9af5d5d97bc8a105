"""Findings of Reach on steps of ground: which bed, which tank, and the smallest change that mends it."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

from gardenwater.assess import Workbench
from gardenwater.findings import Finding, Question, Severity
from gardenwater.ground import Ground
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import Site, UsualLine

MakeSite = Callable[..., Site]

BENCH = Workbench()


def stepped(step_m: float) -> Ground:
    """Flat at 100 m up to x = 20, and from there on so much higher; 40 x 20 m."""
    levels = np.full((40, 80), 100.0)
    levels[:, 40:] += step_m
    return Ground(levels, Affine(0.5, 0, 0, 0, -0.5, 20))


def tank(**fields: Any) -> t.Tank:
    """500 L up to 0.8 m over its floor, which is at 100.2; its outlet at 100.28; holds 250 L to 100.6."""
    small = {"width_m": 0.9, "depth_m": 0.9, "capacity_l": 500.0, "water_l": 250.0, "overflow_height_m": 0.8}
    small |= {"inlet_height_m": 0.85, "stand_height_m": 0.2}
    return t.Tank(id="tank-1", name="Tank", shape=Point(10, 10), **{**small, **fields})


BED = t.Bed(id="bed-1", name="Bed", shape=box(24, 8, 28, 12))


def found(site: Site) -> list[Finding]:
    answers = BENCH.answers(site, question=Question.REACH)
    return [finding for finding in answers.findings if finding.code.startswith("reach.")]


def case_of(finding: Finding) -> str:
    return dict(finding.words).get("case", "")


@pytest.fixture
def on_step(make_site: MakeSite) -> Callable[..., Site]:
    """A tank, a bed on a step, and levels without error unless given."""

    def make(step_m: float, *more: t.Thing, the_tank: t.Tank | None = None, error_m: float = 0.0) -> Site:
        settings = {"ground_error_m": error_m, "error_length_m": 0.1}
        return make_site(the_tank or tank(), BED, *more, ground=stepped(step_m), **settings)

    return make


def test_a_bed_that_is_served_by_most_of_the_water_is_no_finding(on_step: Callable[..., Site]) -> None:
    assert found(on_step(0.0)) == []


@pytest.mark.parametrize(("step_m", "codes"), [(0.48, []), (0.56, ["reach.bed-by-level"])])
def test_a_bed_that_less_than_half_the_litres_serve(
    on_step: Callable[..., Site], step_m: float, codes: list[str]
) -> None:
    # half of what the outlet gives stands over 100.28 + (101 - 100.28) / 2 = 100.64; the water stands at 100.8
    findings = found(on_step(step_m + 0.1, the_tank=tank(water_l=375.0)))
    assert [finding.code for finding in findings] == codes
    for finding in findings:
        assert (finding.subject, finding.others) == ("bed-1", ("tank-1",))
        assert finding.number("needed_l") == pytest.approx(500 * 0.46 / 0.8, abs=8)
        assert finding.number("usable_full_l") == pytest.approx(500 - finding.number("needed_l"))


def test_a_bed_that_waits_for_rain(on_step: Callable[..., Site]) -> None:
    (finding,) = found(on_step(0.7))  # water at 100.6, full at 101.0
    assert finding.code == "reach.bed-waits"
    assert finding.number("too_high_m") == pytest.approx(0.1, abs=0.01)
    assert finding.number("needed_l") == pytest.approx(500 * 0.5 / 0.8, abs=8)
    assert finding.number("water_l") == 250.0


@pytest.mark.parametrize(("step_m", "code"), [(0.98, "reach.bed-waits"), (1.0, "reach.bed-out")])
def test_out_begins_where_not_even_a_full_tank_serves(on_step: Callable[..., Site], step_m: float, code: str) -> None:
    assert [finding.code for finding in found(on_step(step_m))] == [code]


def test_the_stand_that_serves_with_half_the_litres(on_step: Callable[..., Site]) -> None:
    (finding,) = found(on_step(1.0))
    assert finding.severity is Severity.FAILS
    assert case_of(finding) == "raise-stand"
    needed = finding.number("needed_level_m")
    assert needed == pytest.approx(101.0, abs=0.02)
    assert finding.number("too_high_m") == pytest.approx(needed - 101.0)
    # half of what the outlet gives stands over 0.44 m above the floor
    assert finding.number("stand_m") == pytest.approx(needed - 0.44 - 100.0, abs=0.0101)


def test_a_raised_stand_does_what_the_finding_says(on_step: Callable[..., Site]) -> None:
    site = on_step(1.0)
    (finding,) = found(site)
    mended = edits.change(site, "tank-1", stand_height_m=finding.number("stand_m"))
    answers = BENCH.answers(mended, question=Question.REACH)
    assert answers.reach is not None
    (row,) = answers.reach.beds
    dead = 500 * 0.08 / 0.8
    assert 0.5 * (500 - dead) <= row.usable_full_l <= 0.53 * (500 - dead)


def test_a_stand_that_needs_a_design(on_step: Callable[..., Site]) -> None:
    (finding,) = found(on_step(1.2))
    assert case_of(finding) == "raise-high"
    assert 0.6 < finding.number("stand_m") < 1.5
    heavy = tank(width_m=1.4, capacity_l=1200.0, water_l=300.0)
    (finding,) = found(on_step(1.0, the_tank=heavy))
    assert finding.number("stand_m") < 0.6
    assert case_of(finding) == "raise-high"  # over a tonne and over 0.3 m


def test_a_stand_that_would_lift_the_inlet_over_its_diverter(on_step: Callable[..., Site]) -> None:
    things = (
        t.Roof(id="roof-1", shape=box(2, 8, 8, 12), eaves_height_m=2.5),
        t.Downpipe(id="downpipe-1", shape=Point(8, 10), roof="roof-1"),
        t.Diverter(id="diverter-1", shape=Point(8.2, 10), downpipe="downpipe-1", tank="tank-1", height_m=1.3),
    )
    (finding,) = found(on_step(1.0, *things))
    assert case_of(finding) == "feed-low"
    inlet = 100 + finding.number("stand_m") + 0.85
    assert finding.number("feed_short_m") == pytest.approx(inlet - 101.3, abs=1e-4)
    higher = [dataclasses.replace(things[2], height_m=2.0)]
    assert case_of(found(edits.put(on_step(1.0, *things), *higher))[0]) == "raise-stand"


def test_a_bed_that_no_stand_reaches(on_step: Callable[..., Site]) -> None:
    (finding,) = found(on_step(3.0))
    assert case_of(finding) == "too-high"
    assert finding.number("too_high_m") == pytest.approx(2.0, abs=0.02)


def test_a_bed_behind_walls(on_step: Callable[..., Site]) -> None:
    ring = LineString([(22, 6), (30, 6), (30, 14), (22, 14), (22, 6)])
    (finding,) = found(on_step(0.0, t.Wall(id="wall-1", shape=ring)))
    assert (finding.code, case_of(finding)) == ("reach.bed-out", "barred")
    gate = LineString([(22, 9), (22, 6), (30, 6), (30, 14), (22, 14), (22, 11)])
    assert found(on_step(0.0, t.Wall(id="wall-1", shape=gate))) == []


def test_a_bed_without_levels(on_step: Callable[..., Site], make_site: MakeSite) -> None:
    levels = np.array(stepped(0.0).level_m)
    levels[:, 44:] = np.nan
    (finding,) = found(make_site(tank(), BED, ground=Ground(levels, stepped(0.0).transform)))
    assert (finding.code, case_of(finding)) == ("reach.bed-out", "no-level")


@pytest.mark.parametrize(
    ("step_m", "error_m", "code", "case"),
    [
        (0.5, 0.02, None, None),
        (0.5, 0.10, "reach.bed-marginal", "within"),
        (0.65, 0.10, "reach.bed-marginal", "short"),
        (0.65, 0.02, "reach.bed-waits", ""),
    ],
)
def test_marginal_is_within_the_error(
    on_step: Callable[..., Site], step_m: float, error_m: float, code: str | None, case: str | None
) -> None:
    # water at 100.6; far off the error is the root of two times that of the ground
    findings = found(on_step(step_m, error_m=error_m))
    findings = [finding for finding in findings if finding.code != "reach.bed-by-level"]
    assert [(finding.code, case_of(finding)) for finding in findings] == ([(code, case)] if code else [])
    for finding in findings:
        if code == "reach.bed-marginal":
            assert finding.number("error_m") == pytest.approx(error_m * 2**0.5, rel=1e-3)
            assert finding.number("margin_m") == pytest.approx(0.6 - step_m, abs=0.01)
            assert finding.number("too_high_m") == pytest.approx(max(step_m - 0.6, 0.0), abs=0.01)


def test_a_bed_that_water_comes_to_slowly(on_step: Callable[..., Site]) -> None:
    site = on_step(0.3)
    thirsty = dataclasses.replace(site.settings, line=UsualLine(bore="hose-13", wanted_l_min=20.0))
    (finding,) = found(site.replace(settings=thirsty))
    assert finding.code == "reach.bed-slow"
    assert finding.number("wanted_l_min") == 20.0
    assert finding.number("distance_m") == pytest.approx(16.0, abs=3.0)


def test_one_finding_for_each_bed_about_the_tank_that_serves_it_best(on_step: Callable[..., Site]) -> None:
    second = dataclasses.replace(tank(stand_height_m=0.3), id="tank-2", name="Higher", shape=Point(10, 14))
    (finding,) = found(on_step(1.15, second))
    assert finding.others == ("tank-2",)
    third = dataclasses.replace(tank(stand_height_m=0.5, water_l=490.0), id="tank-3", shape=Point(10, 6))
    assert [each.code for each in found(on_step(1.15, second, third))] == ["reach.bed-by-level"]


def test_a_dry_tank_serves_nothing_today(on_step: Callable[..., Site]) -> None:
    (finding,) = found(on_step(0.0, the_tank=tank(water_l=0.0)))
    assert finding.code == "reach.bed-waits"
    assert finding.number("too_high_m") == pytest.approx(0.08)  # up to the outlet
    answers = BENCH.answers(on_step(0.0, the_tank=tank(water_l=0.0)), question=Question.REACH)
    assert answers.reach is not None
    assert answers.reach.beds_reached == 0
    assert np.isnan(answers.reach.best.minutes_per_can).all()
    assert (answers.reach.best.tank_index == -1).all()
