"""Findings of ground underfoot, on grounds that gather water where it is known, and where they just do not arise."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

from gardenwater.assess import Workbench
from gardenwater.findings import Finding, Question
from gardenwater.ground import Ground
from gardenwater.site import things as t
from gardenwater.site.model import Site

MakeSite = Callable[..., Site]


def gutter() -> Ground:
    """A long valley of 1 in 400 between even slopes of 1 in 10: its bottom is at x 20 m, 40 x 60 m."""
    row, col = np.mgrid[0:120, 0:80].astype(float)
    levels = 100.0 + 0.1 * abs(0.5 * col - 19.75) - 0.5 * row / 400
    return Ground(levels, Affine(0.5, 0.0, 0.0, 0.0, -0.5, 60.0))


def found(make_site: MakeSite, *things: t.Thing) -> dict[str, Finding]:
    """Findings by code, with a small roof at the upper edge so that Overflow is asked at all."""
    roof = t.Roof(id="roof-1", shape=box(1, 57, 2, 58))
    site = make_site(roof, *things, ground=gutter())
    findings = Workbench().answers(site, question=Question.OVERFLOW).findings
    return {each.code: each for each in findings}


def test_a_path_in_the_bottom_of_a_valley_is_soft_and_one_on_its_side_is_not(make_site: MakeSite) -> None:
    along = t.Path(id="path-1", shape=LineString([(20, 4), (20, 30)]))
    finding = found(make_site, along)["overflow.soft-path"]
    assert finding.subject == "path-1"
    assert 5.0 < finding.number("length_m") <= 26.0
    assert finding.at is not None
    assert abs(finding.at[0] - 20.0) <= 1.0
    beside = t.Path(id="path-1", shape=LineString([(30, 4), (30, 30)]))
    assert "overflow.soft-path" not in found(make_site, beside)


def test_a_house_by_the_valley_has_soft_ground_beside_it_and_one_further_off_has_not(make_site: MakeSite) -> None:
    near = t.Building(id="building-1", shape=box(22, 8, 28, 16))
    finding = found(make_site, near)["overflow.soft-by-building"]
    assert finding.subject == "building-1"
    assert finding.number("distance_m") == pytest.approx(2.0, abs=0.8)
    far = t.Building(id="building-1", shape=box(24.6, 8, 30, 16))
    assert "overflow.soft-by-building" not in found(make_site, far)


def test_several_buildings_with_soft_ground_are_one_finding(make_site: MakeSite) -> None:
    houses = [
        t.Building(id=f"building-{number}", shape=box(22, y, 28, y + 6)) for number, y in ((1, 4), (2, 18), (3, 40))
    ]
    far = t.Building(id="building-4", shape=box(32, 20, 36, 26))
    finding = found(make_site, *houses, far)["overflow.soft-by-building"]
    assert finding.number("count") >= 2
    assert finding.number("count") <= 3
    alone = {house.id: found(make_site, house)["overflow.soft-by-building"] for house in houses[:2]}
    assert finding.subject in {house.id for house in houses}
    assert finding.number("area_m2") >= max(each.number("area_m2") for each in alone.values()) - 1.0


def test_a_tap_at_a_wall_drips_there_and_one_a_metre_off_does_not(make_site: MakeSite) -> None:
    house = t.Building(id="building-1", name="House", shape=box(30, 40, 36, 46))
    tank = t.Tank(id="tank-1", shape=Point(28, 43))
    at_wall = t.Tap(id="tap-1", shape=Point(29.5, 43), tank="tank-1")
    finding = found(make_site, house, tank, at_wall)["overflow.tap-by-wall"]
    assert (finding.subject, finding.others) == ("tap-1", ("building-1",))
    assert finding.number("distance_m") == pytest.approx(0.5)
    off = t.Tap(id="tap-1", shape=Point(28.9, 43), tank="tank-1")
    assert "overflow.tap-by-wall" not in found(make_site, house, tank, off)
