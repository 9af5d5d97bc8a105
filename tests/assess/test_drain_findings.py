"""Findings of what carries, holds and ends spilled water: each where it is so, and not where it just is not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from shapely import LineString, Point, box

from gardenwater.assess import Workbench
from gardenwater.findings import Finding, Question
from gardenwater.ground import Ground
from gardenwater.hydraulics import full_pipe_m3_s, weir_m3_s
from gardenwater.site import things as t
from gardenwater.site.model import EventKind, Site

BENCH = Workbench()
MakeSite = Callable[..., Site]

# on a slope of 1 in 20 to the south, 40 x 30 m, 100 m at its northern edge
TANK = t.Tank(id="tank-1", name="Tank", shape=Point(20, 25), water_l=900.0)


@pytest.fixture
def sloping(make_site: MakeSite, slope_of: Callable[..., Ground]) -> MakeSite:
    def make(*things: t.Thing, **settings: Any) -> Site:
        usual = {"soil": "clay", "event": EventKind.LITRES, "typed_l": 3600.0, "wet_day_h": 1.0, **settings}
        return make_site(*things, ground=slope_of(fall=0.05), **usual)

    return make


def found(site: Site, code: str, case: str | None = None) -> list[Finding]:
    findings = [each for each in BENCH.answers(site, question=Question.OVERFLOW).findings if each.code == code]
    return [each for each in findings if case is None or dict(each.words).get("case", "") == case]


def pipe(bore_mm: float = 50.0, **more: Any) -> t.Overflow:
    return t.Overflow(
        id="overflow-1", name="Pipe", shape=LineString([(20, 25), (20, 15)]), tank="tank-1", bore_mm=bore_mm, **more
    )


def test_an_overflow_is_to_be_as_wide_as_the_inlet(sloping: MakeSite) -> None:
    roof = t.Roof(id="roof-1", shape=box(10, 26, 20, 29))
    down = t.Downpipe(id="downpipe-1", shape=Point(20, 26), roof="roof-1", bore_mm=68.0)
    diverter = t.Diverter(
        id="diverter-1", shape=Point(20, 25.8), downpipe="downpipe-1", tank="tank-1", feeder_bore_mm=51.0
    )
    (narrow,) = found(sloping(TANK, pipe(), roof, down, diverter), "overflow.pipe-narrow")
    assert narrow.number("inlet_mm") == pytest.approx(51.0)
    assert not found(sloping(TANK, pipe(51.0), roof, down, diverter), "overflow.pipe-narrow")
    whole = t.Diverter(
        id="diverter-1",
        shape=Point(20, 25.8),
        downpipe="downpipe-1",
        tank="tank-1",
        form=t.DiverterKind.WHOLE_PIPE,
    )
    assert found(sloping(TANK, pipe(67.0), roof, down, whole), "overflow.pipe-narrow")
    assert not found(sloping(TANK, pipe(68.0), roof, down, whole), "overflow.pipe-narrow")


@pytest.mark.parametrize(("eaves_m2", "too_small"), [(80.0, False), (700.0, True)])
def test_an_overflow_pipe_is_held_against_the_design_rain(sloping: MakeSite, eaves_m2: float, too_small: bool) -> None:
    roof = t.Roof(id="roof-1", shape=box(0, 26, eaves_m2 / 3, 29), form=t.RoofForm.FLAT)
    down = t.Downpipe(id="downpipe-1", shape=Point(20, 26), roof="roof-1", bore_mm=100.0)
    diverter = t.Diverter(
        id="diverter-1", shape=Point(20, 25.8), downpipe="downpipe-1", tank="tank-1", form=t.DiverterKind.WHOLE_PIPE
    )
    told = found(sloping(TANK, pipe(), roof, down, diverter), "overflow.pipe-too-small")
    assert bool(told) is too_small
    if told:
        # from the tank's overflow down to the ground 10 m further down the slope
        fall_m = TANK.stand_height_m + TANK.overflow_height_m + 0.5
        assert told[0].number("fall_m") == pytest.approx(fall_m, abs=1e-3)
        carries = 1000 * full_pipe_m3_s(bore_mm=50.0, fall=told[0].number("fall_m") / 10.0)
        assert told[0].number("carries_l_s") == pytest.approx(carries)
        assert told[0].number("sends_l_s") == pytest.approx(eaves_m2 * 0.021)


def test_what_does_not_go_through_a_pipe_runs_out_at_the_tank(sloping: MakeSite) -> None:
    site = sloping(TANK, pipe(20.0), typed_l=36_000.0)
    overflow = BENCH.answers(site, question=Question.OVERFLOW).overflow
    assert overflow is not None
    through, beside = overflow.sources
    assert (through.at, beside.at) == ((20.0, 15.0), (20.0, 25.0))
    fall_m = TANK.stand_height_m + TANK.overflow_height_m + 0.5
    assert through.volume_m3 == pytest.approx(3600 * full_pipe_m3_s(bore_mm=20.0, fall=fall_m / 10), rel=1e-3)
    assert through.volume_m3 + beside.volume_m3 == pytest.approx(36.0)
    assert abs(overflow.account.residual_l) < 1e-6


def test_a_ditch_that_is_too_small_and_one_that_washes_out(sloping: MakeSite) -> None:
    def ditch(width_m: float, depth_m: float) -> t.Ditch:
        line = LineString([(20, 14), (20, 2)])
        return t.Ditch(id="ditch-1", name="Ditch", shape=line, width_m=width_m, depth_m=depth_m)

    def site(one: t.Ditch, litres: float) -> Site:
        return sloping(TANK, pipe(300.0), one, typed_l=litres)

    assert found(site(ditch(0.1, 0.05), 36_000.0), "overflow.ditch-too-small")
    assert not found(site(ditch(1.2, 0.3), 36_000.0), "overflow.ditch-too-small")
    # 250 L/s on a fall of 1 in 20 in a bed 0.3 m wide
    assert found(site(ditch(1.2, 0.3), 900_000.0), "overflow.washes-out")
    assert not found(site(ditch(1.2, 0.3), 3600.0), "overflow.washes-out")


def test_a_swale_off_the_contour(sloping: MakeSite) -> None:
    on, off = LineString([(10, 12), (30, 12)]), LineString([(20, 14), (20, 4)])
    assert not found(sloping(TANK, t.Swale(id="swale-1", shape=on)), "overflow.swale-off-contour")
    (told,) = found(sloping(TANK, t.Swale(id="swale-1", shape=off)), "overflow.swale-off-contour")
    assert told.at == pytest.approx((20.0, 4.0))
    assert told.number("fall_m") == pytest.approx(0.5, abs=1e-3)
    assert told.number("whole_l") == pytest.approx(2 / 3 * 0.9 * 0.2 * 10 * 1000)


def test_a_soakaway_is_to_be_half_empty_in_a_day(sloping: MakeSite) -> None:
    def pit(**fields: Any) -> t.Soakaway:
        return t.Soakaway(id="soakaway-1", shape=box(20, 5, 22, 6), depth_m=1.0, void_share=0.95, **fields)

    # 1.9 m3, sides 6 m x 1 m to half their depth: half empty after 0.95 / (3 f)
    assert not found(sloping(TANK, pit(soak_mm_h=13.5)), "overflow.soakaway-slow")
    (slow,) = found(sloping(TANK, pit(soak_mm_h=12.5)), "overflow.soakaway-slow", "slow")
    assert slow.number("half_h") == pytest.approx(0.95 / (3 * 0.0125))
    assert found(sloping(TANK, pit(soak_mm_h=3.5)), "overflow.soakaway-slow", "tight")
    assert not found(sloping(TANK, pit(soak_mm_h=3.7)), "overflow.soakaway-slow", "tight")


def test_a_spillway_is_held_against_what_runs_over_it(sloping: MakeSite) -> None:
    def pond(width_m: float | None) -> t.Pond:
        return t.Pond(
            id="pond-1", shape=box(15, 10, 25, 14), freeboard_m=0.0, spillway_width_m=width_m, spillway_depth_m=0.05
        )

    def told(width_m: float | None) -> list[Finding]:
        return found(sloping(TANK, pipe(300.0), pond(width_m), typed_l=18_000.0), "overflow.spillway-small")

    assert not told(None)
    enough_m = 0.005 / weir_m3_s(width_m=1.0, head_m=0.05)
    assert told(0.98 * enough_m)
    assert not told(1.02 * enough_m)


def test_a_full_pond_says_when_it_has_room_again(sloping: MakeSite) -> None:
    lined = t.Pond(id="pond-1", shape=box(18, 12, 22, 14), freeboard_m=0.1, evaporates_mm_day=4.0)
    (full,) = found(sloping(TANK, pipe(300.0), lined), "overflow.taker-full", "pond")
    assert full.number("room_days") == 25
    dry = t.Pond(id="pond-1", shape=box(18, 12, 22, 14), freeboard_m=0.1, evaporates_mm_day=0.0)
    assert found(sloping(TANK, pipe(300.0), dry), "overflow.taker-full", "")


def test_a_chain_of_takers_is_followed_to_its_end(sloping: MakeSite) -> None:
    pond = t.Pond(id="pond-1", shape=box(18, 12, 22, 15), freeboard_m=0.05)
    onward = t.Overflow(
        id="overflow-2", shape=LineString([(18, 12), (5, 8)]), from_taker="pond-1", taker="rain_garden-1"
    )
    garden = t.RainGarden(id="rain_garden-1", shape=box(2, 6, 8, 9))
    site = sloping(TANK, pipe(300.0), pond, onward, garden)
    overflow = BENCH.answers(site, question=Question.OVERFLOW).overflow
    assert overflow is not None
    taken = dict(zip(overflow.takers, overflow.spill.taken_m3, strict=True))
    assert taken["pond-1"] == pytest.approx(12 * 0.05, rel=0.01)
    assert taken["rain_garden-1"] == pytest.approx(3.6 - taken["pond-1"], rel=1e-6)
    assert not found(site, "overflow.no-end")


def test_pipes_that_lead_round_have_no_end(sloping: MakeSite) -> None:
    ponds = [t.Pond(id=f"pond-{n}", shape=box(10 * n, 10, 10 * n + 4, 14), freeboard_m=0.01) for n in (1, 2)]
    there = t.Overflow(id="overflow-2", shape=LineString([(14, 12), (22, 12)]), from_taker="pond-1", taker="pond-2")
    back = t.Overflow(id="overflow-3", shape=LineString([(20, 12), (12, 12)]), from_taker="pond-2", taker="pond-1")
    into = t.Overflow(id="overflow-1", shape=LineString([(20, 25), (12, 12)]), tank="tank-1", bore_mm=200.0)
    site = sloping(TANK, into, *ponds, there, back)
    assert {each.subject for each in found(site, "overflow.no-end", "pipe")} == {"overflow-2", "overflow-3"}
    ends = sloping(TANK, into, *ponds, there)
    assert not found(ends, "overflow.no-end")


@pytest.mark.parametrize(
    ("sill_m", "x", "case"), [(0.04, 20.6, ""), (-0.5, 20.6, "below"), (0.06, 20.6, None), (-0.5, 24.0, None)]
)
def test_water_past_a_low_sill(sloping: MakeSite, sill_m: float, x: float, case: str | None) -> None:
    door = t.Door(id="door-1", name="Cellar", shape=Point(x, 8), width_m=1.4, sill_height_m=sill_m)
    told = found(sloping(TANK, pipe(300.0), door), "overflow.past-door")
    assert bool(told) is (case is not None)
    if told:
        assert dict(told[0].words).get("case", "") == case
        assert told[0].others == ("tank-1",)
    open_door = t.Door(id="door-1", shape=Point(x, 8), width_m=1.4, sill_height_m=sill_m, keep_dry=False)
    assert not found(sloping(TANK, pipe(300.0), open_door), "overflow.past-door")


def test_an_overflow_led_back_into_its_downpipe(sloping: MakeSite) -> None:
    def site(drained: bool) -> Site:
        down = t.Downpipe(id="downpipe-1", shape=Point(22, 26), drained=drained)
        back = t.Overflow(
            id="overflow-1", shape=LineString([(20, 25), (22, 26)]), tank="tank-1", back_to="downpipe-1", bore_mm=200.0
        )
        return sloping(TANK, down, back)

    on_ground = BENCH.answers(site(False), question=Question.OVERFLOW).overflow
    assert on_ground is not None
    assert [source.at for source in on_ground.sources] == [(22.0, 26.0)]
    drained = BENCH.answers(site(True), question=Question.OVERFLOW).overflow
    assert drained is not None
    assert not drained.sources
    assert drained.account.into_drains_l == pytest.approx(3600.0)
    assert drained.account.rain_l == pytest.approx(3600.0)


def test_a_pond_in_a_yard_without_a_way_out_has_no_end(sloping: MakeSite) -> None:
    pond = t.Pond(id="pond-1", shape=box(18, 12, 22, 15), freeboard_m=0.05)
    yard = t.Building(id="building-1", shape=box(16, 10, 24, 17).difference(pond.shape))
    shut = found(sloping(TANK, pipe(300.0), pond, yard), "overflow.no-end", "taker")
    assert [each.subject for each in shut] == ["pond-1"]
    assert shut[0].number("over_l") == pytest.approx(3600.0 - 600.0)
    gate = t.Building(id="building-1", shape=yard.shape.difference(box(19, 9, 20, 13)))
    assert not found(sloping(TANK, pipe(300.0), pond, gate), "overflow.no-end")
