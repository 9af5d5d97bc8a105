"""What Overflow is asked for: wet day, storm, day of the weather, typed litres; whose water; how wet the ground is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from shapely import LineString, Point, box

from gardenwater.assess import OverflowAnswer, Workbench
from gardenwater.assess.event import event_of
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.site import things as t
from gardenwater.site.model import EventKind, Site
from gardenwater.weather import Weather, handle_of

BENCH = Workbench()
MakeSite = Callable[..., Site]
ROOF = t.Roof(id="roof-1", name="Shed", shape=box(10, 24, 20, 28), form=t.RoofForm.FLAT)
PIPE = t.Downpipe(id="downpipe-1", name="West pipe", shape=Point(20, 24), roof="roof-1")
TANKS = tuple(t.Tank(id=f"tank-{n}", name=f"Tank {n}", shape=Point(5 * n, 20)) for n in (1, 2))


@pytest.fixture
def rained(make_site: MakeSite, slope_of: Callable[..., Ground]) -> MakeSite:
    def make(*things: t.Thing, **settings: Any) -> Site:
        return make_site(*things, ground=slope_of(fall=0.05), **{"soil": "loam", **settings})

    return make


def answer_of(site: Site) -> OverflowAnswer:
    found = BENCH.answers(site, question=Question.OVERFLOW).overflow
    assert found is not None
    account = found.account
    whole = account.spilled_l + account.ground_rain_l
    assert abs(account.residual_l) <= 1e-9 * max(whole, 1.0)
    assert account.rain_l == pytest.approx(
        account.stays_on_roofs_l
        + account.kept_by_first_flush_l
        + account.taken_by_tanks_l
        + account.into_drains_l
        + account.spilled_l
        + account.not_followed_l
    )
    return found


def codes_of(site: Site) -> dict[str, dict[str, str]]:
    findings = BENCH.answers(site, question=Question.OVERFLOW).findings
    return {each.code: dict(each.words) for each in findings}


def test_a_storm_is_not_the_wet_day(rained: MakeSite) -> None:
    wet, storm = rained(ROOF, PIPE), rained(ROOF, PIPE, event=EventKind.STORM, storm_mm=48.0, storm_h=0.5)
    assert (event_of(wet).rain_mm, event_of(wet).hours) == (24.0, 6.0)
    assert (event_of(storm).rain_mm, event_of(storm).hours) == (48.0, 0.5)
    assert answer_of(storm).account.spilled_l == pytest.approx(2 * answer_of(wet).account.spilled_l)
    assert codes_of(storm)["overflow.soil"]["when"] == "in the storm"


def weather() -> Weather:
    rain = np.zeros(10)
    rain[3], rain[7] = 12.0, 31.0
    day = np.full(10, 10.0)
    return Weather(start=dt.date(2014, 11, 12), rain_mm=rain, t_min_c=day, t_max_c=day + 5, source="made for a test")


@pytest.mark.parametrize(("asked", "rain_mm"), [("2014-11-15", 12.0), ("", 31.0)])
def test_a_day_of_the_weather(rained: MakeSite, asked: str, rain_mm: float) -> None:
    site = rained(ROOF, PIPE, event=EventKind.WEATHER_DAY, weather_day=asked).replace(weather=handle_of(weather()))
    assert event_of(site).rain_mm == rain_mm
    assert answer_of(site).account.rain_l == pytest.approx(40 * rain_mm)
    if not asked:
        assert codes_of(site)["overflow.soil"]["when"] == "on 19 November 2014"


@pytest.mark.parametrize("asked", ["2014-11-16", "19 November", "2099-01-01"])
def test_a_day_that_is_not_there_is_told_and_a_wet_day_taken(rained: MakeSite, asked: str) -> None:
    site = rained(ROOF, PIPE, event=EventKind.WEATHER_DAY, weather_day=asked).replace(weather=handle_of(weather()))
    assert event_of(site).rain_mm == 24.0
    assert codes_of(site)["overflow.asked-missing"]["case"] == "day"
    bare = rained(ROOF, PIPE, event=EventKind.WEATHER_DAY)
    assert codes_of(bare)["overflow.asked-missing"]["case"] == "day"
    assert "overflow.asked-missing" not in codes_of(rained(ROOF, PIPE))


def test_typed_litres_run_from_each_tank_or_from_one(rained: MakeSite) -> None:
    pipe = t.Overflow(id="overflow-1", shape=LineString([(10, 20), (10, 15)]), tank="tank-2", bore_mm=100.0)
    every = answer_of(rained(ROOF, PIPE, *TANKS, pipe, event=EventKind.LITRES, typed_l=300.0))
    assert [(each.owner, each.at, each.volume_m3) for each in every.sources] == [
        ("tank-1", (5.0, 20.0), 0.3),
        ("tank-2", (10.0, 15.0), 0.3),
    ]
    one = rained(ROOF, PIPE, *TANKS, pipe, event=EventKind.LITRES, typed_l=300.0, spills_from="Tank 2")
    assert [each.owner for each in answer_of(one).sources] == ["tank-2"]


def test_the_water_of_one_alone_is_followed(rained: MakeSite) -> None:
    full = tuple(
        t.Tank(id="tank-1", name="Tank 1", shape=Point(18, 22), water_l=1000.0, capacity_l=1000.0) for _ in "1"
    )
    diverter = t.Diverter(
        id="diverter-1", shape=Point(19.8, 24), downpipe="downpipe-1", tank="tank-1", form=t.DiverterKind.FEEDS
    )
    whole = answer_of(rained(ROOF, PIPE, *full, diverter))
    assert {each.owner for each in whole.sources} == {"tank-1", "downpipe-1"}
    one = answer_of(rained(ROOF, PIPE, *full, diverter, spills_from="Tank 1"))
    assert {each.owner for each in one.sources} == {"tank-1"}
    assert one.account.spilled_l + one.account.not_followed_l == pytest.approx(whole.account.spilled_l)
    none = rained(ROOF, PIPE, spills_from="Barn")
    assert codes_of(none)["overflow.asked-missing"]["case"] == "owner"
    assert len(answer_of(none).sources) == 1


def test_wet_ground_takes_less(rained: MakeSite) -> None:
    dry, wet = (answer_of(rained(ROOF, PIPE, wet_soak_share=share)) for share in (1.0, 0.3))
    assert wet.account.soaked_l < dry.account.soaked_l
    assert event_of(rained(wet_soak_share=0.3)).soak_mm_h == pytest.approx(0.3 * 15.0)


def test_rain_on_the_ground_stands_in_the_same_account(rained: MakeSite) -> None:
    site = rained(ROOF, PIPE, rain_on_ground=True, wet_day_mm=60.0, wet_day_h=2.0, soil="clay")
    found = answer_of(site)
    # 40 x 30 m of ground
    assert found.account.ground_rain_l == pytest.approx(1200 * 60.0)
    assert found.sources[-1].owner == ""
    assert [end.owner for end in found.ends] == ["downpipe-1"]
    assert found.account.off_site_l > 1200 * 40.0
