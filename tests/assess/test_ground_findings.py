"""Findings of Ground and settings: where levels come from, how good they are, what has none."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from shapely import LineString, Point, box

from gardenwater.assess.findings.ground import ground_findings, settings_findings
from gardenwater.findings import Finding
from gardenwater.ground import Ground, ground_of
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import Contour, GroundKind, Settings, Site, Survey

MakeSite = Callable[..., Site]

PEGS = tuple(
    t.LevelPeg(id=f"level_peg-{n}", shape=Point(x, y), level_m=100 + x / 50)
    for n, (x, y) in enumerate([(0, 0), (40, 0), (40, 30), (0, 30), (20, 15)], 1)
)
CONTOURS = tuple(Contour(LineString([(x, 0), (x, 30)]), 100 + x / 10) for x in (0, 10, 20, 30))


def found(site: Site) -> list[Finding]:
    return list(ground_findings(site, ground_of(site)))


def case_of(finding: Finding) -> str:
    return dict(finding.words).get("case", "")


@pytest.mark.parametrize(
    ("site", "case", "spots"),
    [
        (Site(), "flat", 0),
        (Site(things=PEGS), "pegs", 5),
        (Site(survey=Survey(contours=CONTOURS)), "contours", 4),
        (Site(things=PEGS, survey=Survey(contours=CONTOURS)), "mixed", 5),
        (Site(things=(t.SlopeArrow(id="slope_arrow-1", shape=LineString([(0, 20), (0, 0)])),)), "arrows", 1),
    ],
    ids=["flat", "pegs", "contours", "mixed", "arrows"],
)
def test_where_the_levels_come_from(site: Site, case: str, spots: int) -> None:
    origin = [each for each in found(site) if each.code == "ground.origin"]
    assert [case_of(each) for each in origin] == [case]
    assert origin[0].number("spots") == spots
    assert origin[0].number("error_m") == ground_of(site).level_error_m


def test_what_was_laid_is_said_once(make_site: MakeSite) -> None:
    notices = [dict(each.words)["notice"] for each in found(Site(things=PEGS)) if each.code == "ground.notice"]
    assert len(notices) == len(set(notices)) == len(ground_of(Site(things=PEGS)).notices) - 1
    assert not any("pegs, good to" in notice for notice in notices)
    assert all(not notice.endswith(".") for notice in notices)


def raster(make_site: MakeSite, **changes: Any) -> Site:
    site = make_site()
    assert site.ground is not None
    return site.replace(ground=dataclasses.replace(site.ground, **changes))


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, []),
        ({"kind": GroundKind.SURFACE}, [("ground.surface", "")]),
        ({"kind": GroundKind.UNKNOWN}, [("ground.kind-unknown", "")]),
        ({"notices": ("Thinned.", "Shifted.")}, [("ground.notice", ""), ("ground.notice", "")]),
        ({"shift_m": -0.12}, [("ground.fitted", "")]),
        ({"shift_m": 0.1, "tilt_north": 0.001}, [("ground.fitted", "tilted")]),
    ],
)
def test_what_is_said_of_a_raster(
    make_site: MakeSite, changes: dict[str, Any], expected: list[tuple[str, str]]
) -> None:
    first, *others = found(raster(make_site, **changes))
    assert (first.code, case_of(first)) == ("ground.origin", "raster")
    assert (first.number("cols"), first.number("rows"), first.number("cell_m")) == (80, 60, 0.5)
    assert [(each.code, case_of(each)) for each in others] == expected


def test_things_on_ground_without_a_level(make_site: MakeSite) -> None:
    levels = np.full((60, 80), 100.0)
    levels[:, 40:] = np.nan
    ground = Ground(levels, make_site().ground.payload.transform)  # type: ignore[union-attr]
    things = (
        t.Tank(id="tank-1", shape=Point(10, 10)),
        t.Tank(id="tank-2", shape=Point(30, 10)),
        t.Tap(id="tap-1", shape=Point(31, 10)),
        t.Tree(id="tree-1", shape=Point(32, 10).buffer(1)),
        t.Bed(id="bed-1", shape=box(30, 20, 34, 22)),
    )
    off = [each for each in found(make_site(*things, ground=ground)) if each.code == "ground.thing-off"]
    assert [(each.subject, each.at) for each in off] == [("tank-2", (30.0, 10.0)), ("tap-1", (31.0, 10.0))]
    # without tanks Reach says nothing of beds, so Ground does
    alone = edits.put(make_site(ground=ground), things[-1])
    assert [each.subject for each in found(alone) if each.code == "ground.thing-off"] == ["bed-1"]


@pytest.mark.parametrize(
    ("latitude", "altitude", "cases"),
    [(None, None, ["both"]), (None, 20.0, ["latitude"]), (51.0, None, ["altitude"]), (51.0, 20.0, [])],
)
def test_a_place_that_is_not_given(latitude: float | None, altitude: float | None, cases: list[str]) -> None:
    findings = list(settings_findings(Settings(latitude_deg=latitude, altitude_m=altitude)))
    assert [(each.code, case_of(each)) for each in findings] == [("settings.no-place", case) for case in cases]
