"""Findings of Overflow: water led over small grounds, each trouble where it is drawn and not where it is not."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

from gardenwater.assess import Answers, Workbench
from gardenwater.findings import Finding, Question
from gardenwater.ground import Ground
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import EdgeRule, EventKind, Site

MakeSite = Callable[..., Site]

BENCH = Workbench()

# a roof of 100 m2 on the way, whose one pipe runs out at (20, 24): 24 mm on tiles, 90 % through the filter and 10 % not
ROOF = t.Roof(id="roof-1", name="Roof", shape=box(10, 24, 20, 34), form=t.RoofForm.FLAT, eaves_height_m=2.5)
PIPE = t.Downpipe(id="downpipe-1", name="Pipe", shape=Point(20, 24), roof="roof-1")
ON_PIPE_L = 100 * 24 * 0.8


def valley(*, fall: float = 0.05, hollow_m: float = 0.0, hollow_at: tuple[float, float] = (20.0, 10.0)) -> Ground:
    """40 x 40 m that fall to the south, with a round hollow 3 m across at the foot."""
    x, y = np.meshgrid(np.arange(160) * 0.25 + 0.125, 40 - np.arange(160) * 0.25 - 0.125)
    levels = 100 + fall * (y - 40) + 0.002 * np.abs(x - 20)  # a shallow channel down the middle
    away = np.hypot(x - hollow_at[0], y - hollow_at[1])
    levels -= hollow_m * np.clip(1 - away / 3.0, 0.0, 1.0)
    return Ground(levels, Affine(0.25, 0, 0, 0, -0.25, 40))


@pytest.fixture
def wet(make_site: MakeSite) -> Callable[..., Site]:
    """The roof and its pipe on clay above a valley, with more things."""

    def make(*more: t.Thing, ground: Ground | None = None, **settings: Any) -> Site:
        usual = {"soil": "clay", "tanks_full": False, **settings}
        return make_site(ROOF, PIPE, *more, ground=ground or valley(), **usual)

    return make


def answered(site: Site) -> Answers:
    return BENCH.answers(site, question=Question.OVERFLOW)


def found(site: Site, *codes: str) -> list[Finding]:
    """Findings of Overflow with these codes, or all."""
    findings = [each for each in answered(site).findings if each.code.startswith(("overflow.", "levels.overflow"))]
    return [each for each in findings if not codes or each.code in codes]


def case_of(finding: Finding) -> str:
    return dict(finding.words).get("case", "")


def test_what_runs_out_is_what_the_roof_gives(wet: Callable[..., Site]) -> None:
    answers = answered(wet())
    assert answers.overflow is not None
    account = answers.overflow.account
    assert account.spilled_l == pytest.approx(ON_PIPE_L)
    assert account.rain_l == pytest.approx(2400)
    assert account.stays_on_roofs_l == pytest.approx(480)
    assert abs(account.residual_l) < 1e-6 * account.rain_l
    (end,) = answers.overflow.ends
    assert (end.owner, end.source) == ("downpipe-1", 0)
    assert end.volume_l == pytest.approx(ON_PIPE_L)


def test_the_soil_is_named_when_something_spills(wet: Callable[..., Site], make_site: MakeSite) -> None:
    (finding,) = found(wet(), "overflow.soil")
    assert dict(finding.words)["soil"] == "clay"
    assert (finding.number("rain_mm"), finding.number("rain_h")) == (24.0, 6.0)
    assert case_of(found(wet(tanks_full=True), "overflow.soil")[0]) == "tanks-full"
    assert found(make_site(), "overflow.soil") == []


# paths


@pytest.mark.parametrize(("y_m", "count"), [(12.0, 1), (30.0, 0)])
def test_water_over_a_path(wet: Callable[..., Site], y_m: float, count: int) -> None:
    path = t.Path(id="path-1", name="Path", shape=LineString([(0, y_m), (40, y_m)]))
    findings = found(wet(path), "overflow.crosses-path")
    assert len(findings) == count
    for finding in findings:
        assert (finding.subject, finding.others) == ("path-1", ("downpipe-1",))
        assert 0.5 * ON_PIPE_L < finding.number("volume_l") < ON_PIPE_L
        assert dict(finding.words)["what"] == "water"
        assert finding.at is not None
        assert abs(finding.at[1] - y_m) < 1.0


def test_the_same_water_on_a_path_twice_counts_once(wet: Callable[..., Site]) -> None:
    bent = t.Path(id="path-1", shape=LineString([(10, 14), (30, 14), (30, 9), (10, 9)]))
    (finding,) = found(wet(bent), "overflow.crosses-path")
    assert finding.number("volume_l") < ON_PIPE_L


def test_a_pool_on_a_path_is_named_and_the_crossing_is_not(wet: Callable[..., Site]) -> None:
    path = t.Path(id="path-1", name="Path", shape=LineString([(0, 10), (40, 10)]))
    site = wet(path, ground=valley(hollow_m=0.4))
    (finding,) = found(site, "overflow.pool-on-path", "overflow.crosses-path", "overflow.pool-in-hollow")
    assert (finding.code, case_of(finding)) == ("overflow.pool-on-path", "soaks")
    answers = answered(site)
    assert answers.overflow is not None
    pool = max(answers.overflow.spill.pools, key=lambda each: each.volume_m3)
    assert finding.number("volume_l") == pytest.approx(pool.volume_m3 * 1000)
    assert finding.number("depth_m") == pytest.approx(pool.depth_m, rel=0.2)
    assert finding.number("soak_h") == pytest.approx(pool.hours_to_soak)
    assert 1.0 < finding.number("length_m") < 6.0


def test_a_pool_that_stays(wet: Callable[..., Site], monkeypatch: pytest.MonkeyPatch) -> None:
    from gardenwater.assess import spilling

    real = spilling.spill_all
    monkeypatch.setattr(spilling, "spill_all", lambda *given, **named: real(*given, **{**named, "soak_mm_h": 0.0}))
    path = t.Path(id="path-1", shape=LineString([(0, 10), (40, 10)]))
    answers = Workbench().answers(wet(path, ground=valley(hollow_m=0.4)), question=Question.OVERFLOW)
    (finding,) = [each for each in answers.findings if each.code == "overflow.pool-on-path"]
    assert case_of(finding) == "stays"


def test_a_pool_beside_a_path_is_one_in_a_hollow(wet: Callable[..., Site]) -> None:
    path = t.Path(id="path-1", shape=LineString([(0, 2), (40, 2)]))
    (finding,) = found(wet(path, ground=valley(hollow_m=0.4)), "overflow.pool-on-path", "overflow.pool-in-hollow")
    assert finding.code == "overflow.pool-in-hollow"
    assert finding.others == ("downpipe-1",)
    assert math.dist(finding.at or (0, 0), (20, 10)) < 1.0


# buildings


def test_water_that_begins_near_a_building(wet: Callable[..., Site]) -> None:
    house = t.Building(id="building-1", name="House", shape=box(10, 25, 19, 33))
    findings = found(wet(house), "overflow.near-building", "overflow.towards-building")
    assert [each.code for each in findings] == ["overflow.near-building"]
    assert findings[0].subject == "building-1"
    assert findings[0].number("volume_l") == pytest.approx(ON_PIPE_L)
    assert findings[0].number("distance_m") == pytest.approx(2**0.5, abs=0.01)


@pytest.mark.parametrize(
    ("x_m", "codes"),
    [
        (20.5, ["overflow.towards-building"]),
        (22.5, ["overflow.towards-building"]),
        (23.8, []),
    ],
)
def test_water_that_runs_towards_a_building(wet: Callable[..., Site], x_m: float, codes: list[str]) -> None:
    shed = t.Building(id="building-1", name="Shed", shape=box(x_m, 8, x_m + 6, 14))
    findings = found(wet(shed), "overflow.near-building", "overflow.towards-building")
    assert [each.code for each in findings] == codes
    for finding in findings:
        assert case_of(finding) == "runs"
        assert (finding.subject, finding.others) == ("downpipe-1", ("building-1",))
        assert finding.number("distance_m") == pytest.approx(x_m - 20, abs=0.4)


def test_water_that_stands_by_a_building(wet: Callable[..., Site]) -> None:
    shed = t.Building(id="building-1", name="Shed", shape=box(23.5, 7, 28, 13))
    findings = found(wet(shed, ground=valley(hollow_m=0.4)), "overflow.towards-building", "overflow.near-building")
    (finding,) = findings  # the pool is named, and not once more the water that runs into it
    assert (case_of(finding), finding.subject, finding.others) == ("stands", "building-1", ("downpipe-1",))
    assert 0 < finding.number("distance_m") < 3.0


@pytest.mark.parametrize(("sill_m", "count"), [(0.0, 1), (0.3, 0)])
def test_a_pool_over_the_sill_of_a_door(wet: Callable[..., Site], sill_m: float, count: int) -> None:
    door = t.Door(id="door-1", name="Cellar window", shape=Point(20.6, 10.0), sill_height_m=sill_m)
    findings = found(wet(door, ground=valley(hollow_m=0.4)), "overflow.over-sill")
    assert len(findings) == count
    for finding in findings:
        assert finding.number("gap_m") == pytest.approx(finding.number("pool_level_m") - finding.number("sill_level_m"))
        assert finding.subject == "door-1"


def test_a_door_that_need_not_stay_dry(wet: Callable[..., Site]) -> None:
    door = t.Door(id="door-1", shape=Point(20.6, 10.0), sill_height_m=0.0, keep_dry=False)
    assert found(wet(door, ground=valley(hollow_m=0.4)), "overflow.over-sill") == []


# keep-dry ground, the boundary, the edge


@pytest.mark.parametrize(("x_m", "count"), [(18.0, 1), (30.0, 0)])
@pytest.mark.parametrize("reason", ["", "neighbour's lawn"])
def test_water_onto_keep_dry_ground(wet: Callable[..., Site], x_m: float, count: int, reason: str) -> None:
    ground = t.KeepDry(id="keep_dry-1", name="Lawn", shape=box(x_m, 10, x_m + 4, 14), reason=reason)
    findings = found(wet(ground), "overflow.on-keep-dry")
    assert len(findings) == count
    for finding in findings:
        assert case_of(finding) == ("reason" if reason else "")
        assert dict(finding.words).get("reason", "") == reason
        assert 0.5 * ON_PIPE_L < finding.number("volume_l") <= ON_PIPE_L


def test_a_pool_on_keep_dry_ground(wet: Callable[..., Site]) -> None:
    ground = t.KeepDry(id="keep_dry-1", shape=box(20.5, 9, 22, 11))
    (finding,) = found(wet(ground, ground=valley(hollow_m=0.4)), "overflow.on-keep-dry")
    assert finding.number("volume_l") > 100


def test_water_over_the_boundary(wet: Callable[..., Site]) -> None:
    boundary = t.Boundary(id="boundary-1", shape=box(2, 6, 38, 38))
    site = wet(boundary)
    (finding,) = found(site, "overflow.leaves-site")
    assert case_of(finding) == "boundary"
    assert dict(finding.words)["where"] == "south"
    assert finding.at is not None
    assert finding.at[1] == pytest.approx(6.0, abs=0.3)
    answers = answered(site)
    assert answers.overflow is not None
    assert answers.overflow.account.over_boundary_l == pytest.approx(finding.number("volume_l"))
    assert answers.overflow.account.off_site_l < finding.number("volume_l")  # some soaks between there and the edge


def test_water_off_the_ground(wet: Callable[..., Site]) -> None:
    site = wet()
    (finding,) = found(site, "overflow.leaves-site")
    assert (case_of(finding), dict(finding.words)["where"]) == ("ground", "south")
    answers = answered(site)
    assert answers.overflow is not None
    assert finding.number("volume_l") == pytest.approx(answers.overflow.account.off_site_l)
    assert answers.overflow.account.over_boundary_l == 0.0
    assert found(wet(edge=EdgeRule.WALL), "overflow.leaves-site") == []


def test_a_pipe_on_ground_without_a_level_counts_as_off_the_site(wet: Callable[..., Site]) -> None:
    levels = np.array(valley().level_m)
    levels[60:68, 76:84] = np.nan  # round the pipe's foot
    site = wet(ground=Ground(levels, valley().transform))
    answers = answered(site)
    assert answers.overflow is not None
    assert answers.overflow.sources == ()
    assert [source.owner for source in answers.overflow.lost] == ["downpipe-1"]
    assert answers.overflow.account.off_site_l == pytest.approx(ON_PIPE_L)
    assert abs(answers.overflow.account.residual_l) < 1e-6
    (finding,) = found(site, "overflow.leaves-site")
    assert finding.number("volume_l") == pytest.approx(ON_PIPE_L)
    assert ("ground.thing-off", "downpipe-1") in {(each.code, each.subject) for each in answers.findings}


# pipes and takers


def led_to_tank(**fields: Any) -> tuple[t.Thing, ...]:
    """A full tank that the whole pipe leads to: all of it spills."""
    tank = t.Tank(id="tank-1", name="Tank", shape=Point(22, 24), water_l=1500.0, **fields)
    diverter = t.Diverter(
        id="diverter-1",
        shape=Point(20.2, 24),
        downpipe="downpipe-1",
        tank="tank-1",
        form=t.DiverterKind.WHOLE_PIPE,
        most_l_min=2000.0,
    )
    return tank, diverter


def test_a_tank_that_overflows_without_a_pipe(wet: Callable[..., Site]) -> None:
    (finding,) = found(wet(*led_to_tank()), "overflow.no-pipe")
    assert finding.subject == "tank-1"
    assert finding.number("volume_l") == pytest.approx(ON_PIPE_L * 0.9)  # filtered water runs out below
    pipe = t.Overflow(id="overflow-1", shape=LineString([(22, 24), (24, 22)]), tank="tank-1")
    assert found(wet(*led_to_tank(), pipe), "overflow.no-pipe") == []


def test_water_of_tanks_alone_is_overflow(wet: Callable[..., Site]) -> None:
    path = t.Path(id="path-1", shape=LineString([(0, 10), (40, 10)]))
    site = edits.change(wet(*led_to_tank(), path), "roof-1", filter_share=1.0)
    (finding,) = found(site, "overflow.crosses-path")
    assert finding.others == ("tank-1",)
    assert dict(finding.words)["what"] == "overflow"


@pytest.mark.parametrize(("end", "count"), [((24.0, 16.0), 0), ((24.0, 18.2), 0), ((24.0, 19.0), 1)])
def test_a_pipe_that_misses_its_taker(wet: Callable[..., Site], end: tuple[float, float], count: int) -> None:
    pond = t.Pond(id="pond-1", name="Pond", shape=box(22, 14, 26, 18))
    pipe = t.Overflow(id="overflow-1", name="Pipe", shape=LineString([(22, 24), end]), tank="tank-1", taker="pond-1")
    findings = found(wet(*led_to_tank(), pond, pipe), "overflow.misses-taker")
    assert len(findings) == count
    for finding in findings:
        assert (finding.subject, finding.others) == ("overflow-1", ("pond-1",))
        assert finding.number("distance_m") == pytest.approx(1.0)


def test_a_swale_is_as_wide_as_it_is(wet: Callable[..., Site]) -> None:
    swale = t.Swale(id="swale-1", shape=LineString([(20, 18), (30, 18)]), width_m=2.0)
    pipe = t.Overflow(id="overflow-1", shape=LineString([(22, 24), (24, 19.2)]), tank="tank-1", taker="swale-1")
    assert found(wet(*led_to_tank(), swale, pipe), "overflow.misses-taker") == []


@pytest.mark.parametrize(("room_m", "full"), [(0.05, True), (0.5, False)])
def test_a_taker_that_is_full(wet: Callable[..., Site], room_m: float, full: bool) -> None:
    pond = t.Pond(id="pond-1", name="Pond", shape=box(17, 14, 23, 17), freeboard_m=room_m, depth_m=1.0)
    site = wet(pond)
    findings = found(site, "overflow.taker-full")
    assert [each.subject for each in findings] == (["pond-1"] if full else [])
    answers = answered(site)
    assert answers.overflow is not None
    (taken,) = answers.overflow.spill.taken_m3
    assert answers.overflow.takers == ("pond-1",)
    if full:
        assert taken == pytest.approx(18 * room_m, rel=0.05)
        assert findings[0].number("taken_l") == pytest.approx(taken * 1000)
    else:
        assert taken < 18 * room_m
        assert answers.overflow.ends[0].taker == "pond-1"


def test_a_ditch_is_never_called_full(wet: Callable[..., Site]) -> None:
    ditch = t.Ditch(id="ditch-1", shape=LineString([(10, 15), (30, 14)]))
    assert found(wet(ditch), "overflow.taker-full") == []


def test_all_pools_by_a_building_count_and_not_the_nearest_alone(make_site: MakeSite) -> None:
    x, y = np.meshgrid(np.arange(160) * 0.25 + 0.125, 40 - np.arange(160) * 0.25 - 0.125)
    level = np.full(x.shape, 100.0)
    for east, deep_m in ((12.0, 0.2), (29.0, 0.4)):
        level -= deep_m * np.clip(1 - np.hypot(x - east, y - 20.0) / 3.0, 0.0, 1.0)
    tanks = [t.Tank(id=f"tank-{n}", name=f"Tank {n}", shape=Point(at, 20.0)) for n, at in ((1, 12.0), (2, 29.0))]
    house = t.Building(id="building-1", name="House", shape=box(15.5, 17, 25.0, 23))
    ground = Ground(level, Affine(0.25, 0, 0, 0, -0.25, 40))
    site = make_site(*tanks, house, ground=ground, event=EventKind.LITRES, typed_l=300.0, soil="clay", wet_day_h=1.0)
    pools = answered(site).overflow.spill.pools  # type: ignore[union-attr]
    assert len(pools) == 2
    (finding,) = [each for each in found(site, "overflow.towards-building") if case_of(each) == "stands"]
    assert finding.number("volume_l") == pytest.approx(1000.0 * sum(pool.volume_m3 for pool in pools))
    assert finding.number("depth_m") == pytest.approx(max(pool.depth_m for pool in pools))
    assert finding.number("distance_m") == pytest.approx(min(pool.outline.distance(house.shape) for pool in pools))
    assert set(finding.others) == {"tank-1", "tank-2"}
