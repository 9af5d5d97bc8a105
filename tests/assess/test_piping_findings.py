"""Findings of feeders and links along their way, on ground whose levels are known; each just not, and just so."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

from gardenwater.assess.chain import chains_of
from gardenwater.assess.findings.piping import piping_findings
from gardenwater.catch import wiring
from gardenwater.findings import Finding, sentence
from gardenwater.ground import Ground
from gardenwater.reach import pipe_profile
from gardenwater.site import things as t
from gardenwater.site.model import Site
from gardenwater.site.names import name_of

MakeSite = Callable[..., Site]


def uneven(rise_m: float = 0.0, dip_m: float = 0.0) -> Ground:
    """Level at 100 m, 40 x 20 m, with a ridge at x = 14 and a trough at x = 24, each 2 m wide."""
    levels = np.full((40, 80), 100.0)
    levels[:, 27:31] += rise_m
    levels[:, 47:51] -= dip_m
    return Ground(levels, Affine(0.5, 0, 0, 0, -0.5, 20))


def found(site: Site) -> list[Finding]:
    assert site.ground is not None
    ground: Ground = site.ground.payload
    wires = wiring(site)
    return list(piping_findings(site, ground, {each.tank: each for each in chains_of(site, ground, wires)}, wires))


def words(site: Site, finding: Finding) -> str:
    return sentence(finding, lambda thing: name_of(site, thing), site.settings.units).whole.replace("\u00a0", " ")


@pytest.fixture
def fed(make_site: MakeSite) -> Callable[..., Site]:
    """A diverter 2.2 m up at x = 4, and a tank without a stand whose side is at x = 29.4: a feeder of 25.4 m."""

    def make(rise_m: float = 0.0, dip_m: float = 0.0, way: t.PipeWay = t.PipeWay.STRAIGHT, at_x: float = 30.0) -> Site:
        return make_site(
            t.Roof(id="roof", name="House", shape=box(0, 6, 4, 14), eaves_height_m=3.0),
            t.Downpipe(id="pipe", name="Pipe", shape=Point(4, 10), roof="roof"),
            t.Diverter(
                id="div",
                name="Diverter",
                shape=Point(4, 10),
                downpipe="pipe",
                tank="tank",
                height_m=2.2,
                feeder_way=way,
                feeder_bore_mm=50.0,
            ),
            t.Tank(id="tank", name="Tank", shape=Point(at_x, 10), stand_height_m=0.0),
            ground=uneven(rise_m, dip_m),
        )

    return make


def test_a_feeder_that_hangs_free_of_the_ground_is_no_finding(fed: Callable[..., Site]) -> None:
    assert found(fed()) == []
    assert found(fed(rise_m=1.0, dip_m=1.0)) == []


def test_a_feeder_on_the_ground_stands_full_up_to_the_inlet(fed: Callable[..., Site]) -> None:
    site = fed(way=t.PipeWay.GROUND)
    (dip,) = found(site)
    inlet_m = site.thing("tank", t.Tank).inlet_height_m
    assert (dip.code, dip.subject, dip.others) == ("levels.feeder-dips", "tank", ("div",))
    assert dip.number("fall_m") == pytest.approx(2.2)
    assert dip.number("by_m") == pytest.approx(inlet_m)  # from the ground up to the inlet
    # the pipe is full over all its length but for the drop at the wall: 25.4 m of 50 mm bore
    assert dip.number("stands_l") == pytest.approx(25.4 * math.pi / 4 * 0.05**2 * 1000, rel=0.05)
    assert dip.at == pytest.approx((4 + dip.number("distance_m"), 10))
    # straight from 102.2 to the inlet, it would hang so high there
    share = dip.number("distance_m") / 25.4
    assert dip.number("mend_m") == pytest.approx(2.2 + share * (inlet_m - 2.2), abs=0.02)
    assert "fit a drain-down" in words(site, dip)


def test_the_deepest_of_several_dips_is_told_with_its_place(fed: Callable[..., Site]) -> None:
    site = fed(rise_m=0.5, dip_m=0.4, way=t.PipeWay.GROUND)
    by_code = {each.code: each for each in found(site)}
    assert set(by_code) == {"levels.feeder-dips", "levels.feeder-high-point"}
    dip, high = by_code["levels.feeder-dips"], by_code["levels.feeder-high-point"]
    assert dip.number("count") == 2
    assert dip.at == pytest.approx((24.5, 10), abs=1.1)  # in the trough
    assert high.at == pytest.approx((14.5, 10), abs=1.1)  # on the ridge
    assert high.number("by_m") == pytest.approx(0.5)  # over the level ground at its sides


def test_a_rise_in_the_way_of_a_straight_feeder_holds_water_before_it(fed: Callable[..., Site]) -> None:
    # evenly from 102.2 to the inlet at 101.32, the feeder is at 101.87 where the ridge begins: 1.95 m stands over it
    site = fed(rise_m=2.05)
    codes = {each.code for each in found(site)}
    assert codes == {"levels.feeder-dips", "levels.feeder-high-point"}
    assert found(fed(rise_m=1.6)) == []


def test_a_rise_over_the_diverter_stops_the_feeder(fed: Callable[..., Site]) -> None:
    site = fed(rise_m=2.4)
    climbs = next(each for each in found(site) if each.code == "levels.feeder-climbs")
    assert climbs.number("over_m") == pytest.approx(0.2, abs=1e-4)  # the ridge at 102.4, the diverter at 102.2
    assert climbs.number("distance_m") == pytest.approx(10.5, abs=1.1)
    assert climbs.number("mend_m") > 0.2  # dug in until it falls all the way
    assert "Dig it in by" in words(site, climbs)
    assert not any(each.code == "levels.feeder-climbs" for each in found(fed(rise_m=2.2)))


def test_a_short_feeder_carries_itself(fed: Callable[..., Site]) -> None:
    assert found(fed(way=t.PipeWay.GROUND, at_x=5.5)) == []


@pytest.fixture
def linked(make_site: MakeSite) -> Callable[..., Site]:
    """Two tanks without stands, 26 m apart, a link between them 0.05 m over their floors."""

    def make(rise_m: float = 0.0, dip_m: float = 0.0, way: t.PipeWay = t.PipeWay.GROUND) -> Site:
        link = t.Link(
            id="link",
            name="Link",
            shape=LineString([(4, 10), (30, 10)]),
            tank_a="one",
            tank_b="two",
            height_m=0.05,
            way=way,
        )
        return make_site(
            t.Tank(id="one", name="One", shape=Point(4, 10), stand_height_m=0.0),
            t.Tank(id="two", name="Two", shape=Point(30, 10), stand_height_m=0.0),
            link,
            ground=uneven(rise_m, dip_m),
        )

    return make


def test_a_link_on_level_ground_is_no_finding(linked: Callable[..., Site]) -> None:
    assert found(linked()) == []
    assert found(linked(rise_m=0.08, dip_m=0.04)) == []  # under 0.10 m over, or under, what stands beside it
    assert found(linked(rise_m=0.5, dip_m=0.5, way=t.PipeWay.STRAIGHT)) == []


def test_a_link_over_a_trough_and_a_ridge_holds_water_and_air(linked: Callable[..., Site]) -> None:
    site = linked(rise_m=0.3, dip_m=0.4)
    high, low = found(site)
    assert (high.code, low.code) == ("line.high-point", "line.low-point")
    assert high.subject == low.subject == "link"
    assert high.number("by_m") == pytest.approx(0.3, abs=1e-4)  # over the level ground at its sides
    assert low.number("by_m") == pytest.approx(0.4 + 0.05, abs=1e-4)  # under the link where it leaves the tanks
    assert "Fit a drain-down" in words(site, low)


def test_a_link_over_the_overflow_passes_nothing(linked: Callable[..., Site]) -> None:
    overflow_m = linked().thing("one", t.Tank).overflow_height_m
    site = linked(rise_m=overflow_m + 0.2)
    climbs = next(each for each in found(site) if each.code == "levels.link-climbs")
    assert climbs.number("over_m") == pytest.approx(0.2, abs=1e-3)
    assert climbs.number("mend_m") == pytest.approx(overflow_m + 0.2 - 0.05, abs=0.011)
    assert [each.code for each in found(linked(rise_m=overflow_m - 0.2))] == ["line.high-point"]


def test_a_pipe_from_the_side_is_full_between_the_points_as_high_as_its_lower_side() -> None:
    way = LineString([(4.0, 10.0), (30.0, 10.0)])
    side = pipe_profile(uneven(dip_m=0.5), way=way, start_level_m=100.5, end_level_m=100.0, on_ground=True)
    (low,) = side.lows
    assert low.by_m == pytest.approx(0.5)
    assert side.holds_m(low) == pytest.approx(2.0, abs=0.6)  # the trough is 2 m wide
    assert side.even_m(0.0) == pytest.approx(100.5)
    assert side.even_m(13.0) == pytest.approx(100.25)
