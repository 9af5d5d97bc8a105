"""Findings of Catch: whose water is lost, what is too small, what leads nowhere."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import pytest
from shapely import LineString, Point, box

from gardenwater.assess.catching import catch_answer
from gardenwater.assess.findings.catch import catch_findings
from gardenwater.catch import parts, wiring
from gardenwater.findings import Finding
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import Site

MakeSite = Callable[..., Site]

# 80 m2 of tiles: 600 mm a year are 48,000 L, of which 0.8 run and 0.9 pass the filter; a wet day brings 24 mm
ROOF = t.Roof(id="roof-1", name="Roof", shape=box(10, 10, 20, 18))
PIPE = t.Downpipe(id="downpipe-1", name="Pipe", shape=Point(20, 18), roof="roof-1")
TANK = t.Tank(id="tank-1", name="Tank", shape=Point(22, 18), water_l=0.0)
DIVERTER = t.Diverter(id="diverter-1", name="Diverter", shape=Point(20.2, 18), downpipe="downpipe-1", tank="tank-1")
RUNS_A_YEAR_L = 80 * 600 * 0.8 * 0.9
RUNS_A_WET_DAY_L = 80 * 24 * 0.8 * 0.9


def found(site: Site) -> list[Finding]:
    assert site.ground is not None
    wires = wiring(site)
    answer = catch_answer(site, site.ground.payload, wires, parts(site, wires=wires))
    return list(catch_findings(site, answer))


def codes(site: Site) -> list[str]:
    return [each.code for each in found(site)]


def case_of(finding: Finding) -> str:
    return dict(finding.words).get("case", "")


def test_a_pipe_that_leads_to_a_tank_is_no_finding(make_site: MakeSite) -> None:
    assert codes(make_site(ROOF, PIPE, DIVERTER, TANK)) == []


def test_a_pipe_that_nobody_catches(make_site: MakeSite) -> None:
    (finding,) = found(make_site(ROOF, PIPE))
    assert (finding.code, case_of(finding), finding.subject) == ("catch.pipe-uncaught", "year", "downpipe-1")
    assert finding.number("year_l") == pytest.approx(RUNS_A_YEAR_L)
    assert finding.number("wet_day_l") == pytest.approx(RUNS_A_WET_DAY_L)
    assert finding.stake == pytest.approx(RUNS_A_YEAR_L)


def test_without_a_rain_figure_litres_are_those_of_a_wet_day(make_site: MakeSite) -> None:
    uncaught, no_rain = found(make_site(ROOF, PIPE, rain_year_mm=None))
    assert (case_of(uncaught), uncaught.stake) == ("wet-day", pytest.approx(RUNS_A_WET_DAY_L))
    assert (no_rain.code, no_rain.number("rain_mm")) == ("catch.no-rain", 24.0)
    assert codes(make_site(rain_year_mm=None)) == []  # no roof, nothing to count


@pytest.mark.parametrize(("rain", "case"), [({}, "drained-year"), ({"rain_year_mm": None}, "drained-wet-day")])
def test_a_pipe_into_a_drain(make_site: MakeSite, rain: dict[str, Any], case: str) -> None:
    drained = dataclasses.replace(PIPE, drained=True)
    assert case_of(found(make_site(ROOF, drained, **rain))[0]) == case


def test_a_roof_without_a_pipe(make_site: MakeSite) -> None:
    (finding,) = found(make_site(ROOF))
    assert (finding.code, case_of(finding)) == ("catch.roof-without-pipe", "year")
    assert finding.number("year_l") == pytest.approx(80 * 600 * 0.8)  # no filter where it drips
    assert case_of(found(make_site(ROOF, rain_year_mm=None))[0]) == "wet-day"


def test_eaves_without_a_gutter(make_site: MakeSite) -> None:
    along = t.Gutter(id="gutter-1", shape=LineString([(10, 18), (20, 18)]), roof="roof-1", downpipe="downpipe-1")
    site = make_site(ROOF, PIPE, DIVERTER, TANK, along)
    (finding,) = [each for each in found(site) if each.code == "catch.eaves-drip"]
    assert finding.subject == "roof-1"
    assert finding.number("year_l") == pytest.approx(80 * 600 * 0.8 / 2, rel=1e-6)  # half of the gable
    assert case_of(finding) == "year"
    dry = [each for each in found(edits.settings(site, rain_year_mm=None)) if each.code == "catch.eaves-drip"]
    assert case_of(dry[0]) == "wet-day"


@pytest.mark.parametrize(("bore_mm", "count"), [(40.0, 1), (68.0, 0)])
def test_a_pipe_that_is_too_small(make_site: MakeSite, bore_mm: float, count: int) -> None:
    # 80 m2 x (1 + tan 35 / 2) x 0.021 L/s = 2.27 L/s; Wyly and Eaton at a third: 40 mm 0.9 L/s, 68 mm 3.8 L/s
    pipe = dataclasses.replace(PIPE, bore_mm=bore_mm)
    findings = [each for each in found(make_site(ROOF, pipe)) if each.code == "catch.pipe-too-small"]
    assert len(findings) == count
    for finding in findings:
        assert finding.number("sends_l_s") == pytest.approx(2.27, abs=0.01)
        assert finding.number("carries_l_s") == pytest.approx(0.94, abs=0.02)
        assert finding.number("effective_m2") == pytest.approx(108.0, abs=0.1)


@pytest.mark.parametrize(("width_mm", "count"), [(80.0, 1), (150.0, 0)])
def test_a_gutter_that_is_too_small(make_site: MakeSite, width_mm: float, count: int) -> None:
    gutter = t.Gutter(
        id="gutter-1",
        shape=LineString([(10, 18), (20, 18)]),
        roof="roof-1",
        downpipe="downpipe-1",
        width_mm=width_mm,
    )
    findings = [each for each in found(make_site(ROOF, PIPE, gutter)) if each.code == "catch.gutter-too-small"]
    assert [each.subject for each in findings] == ["gutter-1"] * count


FAR = Point(36, 5)
LINE = LineString([(36, 5), (38, 6)])
LOOSE = (
    (t.Downpipe(id="a", shape=FAR), ["downpipe-roof"]),
    (t.Gutter(id="a", shape=LINE), ["gutter-roof", "gutter-downpipe"]),
    (t.Diverter(id="a", shape=FAR), ["diverter-downpipe", "diverter-tank"]),
    (t.FirstFlush(id="a", shape=FAR), ["first-flush-downpipe"]),
    (t.Overflow(id="a", shape=LINE), ["overflow-tank"]),
    (t.WateringLine(id="a", shape=LINE), ["watering-line-tank"]),
    (t.Tap(id="a", shape=FAR), ["tap-tank"]),
    (t.Link(id="a", shape=LINE), ["link-tank-a", "link-tank-b"]),
)


@pytest.mark.parametrize(("thing", "cases"), LOOSE, ids=lambda value: getattr(value, "kind", ""))
def test_a_thing_that_leads_nowhere(make_site: MakeSite, thing: t.Thing, cases: list[str]) -> None:
    findings = [each for each in found(make_site(thing)) if each.code == "catch.unjoined"]
    assert [(case_of(each), each.subject) for each in findings] == [(case, "a") for case in cases]


def test_things_taken_with_what_is_nearest_are_named_together(make_site: MakeSite) -> None:
    pipe, diverter = dataclasses.replace(PIPE, roof=""), dataclasses.replace(DIVERTER, downpipe="", tank="")
    (finding,) = found(make_site(ROOF, pipe, diverter, TANK))
    assert finding.code == "catch.joined-to-nearest"
    assert finding.others == ("downpipe-1", "diverter-1")
    assert finding.number("count") == 2.0


def test_a_tank_that_nothing_feeds(make_site: MakeSite) -> None:
    second = dataclasses.replace(TANK, id="tank-2", shape=Point(30, 18))
    assert [(each.code, each.subject) for each in found(make_site(ROOF, PIPE, DIVERTER, TANK, second))] == [
        ("catch.tank-unfed", "tank-2")
    ]
    link = t.Link(id="link-1", shape=LineString([(22, 18), (30, 18)]), tank_a="tank-1", tank_b="tank-2")
    assert codes(make_site(ROOF, PIPE, DIVERTER, TANK, second, link)) == []


def test_an_outlet_that_is_too_small_is_told_with_its_guard(make_site: Callable[..., Site]) -> None:
    def told(**fields: Any) -> list[Finding]:
        pipe = t.Downpipe(id="downpipe-1", name="Pipe", shape=Point(0, 0), roof="roof-1", **fields)
        eaves = t.Gutter(id="gutter-1", shape=LineString([(10, 0), (0, 0)]), width_mm=112.0, downpipe="downpipe-1")
        roof = t.Roof(id="roof-1", name="House", shape=box(0, 0, 10, 8), form=t.RoofForm.FLAT)
        site = make_site(roof, pipe, eaves)
        assert site.ground is not None
        found = catch_findings(site, catch_answer(site, site.ground.payload, wiring(site), parts(site)))
        return [each for each in found if each.code == "catch.outlet-too-small"]

    # 80 m2 send 1.68 L/s; at 0.47 of 56 mm a weir of 68 mm passes 1.22 L/s, one of 100 mm 1.80
    (small,) = told(outlet_mm=68.0)
    assert small.number("sends_l_s") == pytest.approx(1.68)
    assert small.number("carries_l_s") == pytest.approx(68 * (0.47 * 56) ** 1.5 / 7500)
    assert not told(outlet_mm=100.0)
    (guarded,) = told(outlet_mm=100.0, strainer=True)
    assert dict(guarded.words)["case"] == "strainer"
