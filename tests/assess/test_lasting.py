"""The site's store: what it is made of, its years, days left, sizes, the loss of a tank, what is worked out anew."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
from typing import Any

import numpy as np
import pytest
from shapely import LineString, Point

from gardenwater.assess import LastingAnswer, Workbench
from gardenwater.assess.inputs import Inputs
from gardenwater.assess.lasting_figures import water_ages
from gardenwater.assess.lasting_record import lasting_record
from gardenwater.assess.lasting_sizes import FACTORS, without_tank
from gardenwater.assess.lasting_stages import LastingStages
from gardenwater.assess.lasting_years import driest, middle, year_spans
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.assess.store import Store
from gardenwater.assess.store_system import rules_of
from gardenwater.balance import ORDER, ORDER_AFTER_RAIN, System, run
from gardenwater.errors import InputError
from gardenwater.findings import Question
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import Site
from gardenwater.site.storing import YieldRule
from gardenwater.weather import Monthly, Weather, handle_of
from tests.balance.made import one_tank, sky

DRY_SUMMER = Monthly(
    rain_mm=(80, 60, 50, 45, 40, 35, 30, 35, 50, 80, 85, 85),
    t_min_c=(2, 2, 3, 5, 8, 10, 12, 12, 10, 8, 5, 3),
    t_max_c=(8, 8, 11, 14, 17, 20, 22, 22, 19, 15, 11, 8),
)


def weather(*, years: int = 4, start: dt.date = dt.date(2001, 1, 1), drier: int = 0) -> Weather:
    """4 mm every third day, half of it in the summer of the year that is `drier` of them; warm summers."""
    days = (dt.date(start.year + years, start.month, start.day) - start).days
    dates = np.datetime64(start, "D") + np.arange(days)
    year = dates.astype("datetime64[Y]").astype(int) + 1970 - start.year
    of_year = (dates - dates.astype("datetime64[Y]")).astype(int)
    rain = np.where(np.arange(days) % 3 == 0, 4.0, 0.0)
    rain[(year == drier) & (of_year > 120) & (of_year < 260)] *= 0.2
    mean = 11.0 - 8.0 * np.cos(2.0 * np.pi * (of_year - 15) / 365.25)
    return Weather(start=start, rain_mm=rain, t_min_c=mean - 5.0, t_max_c=mean + 5.0, source="made up for a test")


@pytest.fixture
def recorded(garden: Site) -> Site:
    return dataclasses.replace(garden, weather=handle_of(weather(drier=2)))


def answer_of(site: Site, **more: Any) -> LastingAnswer:
    found = Workbench().answers(site, question=Question.LASTING, **more).lasting
    assert found is not None
    return found


def system_of(site: Site) -> System:
    reach = Workbench().answers(site, question=Question.REACH).reach
    return LastingStages(SiteStages(site, Bench(Store(10**9), Inputs())), reach).store.system


def test_the_driest_year_is_that_with_the_dry_summer_whatever_the_tanks_are(recorded: Site) -> None:
    found = answer_of(recorded)
    assert found.keys == ("driest", "middle", "made", "2004", "2003", "2002", "2001")
    assert found.answers["driest"].figures.year == 2003
    assert [each.year for each in found.years] == [2001, 2002, 2003, 2004]
    larger = edits.change(recorded, "tank-1", width_m=3.0, capacity_l=8000.0)
    assert answer_of(larger).answers["driest"].figures.year == 2003
    with pytest.raises(InputError, match="No year is called"):
        found.of("1999")


def test_figures_of_a_year_are_those_of_its_days(recorded: Site) -> None:
    found = answer_of(recorded)
    year = found.of("2003")
    days = year.balance
    assert (days.start, days.last) == (dt.date(2003, 1, 1), dt.date(2003, 12, 31))
    assert year.figures.need_l == pytest.approx(days.need_l.sum())
    assert year.figures.met_l == pytest.approx(days.met_gravity_l.sum() + days.met_can_l.sum())
    assert year.figures.short_days == int(days.is_short.sum())
    assert found.first_dry == days.start + dt.timedelta(days=int(np.argmax(days.is_short)))
    assert found.driest_day is not None
    worst = days.index(found.driest_day)
    assert days.short_l.sum(axis=1)[worst] == pytest.approx(year.figures.most_short_l)
    assert days.short_l.sum(axis=1)[days.is_short].max() == pytest.approx(year.figures.most_short_l)
    assert found.cans_missing == math.ceil(year.figures.missing_l / 10.0)
    assert found.record.residual_m3 < 1e-9 * found.record.moved_m3


def test_need_is_counted_once_however_often_it_is_refused(recorded: Site) -> None:
    """With no water at all what is needed is of the size that is given when there is always enough."""
    beds = {bed.id: bed for bed in recorded.of(t.Bed)}
    none = dataclasses.replace(recorded, things=tuple(thing for thing in recorded if not isinstance(thing, t.Diverter)))
    dry = edits.change(edits.change(none, "tank-1", water_l=0.0), "tank-2", water_l=0.0)
    full = recorded
    for tank in ("tank-1", "tank-2"):
        full = edits.change(full, tank, width_m=10.0, capacity_l=100_000.0, water_l=100_000.0)
    full = edits.settings(full, cans_a_day=1000.0)
    assert len(beds) == 2
    starved, sated = answer_of(dry).of("2001").figures, answer_of(full).of("2001").figures
    assert sated.share_met_volume > 0.98
    assert starved.met_l == 0.0
    # Kept moist, beds lose more from their surface than beds that dry out; asked for anew each day it would be tenfold.
    assert 0.6 * sated.need_l < starved.need_l < 1.2 * sated.need_l


def test_days_left_are_what_stands_above_the_outlets_over_the_draw(garden: Site) -> None:
    # 1000 L above the outlets and ten 10 L cans a day last ten days (common practice, no source)
    site = dataclasses.replace(garden, weather=handle_of(weather()))
    for tank in site.of(t.Tank):
        dead_l = tank.volume_at_m(tank.outlet_height_m)
        site = edits.change(site, tank.id, water_l=dead_l + 500.0)
    found = answer_of(edits.settings(site, draw_l_day=100.0))
    assert found.usable_l == pytest.approx(1000.0)
    assert found.days_left == pytest.approx(10.0)
    assert math.isinf(answer_of(edits.settings(site, draw_l_day=0.0)).days_left)
    usual = answer_of(site)
    need = usual.record.need_l.sum(axis=1)
    months = usual.record.dates().astype("datetime64[M]").astype(int) % 12
    assert usual.draw_l_day == pytest.approx(max(need[months == month].mean() for month in range(12)))


def test_twelve_monthly_figures_are_enough(garden: Site) -> None:
    found = answer_of(dataclasses.replace(garden, monthly=DRY_SUMMER))
    assert found.made
    assert len(found.years) == 30
    assert "made" not in found.answers
    assert "made from twelve monthly figures" in found.trust[0]
    # the year's rain is kept on the mean
    assert np.mean([year.rain_mm for year in found.years]) == pytest.approx(sum(DRY_SUMMER.rain_mm), rel=0.01)


def test_a_record_has_the_driest_of_a_hundred_made_years_beside_it(recorded: Site) -> None:
    made = answer_of(recorded).answers["made"]
    assert made.made
    assert made.figures.dryness_mm > 0.0
    assert made.balance.days in (365, 366)


def test_without_weather_place_tank_or_bed_there_is_no_answer(garden: Site, recorded: Site) -> None:
    bare = [
        garden,
        edits.settings(recorded, latitude_deg=None),
        edits.remove(recorded, [tank.id for tank in recorded.of(t.Tank)]),
        edits.remove(recorded, [bed.id for bed in recorded.of(t.Bed)]),
    ]
    for site in bare:
        assert Workbench().answers(site, question=Question.LASTING).lasting is None


def test_a_southern_year_runs_from_july_and_its_warm_half_over_new_year() -> None:
    days = weather(years=3)
    et0 = np.full(days.days, 3.0)
    south = year_spans(days, et0, south=True)
    assert [(span.year, span.whole) for span in south] == [(2000, False), (2001, True), (2002, True), (2003, False)]
    assert (south[1].first, south[1].last) == (dt.date(2001, 7, 1), dt.date(2002, 6, 30))
    north = year_spans(days, et0, south=False)
    assert [span.whole for span in north] == [True, True, True]
    # October to March of 2001/02: 182 days of 3 mm, less their rain
    first = (dt.date(2001, 10, 1) - days.start).days
    assert south[1].dryness_mm == pytest.approx(182 * 3.0 - days.rain_mm[first : first + 182].sum())


def test_driest_and_middle_by_the_warm_half() -> None:
    days = weather(years=5, drier=3)
    spans = year_spans(days, np.full(days.days, 3.0), south=False)
    assert driest(spans).year == 2004
    ranked = sorted(span.dryness_mm for span in spans)
    assert middle(spans).dryness_mm == ranked[2]


def test_larger_tanks_meet_no_less_here_and_the_least_one_is_found(recorded: Site) -> None:
    found = answer_of(edits.settings(recorded, wanted_share=0.6))
    assert found.sizes is not None
    curve = found.sizes.curve("tanks")
    assert curve is not None
    assert curve.factors == FACTORS
    assert curve.sizes[FACTORS.index(1.0)] == pytest.approx(found.store_l)
    # watered by threshold the share may fall a little with more water; over these sizes it grows all in all
    assert curve.share_volume[-1] > curve.share_volume[0]
    least = found.sizes.least_store_l
    met = np.interp(least, curve.sizes, curve.share_volume)
    assert met == pytest.approx(0.6, abs=0.05)
    beds, roofs = found.sizes.curve("beds"), found.sizes.curve("roofs")
    assert beds is not None
    assert roofs is not None
    assert beds.share_volume[0] > beds.share_volume[-1]
    assert roofs.share_volume[0] < roofs.share_volume[-1]
    at_once = Workbench().answers(recorded, question=Question.LASTING, own=True).lasting
    assert at_once is not None
    assert at_once.sizes is None, "the first answer waits for no long runs"


def test_the_loss_of_a_tank_is_what_the_site_without_it_misses(recorded: Site) -> None:
    found = answer_of(recorded)
    assert found.sizes is not None
    loss = {each.tank: each for each in found.sizes.losses}["tank-1"]
    without = answer_of(edits.remove(recorded, ["tank-1"]))
    assert loss.share_volume == pytest.approx(without.share_met_volume, abs=0.005)
    more = np.mean([year.missing_l for year in without.years]) - np.mean([year.missing_l for year in found.years])
    assert loss.missing_l == pytest.approx(more, rel=0.02, abs=5.0)


def test_a_system_without_a_tank_leads_its_water_to_the_next(recorded: Site) -> None:
    system = system_of(recorded)
    left = without_tank(system, "tank-1")
    assert [tank.id for tank in left.tanks] == ["tank-2"]
    assert all(feed.tank != "tank-1" for gather in left.gathers for feed in gather.feeds)
    assert all(bed.needed_level_m.shape == (1,) for bed in left.beds)


def test_a_name_changes_nothing_and_a_setting_changes_the_answer(recorded: Site) -> None:
    bench = Workbench()

    def record_of(site: Site) -> Any:
        found = bench.answers(site, question=Question.LASTING).lasting
        assert found is not None
        return found.record

    first = record_of(recorded)
    assert record_of(edits.rename(recorded, "bed-1", "Runner beans")) is first
    assert record_of(edits.settings(recorded, cans_a_day=1.0)) is not first
    assert record_of(recorded) is first, "undo finds its result again"


def test_links_taps_and_what_is_fitted_reach_the_system(recorded: Site) -> None:
    upper = recorded.thing("tank-1", t.Tank)
    lying = dataclasses.replace(
        upper, id="tank-3", name="Lying", form=t.TankForm.LYING, shape=Point(6.0, 21.0), open_top=True, leak_l_day=2.0,
        drained_in_winter=True,
    )  # fmt: skip
    way = LineString([(8.0, 21.0), (6.0, 21.0)])
    site = edits.put(
        recorded,
        lying,
        t.Link(id="link-1", name="Link", shape=way, tank_a="tank-1", tank_b="tank-3", height_m=0.3, bore_mm=20.0),
        t.Tap(id="tap-1", name="Tap", shape=Point(8.0, 20.5), tank="tank-1", height_m=0.9),
    )
    site = edits.change(site, "overflow-1", tank_below="tank-2")
    system = system_of(site)
    tanks = {tank.id: tank for tank in system.tanks}
    assert tanks["tank-1"].overflow_to == "tank-2"
    assert tanks["tank-1"].can_height_m is not None
    assert tanks["tank-1"].can_height_m > upper.outlet_height_m
    assert tanks["tank-3"].open_m2 == pytest.approx(lying.footprint.area)
    assert tanks["tank-3"].leak_m3 == pytest.approx(0.002)
    assert tanks["tank-3"].winter
    for share in (0.2, 0.5, 0.9):
        height = share * lying.overflow_height_m
        assert 1000 * tanks["tank-3"].shape.volume_at(height) == pytest.approx(lying.volume_at_m(height), abs=0.5)
    link = system.links[0]
    assert (link.first, link.second) == ("tank-1", "tank-3")
    assert link.level_m == pytest.approx(tanks["tank-1"].floor_level_m + 0.3)
    assert link.flow_m3_s is not None
    assert (np.diff(link.flow_m3_s) > 0).all()


def test_winter_may_run_over_new_year(recorded: Site) -> None:
    assert rules_of(recorded.settings).winter == (11, 12, 1, 2, 3)
    south = dataclasses.replace(recorded.settings, winter_from=5.0, winter_to=9.0)
    assert rules_of(south).winter == (5, 6, 7, 8, 9)


def test_the_order_of_the_day_is_that_of_the_rule(recorded: Site) -> None:
    assert answer_of(recorded).order == ORDER
    after = edits.settings(recorded, yield_rule=YieldRule.BEFORE_SPILL)
    assert answer_of(after).order == ORDER_AFTER_RAIN


def test_water_grows_older_by_a_day_and_younger_by_the_rain() -> None:
    # 100 L stand 4 days, then 100 L of rain come to them: half as old
    found = run(one_tank([0.0] * 6, start_m3=0.1), sky([0.0, 0.0, 0.0, 100.0, 0.0, 0.0]))
    assert water_ages(found)[:, 0] == pytest.approx([1, 2, 3, 2, 3, 4])


def test_the_record_says_it_all_in_plain_values(recorded: Site) -> None:
    found = answer_of(recorded)
    plain = json.loads(json.dumps(lasting_record(recorded, found)))
    assert plain["cans_missing"] == found.cans_missing
    assert len(plain["years"]) == 4
    assert plain["named_years"]["driest"]["year"] == 2003
    assert plain["named_years"]["driest"]["beds"][0]["name"] == "Beans"
    assert plain["sizes"]["curves"][0]["what"] == "tanks"
    assert plain["residual_l"] < 1e-6 * plain["moved_l"]
