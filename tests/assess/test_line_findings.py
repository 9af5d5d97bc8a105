"""Findings of lines as they are drawn, on ground with a rise and a dip; and beds that a small change would serve."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

from gardenwater.assess import Workbench
from gardenwater.findings import Finding, Question, Severity, sentence
from gardenwater.ground import Ground
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import Site, UsualLine
from gardenwater.site.names import name_of
from tests.assess.conftest import MakeSite

BENCH = Workbench()


def found(site: Site, *starts: str) -> list[Finding]:
    answers = BENCH.answers(site, question=Question.REACH)
    return [finding for finding in answers.findings if finding.code.startswith(starts)]


def words(site: Site, finding: Finding) -> str:
    return sentence(finding, lambda thing: name_of(site, thing), site.settings.units).whole.replace("\u00a0", " ")


def uneven(rise_m: float = 0.0, dip_m: float = 0.0) -> Ground:
    """Level at 100 m, 40 x 20 m, with a ridge at x = 14 and a trough at x = 24, each 2 m wide."""
    levels = np.full((40, 80), 100.0)
    levels[:, 27:31] += rise_m
    levels[:, 47:51] -= dip_m
    return Ground(levels, Affine(0.5, 0, 0, 0, -0.5, 20))


@pytest.fixture
def laid(make_site: MakeSite) -> Callable[..., Site]:
    """A tank at the west, full to 101.26, and a line of 26 m from it to the east."""

    def make(rise_m: float = 0.0, dip_m: float = 0.0, **line: object) -> Site:
        tank = t.Tank(id="tank-1", name="Tank", shape=Point(4, 10), stand_height_m=0.0, water_l=1500.0)
        drawn = t.WateringLine(
            id="line-1", name="Hose", shape=LineString([(4.0, 10.0), (30.0, 10.0)]), tank="tank-1", **line
        )  # type: ignore[arg-type]
        return make_site(tank, drawn, t.Bed(id="bed-1", shape=box(29, 9, 31, 11)), ground=uneven(rise_m, dip_m))

    return make


def test_a_line_that_lies_even_is_no_finding(laid: Callable[..., Site]) -> None:
    assert found(laid(), "line.") == []
    assert found(laid(rise_m=0.08, dip_m=0.08), "line.") == []


def test_a_high_point_and_a_low_point_say_where(laid: Callable[..., Site]) -> None:
    site = laid(rise_m=0.3, dip_m=0.4)
    high, low = sorted(found(site, "line."), key=lambda each: each.code)
    assert (high.code, low.code) == ("line.high-point", "line.low-point")
    assert high.severity is low.severity is Severity.WATCH
    assert high.number("distance_m") == pytest.approx(10.5, abs=0.3)
    assert high.number("by_m") == pytest.approx(0.3, abs=0.01)
    assert low.number("distance_m") == pytest.approx(20.5, abs=0.3)
    assert low.number("by_m") == pytest.approx(0.4, abs=0.01)
    assert words(site, high).startswith("Hose has a high point 10.5 m along. It stands 0.30 m over its sides.")
    assert "drain-down" in words(site, low)


def test_several_are_counted(make_site: MakeSite) -> None:
    levels = np.array(uneven(0.3).level_m)
    levels[:, 36:40] += 0.5
    tank = t.Tank(id="tank-1", shape=Point(4, 10), water_l=1500.0)
    drawn = t.WateringLine(id="line-1", shape=LineString([(4, 10), (30, 10)]), tank="tank-1")
    ground = Ground(levels, uneven().transform)
    high = next(
        each for each in found(make_site(tank, drawn, ground=ground), "line.") if each.code == "line.high-point"
    )
    assert high.number("count") == 2.0
    assert high.number("by_m") == pytest.approx(0.5, abs=0.01)
    assert dict(high.words)["case"] == "several"


def test_a_rise_over_the_water_stops_it_full_or_only_now(laid: Callable[..., Site]) -> None:
    over = found(laid(rise_m=1.5), "line.over")
    assert [each.code for each in over] == ["line.over-grade"]
    assert over[0].severity is Severity.FAILS
    assert over[0].number("over_m") == pytest.approx(1.5 - 1.26, abs=0.02)
    assert over[0].number("distance_m") == pytest.approx(10.5, abs=1.1)
    site = edits.change(laid(rise_m=0.9), "tank-1", water_l=800.0)  # water at 100.67, ridge at 100.9
    (now,) = found(site, "line.over")
    assert now.code == "line.over-grade-now"
    assert now.number("needed_m") == pytest.approx(100.9, abs=0.03)
    assert found(edits.change(site, "tank-1", water_l=1400.0), "line.over") == []


def test_a_clear_line_grows_algae(laid: Callable[..., Site]) -> None:
    (clear,) = found(laid(opaque=False), "line.")
    assert clear.code == "line.clear"
    assert "Use opaque pipe" in words(laid(), clear)


# the smallest change for a bed


def stepped(step_m: float, x: float = 14.0) -> Ground:
    levels = np.full((40, 80), 100.0)
    levels[:, int(2 * x) :] += step_m
    return Ground(levels, Affine(0.5, 0, 0, 0, -0.5, 20))


BED = t.Bed(id="bed-1", name="Bed", shape=box(24, 8, 28, 12))


def small(**fields: object) -> t.Tank:
    """500 L up to 0.8 m over its floor, on no stand, at x = 10."""
    sizes = {"width_m": 0.9, "depth_m": 0.9, "capacity_l": 500.0, "water_l": 250.0, "overflow_height_m": 0.8}
    sizes |= {"inlet_height_m": 0.85, "stand_height_m": 0.0}
    return t.Tank(id="tank-1", name="Tank", shape=Point(10.25, 10.25), **{**sizes, **fields})  # type: ignore[arg-type]


def test_a_move_that_serves_the_bed_is_told_and_does_what_it_says(make_site: MakeSite) -> None:
    """The step is too high for a safe stand; 4 m to the east the tank stands on it."""
    step = 0.38
    site = make_site(small(), dataclasses.replace(BED, raised_m=0.0), ground=stepped(1.6))
    (out,) = found(site, "reach.bed-out")
    assert dict(out.words) == {"case": "move", "where": "east"}
    assert out.number("moved_m") == pytest.approx(4.0, abs=1.2)
    assert "Move Tank " in words(site, out)
    moved = edits.move(site, "tank-1", out.number("moved_m") + 0.3, 0.0)
    answers = BENCH.answers(edits.change(moved, "tank-1", water_l=275.0), question=Question.REACH)
    assert answers.reach is not None
    assert answers.reach.beds[0].reached
    nearer = edits.move(site, "tank-1", out.number("moved_m") - 1.6, 0.0)
    answers = BENCH.answers(edits.change(nearer, "tank-1", water_l=500.0), question=Question.REACH)
    assert answers.reach is not None
    assert not answers.reach.beds[0].reached
    assert step < 1.6


def test_a_feeder_that_would_climb_bars_the_move(make_site: MakeSite) -> None:
    roof = t.Roof(id="roof-1", shape=box(2, 8, 8, 12), eaves_height_m=2.5)
    pipe = t.Downpipe(id="downpipe-1", shape=Point(8, 10), roof="roof-1")
    low = t.Diverter(id="diverter-1", shape=Point(8.2, 10), downpipe="downpipe-1", tank="tank-1", height_m=1.3)
    site = make_site(small(), BED, roof, pipe, low, ground=stepped(1.6))
    assert all(dict(each.words).get("case") != "move" for each in found(site, "reach.bed-out"))
    high = edits.change(site, "diverter-1", height_m=2.5)  # 102.5; on the step the inlet is at 102.45
    assert all(dict(each.words).get("case") != "move" for each in found(high, "reach.bed-out"))
    higher = edits.change(edits.change(high, "roof-1", eaves_height_m=4.0), "diverter-1", height_m=3.0)
    assert [dict(each.words)["case"] for each in found(higher, "reach.bed-out")] == ["move"]


def test_a_wider_bore_that_does_is_named(make_site: MakeSite) -> None:
    thirsty = UsualLine(bore="hose-13", wanted_l_min=12.0)
    site = make_site(small(stand_height_m=0.5), BED, ground=stepped(0.0))
    site = site.replace(settings=dataclasses.replace(site.settings, line=thirsty))
    (slow,) = found(site, "reach.bed-slow")
    assert dict(slow.words)["case"] == "wider"
    assert dict(slow.words)["bore"] == "hose 3/4 in (19 mm)"
    wider = dataclasses.replace(site.settings, line=dataclasses.replace(thirsty, bore="hose-19"))
    assert found(site.replace(settings=wider), "reach.bed-slow", "reach.bed-out") == []
    between = dataclasses.replace(site.settings, line=dataclasses.replace(thirsty, bore="hose-16"))
    answers = BENCH.answers(site.replace(settings=between), question=Question.REACH)
    assert answers.reach is not None
    half = edits.change(site.replace(settings=between), "tank-1", water_l=275.0)
    assert found(half, "reach.bed-slow", "reach.bed-waits", "reach.bed-out")


def test_cans_are_carried_from_the_nearest_tap_round_walls(make_site: MakeSite) -> None:
    tap = t.Tap(id="tap-1", name="Yard tap", shape=Point(20.25, 14.25), tank="tank-1")
    site = make_site(small(), BED, tap, ground=stepped(3.0))
    (carry,) = found(site, "cans.")
    assert carry.code == "cans.carry"
    assert carry.others == ("tap-1",)
    straight = Point(20.25, 14.25).distance(BED.shape)
    assert straight - 1.0 <= carry.number("distance_m") <= straight + 6.0
    wall = t.Wall(id="wall-1", shape=LineString([(22, 4), (22, 18)]))
    (longer,) = found(edits.put(site, wall), "cans.")
    assert longer.number("distance_m") > carry.number("distance_m") + 1.0
    assert found(make_site(small(), BED, ground=stepped(0.0)), "cans.") == []
