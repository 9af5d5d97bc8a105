"""Stands, lids, ponds, soakaways and taps: each finding just over its limit, and none just under."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from shapely import LineString, Point, box

from gardenwater.assess.findings.safety import (
    base_pressure_kpa,
    compass_word,
    full_weight_kg,
    safety_findings,
)
from gardenwater.findings import Finding
from gardenwater.ground import Ground
from gardenwater.site import things as t
from gardenwater.site.model import Site

MakeSite = Callable[..., Site]
SlopeOf = Callable[..., Ground]

HOUSE = t.Building(id="building-1", name="House", shape=box(0, 0, 10, 10))


def tank(**fields: Any) -> t.Tank:
    """A small upright tank that nothing is said about: 500 L, 0.9 m wide and high."""
    small = {"width_m": 0.9, "depth_m": 0.9, "capacity_l": 500.0, "water_l": 200.0, "overflow_height_m": 0.82}
    small |= {"inlet_height_m": 0.85, "stand_height_m": 0.2}
    return t.Tank(id="tank-1", name="Tank", shape=Point(20, 15), **{**small, **fields})


def large(**fields: Any) -> t.Tank:
    return tank(
        **{"width_m": 1.6, "depth_m": 1.4, "capacity_l": 2500.0, "empty_kg": 60.0, "overflow_height_m": 1.26, **fields}
    )


def found(site: Site) -> list[Finding]:
    assert site.ground is not None
    return list(safety_findings(site, site.ground.payload))


def codes(site: Site) -> list[str]:
    return [each.code for each in found(site)]


def test_a_small_tank_on_a_low_stand_is_no_finding(make_site: MakeSite) -> None:
    assert codes(make_site(tank())) == []


@pytest.mark.parametrize(("stand_m", "expected"), [(0.6, []), (0.61, ["safety.stand-high"])])
def test_a_stand_over_0_6_m(make_site: MakeSite, stand_m: float, expected: list[str]) -> None:
    assert codes(make_site(tank(stand_height_m=stand_m))) == expected


@pytest.mark.parametrize(
    ("stand_m", "expected"),
    [(0.3, ["safety.tank-heavy"]), (0.31, ["safety.stand-heavy"]), (0.7, ["safety.stand-high"])],
)
def test_a_heavy_tank_is_named_once_by_the_gravest(make_site: MakeSite, stand_m: float, expected: list[str]) -> None:
    assert codes(make_site(large(stand_height_m=stand_m))) == expected


@pytest.mark.parametrize(("capacity_l", "expected"), [(960.0, []), (961.0, ["safety.tank-heavy"])])
def test_heavy_begins_over_a_tonne(make_site: MakeSite, capacity_l: float, expected: list[str]) -> None:
    heavy = tank(width_m=1.3, capacity_l=capacity_l, empty_kg=40.0)
    assert codes(make_site(heavy)) == expected


def test_weight_and_pressure_of_a_full_tank() -> None:
    # FACTS, tank pressure [W02]: 1,060 kg on 1.2 x 1.0 m presses 8.7 kPa
    pallet = tank(form=t.TankForm.BOX, width_m=1.0, length_m=1.2, capacity_l=1000.0, empty_kg=60.0)
    assert full_weight_kg(pallet) == 1060.0
    assert base_pressure_kpa(pallet) == pytest.approx(8.7, abs=0.05)


@pytest.mark.parametrize(("depth_m", "expected"), [(1.58, []), (1.62, ["safety.tank-slender"])])
def test_a_tank_twice_as_high_as_wide(make_site: MakeSite, depth_m: float, expected: list[str]) -> None:
    # 1.6 m of tank on 0.2 m of stand are twice 0.9 m; an outline of 64 corners is narrower by a thousandth
    assert codes(make_site(tank(depth_m=depth_m))) == expected


def test_a_box_is_as_wide_as_its_shorter_side(make_site: MakeSite) -> None:
    narrow = tank(form=t.TankForm.BOX, width_m=0.5, length_m=2.0, bearing_deg=30.0)
    (finding,) = found(make_site(narrow))
    assert finding.code == "safety.tank-slender"
    assert finding.number("width_m") == pytest.approx(0.5)
    assert finding.number("ratio") == pytest.approx(2.2)


@pytest.mark.parametrize(("high_m", "presses"), [(7.0, False), (7.4, True)])
def test_pressure_over_what_clay_is_presumed_to_bear(make_site: MakeSite, high_m: float, presses: bool) -> None:
    # water 7.32 m high presses 71.8 kPa: 9.81 x 7.32; the tank itself weighs nothing here
    column = tank(
        width_m=4.0,
        depth_m=high_m,
        overflow_height_m=high_m,
        inlet_height_m=high_m,
        capacity_l=round(3.14 * 4 * high_m * 1000),
        empty_kg=0.0,
    )
    assert ("safety.base-pressure" in codes(make_site(column))) is presses


@pytest.mark.parametrize(("fall", "expected"), [(0.099, []), (0.101, ["safety.tank-on-slope"])])
def test_ground_steeper_than_one_in_ten(
    make_site: MakeSite, slope_of: SlopeOf, fall: float, expected: list[str]
) -> None:
    findings = found(make_site(tank(), ground=slope_of(fall=fall)))
    assert [each.code for each in findings] == expected
    for finding in findings:
        assert finding.number("one_in") == pytest.approx(1 / fall, rel=1e-3)
        assert finding.number("fall_m") == pytest.approx(fall * 0.9, rel=1e-3)


@pytest.mark.parametrize(("x_m", "expected"), [(21.9, ["safety.tank-near-wall"]), (22.2, [])])
def test_a_heavy_tank_by_a_wall(make_site: MakeSite, x_m: float, expected: list[str]) -> None:
    # the tank's side is at x = 20.8, the wall's face 0.1 m before its middle, and it is 1.2 m high
    wall = t.Wall(id="wall-1", name="Wall", shape=LineString([(x_m, 5), (x_m, 25)]), thickness_m=0.2, height_m=1.2)
    findings = found(make_site(large(), wall))
    assert [each.code for each in findings if each.code != "safety.tank-heavy"] == expected
    for finding in findings[1:]:
        assert finding.number("distance_m") == pytest.approx(x_m - 20.8 - 0.1, abs=2e-3)


def test_a_small_tank_by_a_wall_is_no_finding(make_site: MakeSite) -> None:
    wall = t.Wall(id="wall-1", shape=LineString([(20.6, 5), (20.6, 25)]), height_m=1.2)
    assert codes(make_site(tank(), wall)) == []


@pytest.mark.parametrize(
    ("fields", "opens"),
    [
        ({"lid_opening_m": 0.6, "lid_locks": False, "children_about": True}, True),
        ({"lid_opening_m": 0.1, "lid_locks": False, "children_about": True}, True),
        ({"lid_opening_m": 0.08, "lid_locks": False, "children_about": True}, False),
        ({"lid_opening_m": 0.6, "lid_locks": True, "children_about": True}, False),
        ({"lid_opening_m": 0.6, "lid_locks": False, "children_about": False}, False),
    ],
)
def test_an_open_lid_where_children_are(make_site: MakeSite, fields: dict[str, Any], opens: bool) -> None:
    assert codes(make_site(tank(**fields))) == ["safety.lid-open"] * opens


def test_light_in_a_tank(make_site: MakeSite) -> None:
    assert codes(make_site(tank(opaque=False))) == ["safety.tank-translucent"]


@pytest.mark.parametrize("children", [True, False])
def test_open_water_where_children_are(make_site: MakeSite, children: bool) -> None:
    pond = t.Pond(id="pond-1", shape=box(30, 10, 33, 12), children_about=children)
    assert codes(make_site(pond)) == ["safety.pond-open"] * children


@pytest.mark.parametrize(("x_m", "count"), [(13.1, 1), (14.9, 1), (15.0, 0)])
def test_a_soakaway_within_five_metres_of_a_building(make_site: MakeSite, x_m: float, count: int) -> None:
    soakaway = t.Soakaway(id="soakaway-1", name="Soakaway", shape=box(x_m, 2, x_m + 2, 4))
    findings = found(make_site(HOUSE, soakaway))
    assert [each.code for each in findings] == ["safety.soakaway-near"] * count
    for finding in findings:
        assert finding.number("distance_m") == pytest.approx(x_m - 10)
        assert finding.number("missing_m") == pytest.approx(15 - x_m)
        assert dict(finding.words)["away"] == "east"
        assert finding.others == ("building-1",)


def test_a_soakaway_is_named_once_with_the_nearest_building(make_site: MakeSite) -> None:
    shed = t.Building(id="building-2", name="Shed", shape=box(16, 0, 20, 4))
    soakaway = t.Soakaway(id="soakaway-1", shape=box(12, 2, 15, 4))
    (finding,) = found(make_site(HOUSE, shed, soakaway))
    assert finding.others == ("building-2",)
    assert dict(finding.words)["away"] == "west"


def test_a_soakaway_under_a_building(make_site: MakeSite) -> None:
    (finding,) = found(make_site(HOUSE, t.Soakaway(id="soakaway-1", shape=box(8, 4, 11, 6))))
    assert finding.number("distance_m") == 0.0
    assert dict(finding.words)["away"] == "east"


def test_each_tap_is_marked(make_site: MakeSite) -> None:
    taps = [t.Tap(id=f"tap-{n}", shape=Point(20, 14 + n), tank="") for n in (1, 2)]
    told = [(each.code, each.subject) for each in found(make_site(*taps))]
    assert told == [("safety.tap-not-drinking", "tap-1"), ("safety.tap-not-drinking", "tap-2")]


@pytest.mark.parametrize(
    ("east_m", "north_m", "word"),
    [
        (0, 1, "north"),
        (1, 1, "north-east"),
        (1, 0, "east"),
        (1, -0.3, "east"),
        (-1, -1, "south-west"),
        (-0.1, 1, "north"),
    ],
)
def test_compass_words(east_m: float, north_m: float, word: str) -> None:
    assert compass_word(east_m, north_m) == word
