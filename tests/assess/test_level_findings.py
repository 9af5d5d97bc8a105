"""The chain of levels, on flat ground at 100 m: each break appears with its gap, and not a hair before."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from shapely import LineString, Point, box

from gardenwater.assess.chain import chains_of
from gardenwater.assess.findings.levels import level_findings
from gardenwater.catch import wiring
from gardenwater.findings import Finding
from gardenwater.ground import Ground
from gardenwater.site import things as t
from gardenwater.site.model import Site

MakeSite = Callable[..., Site]

ROOF = t.Roof(id="roof-1", name="House", shape=box(10, 10, 20, 18), eaves_height_m=2.5)
PIPE = t.Downpipe(id="downpipe-1", name="North pipe", shape=Point(20, 18), roof="roof-1")


def diverter(height_m: float = 1.6) -> t.Diverter:
    return t.Diverter(
        id="diverter-1", name="Diverter", shape=Point(20.2, 18), downpipe="downpipe-1", tank="tank-1", height_m=height_m
    )


def tank(thing_id: str = "tank-1", **fields: float) -> t.Tank:
    """A tank on a stand of 0.2 m: outlet 100.28, overflow 101.46, inlet 101.52 on ground at 100 m."""
    return t.Tank(id=thing_id, name="Tank", shape=Point(22, 18), **{"water_l": 750.0, **fields})  # type: ignore[arg-type]


def found(site: Site) -> list[Finding]:
    assert site.ground is not None
    ground: Ground = site.ground.payload
    wires = wiring(site)
    return list(level_findings(site, ground, chains_of(site, ground, wires), wires))


def test_a_chain_in_order_has_no_finding(make_site: MakeSite) -> None:
    assert found(make_site(ROOF, PIPE, diverter(), tank())) == []


def test_levels_of_the_chain(make_site: MakeSite) -> None:
    site = make_site(ROOF, PIPE, diverter(), tank())
    assert site.ground is not None
    (chain,) = chains_of(site, site.ground.payload, wiring(site))
    assert chain.ground_level_m == pytest.approx(100.0)
    assert chain.floor_level_m == pytest.approx(100.2)
    assert chain.outlet_level_m == pytest.approx(100.28)
    assert chain.water_level_m == pytest.approx(100.2 + 1.26 * 0.5)  # 750 of 1,500 L in an upright tank
    assert chain.overflow_level_m == pytest.approx(101.46)
    assert chain.inlet_level_m == pytest.approx(101.52)
    (feed,) = chain.feeds
    assert (feed.roof, feed.downpipe, feed.diverter) == ("roof-1", "downpipe-1", "diverter-1")
    assert feed.eaves_level_m == pytest.approx(102.5)
    assert feed.diverter_level_m == pytest.approx(101.6)
    assert feed.fall_m == pytest.approx(0.08)
    assert feed.length_m == pytest.approx(1.8 - 0.6, abs=1e-3)  # to the side of a tank 1.2 m wide


@pytest.mark.parametrize(
    ("height_m", "codes"), [(1.52, ["levels.feeder-falls-little"]), (1.50, ["levels.inlet-above-diverter"])]
)
def test_an_inlet_above_its_diverter(make_site: MakeSite, height_m: float, codes: list[str]) -> None:
    findings = found(make_site(ROOF, PIPE, diverter(height_m), tank()))
    assert [each.code for each in findings] == codes


def test_the_gap_of_an_inlet_is_in_the_finding_with_a_mend_that_can_be_made(make_site: MakeSite) -> None:
    (low,) = found(make_site(ROOF, PIPE, diverter(1.4), tank()))
    assert low.number("gap_m") == pytest.approx(0.12)
    assert (low.subject, low.others, dict(low.words)["case"]) == ("tank-1", ("diverter-1",), "lower-stand")
    (lower,) = found(make_site(ROOF, PIPE, diverter(1.2), tank()))  # 0.32 m, more than the stand is high
    assert dict(lower.words)["case"] == "move-diverter"


def test_a_tank_fills_only_to_a_diverter_below_its_overflow(make_site: MakeSite) -> None:
    drowned = tank(inlet_height_m=1.0)  # a drowned inlet works by itself
    assert found(make_site(ROOF, PIPE, diverter(1.46), drowned)) == []
    (finding,) = found(make_site(ROOF, PIPE, diverter(1.30), drowned))
    assert finding.code == "levels.overflow-above-diverter"
    assert finding.number("gap_m") == pytest.approx(0.16)
    assert finding.number("fills_l") == pytest.approx(1500 * 1.1 / 1.26)


@pytest.mark.parametrize(("height_m", "count"), [(2.5, 0), (2.504, 0), (2.51, 1)])
def test_a_diverter_above_the_eaves(make_site: MakeSite, height_m: float, count: int) -> None:
    findings = found(make_site(ROOF, PIPE, diverter(height_m), tank()))
    assert [each.code for each in findings] == ["levels.diverter-above-eaves"] * count
    for finding in findings:
        assert finding.number("gap_m") == pytest.approx(0.01)
        assert finding.others == ("roof-1",)


@pytest.mark.parametrize(("fall_m", "count"), [(0.020, 0), (0.010, 1)])
def test_a_feeder_falls_one_in_a_hundred(make_site: MakeSite, fall_m: float, count: int) -> None:
    far = t.Tank(id="tank-1", shape=Point(22.3, 18), water_l=750)  # feeder 1.5 m long: needs 15 mm
    findings = found(make_site(ROOF, PIPE, diverter(1.52 + fall_m), far))
    assert [each.code for each in findings] == ["levels.feeder-falls-little"] * count


@pytest.mark.parametrize(("water_l", "count"), [(0.0, 0), (50.0, 1), (200.0, 0)])
def test_water_below_the_outlet(make_site: MakeSite, water_l: float, count: int) -> None:
    # the outlet is 0.08 m up: 1,500 L x 0.08 / 1.26 = 95 L stand below it; an empty tank is no finding
    findings = found(make_site(tank(water_l=water_l)))
    assert [each.code for each in findings] == ["levels.water-below-outlet"] * count
    for finding in findings:
        assert finding.number("gap_m") == pytest.approx(0.08 - 1.26 * 50 / 1500)


@pytest.mark.parametrize(
    ("height_m", "codes"),
    [(0.28, []), (0.5, ["levels.tap-high"]), (1.44, ["levels.tap-high"]), (1.5, ["levels.tap-above-water"])],
)
def test_a_tap_against_its_tank(make_site: MakeSite, height_m: float, codes: list[str]) -> None:
    tap = t.Tap(id="tap-1", name="Tap", shape=Point(22, 17), tank="tank-1", height_m=height_m)
    findings = found(make_site(tank(), tap))
    assert [each.code for each in findings] == codes
    if codes == ["levels.tap-high"]:
        assert findings[0].number("needed_l") == pytest.approx(1500 * (height_m - 0.2) / 1.26)


@pytest.mark.parametrize(("height_m", "count"), [(1.0, 0), (1.3, 1)])
def test_a_link_above_the_lower_overflow(make_site: MakeSite, height_m: float, count: int) -> None:
    lower = t.Tank(id="tank-2", name="Lower", shape=Point(26, 18), stand_height_m=0.0)  # overflow 101.26
    link = t.Link(
        id="link-1", shape=LineString([(22, 18), (26, 18)]), tank_a="tank-1", tank_b="tank-2", height_m=height_m
    )
    findings = found(make_site(tank(), lower, link))
    assert [each.code for each in findings] == ["levels.link-dry"] * count
    for finding in findings:
        assert finding.others == ("tank-2",)
        assert finding.number("gap_m") == pytest.approx(0.2 + 1.3 - 1.26)


def test_a_link_with_an_open_end_is_passed_over(make_site: MakeSite) -> None:
    link = t.Link(id="link-1", shape=LineString([(22, 18), (36, 18)]), tank_a="tank-1", height_m=5)
    assert found(make_site(tank(), link)) == []


def test_an_overflow_pipe_that_climbs(make_site: MakeSite) -> None:
    levels = np.full((60, 80), 100.0)
    levels[:, 60:] = 101.6  # a bank from x = 30 m on; the tank's overflow is at 101.46
    ground = Ground(levels, make_site().ground.payload.transform)  # type: ignore[union-attr]
    low = t.Overflow(id="overflow-1", shape=LineString([(22, 18), (26, 18)]), tank="tank-1")
    high = t.Overflow(id="overflow-2", shape=LineString([(22, 18), (34, 18)]), tank="tank-1")
    (finding,) = found(make_site(tank(), low, high, ground=ground))
    assert (finding.code, finding.subject, finding.at) == ("levels.overflow-pipe-climbs", "overflow-2", (34.0, 18.0))
    assert finding.number("gap_m") == pytest.approx(0.14, abs=1e-5)  # levels are float32


def test_ground_without_levels_makes_no_chain_findings(make_site: MakeSite) -> None:
    levels = np.full((60, 80), np.nan)
    ground = Ground(levels, make_site().ground.payload.transform)  # type: ignore[union-attr]
    assert found(make_site(ROOF, PIPE, diverter(0.1), tank(), ground=ground)) == []
