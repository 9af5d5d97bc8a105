"""Findings of Lasting and of the weather: each just over its limit, and none just under."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from shapely import LineString, Point

from gardenwater.assess import Workbench
from gardenwater.assess.findings.lasting import LEAST_LOSS, STANDS_DAYS, lasting_findings, tank_findings
from gardenwater.assess.findings.weather import weather_findings
from gardenwater.assess.lasting import LastingAnswer
from gardenwater.findings import Finding, Question
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.climate import ChangedClimate
from gardenwater.site.model import Site
from gardenwater.weather import Monthly, Weather, handle_of

Record = Callable[..., Weather]


def record(*, years: int = 3, summer_mm: float = 0.0, known: bool = True, gap: int = 0) -> Weather:
    """Whole years from 2001: 6 mm on every second day of the winter half, `summer_mm` on those of the summer half.

    known: whether there are temperatures. gap: days in a row of the second year on which the rain is not known.
    """
    days = (dt.date(2001 + years, 1, 1) - dt.date(2001, 1, 1)).days
    at = np.arange(days)
    of_year = at % 365
    summer = (of_year > 110) & (of_year < 270)
    rain = np.where(at % 2 == 0, np.where(summer, summer_mm, 6.0), 0.0)
    rain[400 : 400 + gap] = np.nan
    mean = 12.0 - 9.0 * np.cos(2.0 * np.pi * (of_year - 15) / 365.0)
    low, high = (mean - 5.0, mean + 5.0) if known else (np.full(days, np.nan), np.full(days, np.nan))
    return Weather(start=dt.date(2001, 1, 1), rain_mm=rain, t_min_c=low, t_max_c=high)


def under(site: Site, sky: Weather) -> Site:
    return dataclasses.replace(site, weather=handle_of(sky))


def answer_of(site: Site) -> LastingAnswer:
    found = Workbench().answers(site, question=Question.LASTING).lasting
    assert found is not None
    return found


def codes(site: Site, answer: LastingAnswer | None) -> dict[str, Finding]:
    return {each.code: each for each in lasting_findings(site, answer)}


@pytest.fixture
def dry(garden: Site) -> Site:
    """The garden under summers without a drop."""
    return under(garden, record())


def test_a_summer_without_rain_runs_the_store_dry_and_one_with_enough_lasts(dry: Site, garden: Site) -> None:
    answer = answer_of(dry)
    found = codes(dry, answer)
    runs_dry = found["lasting.runs-dry"]
    assert dict(runs_dry.numbers)["missing_l"] == pytest.approx(answer.figures.missing_l)
    assert dict(runs_dry.numbers)["cans"] == np.ceil(answer.figures.missing_l / 10.0 - 1e-9) > 0
    assert dict(runs_dry.numbers)["days"] == answer.figures.short_days > 0
    assert "lasting.lasts" not in found
    wet = under(garden, record(summer_mm=14.0))
    assert "lasting.lasts" in codes(wet, answer_of(wet))
    assert "lasting.runs-dry" not in codes(wet, answer_of(wet))


def test_without_a_latitude_nothing_can_be_said(dry: Site) -> None:
    nowhere = edits.settings(dry, latitude_deg=None)
    assert set(codes(nowhere, None)) == {"lasting.needs-latitude"}
    assert codes(dry, None) == {}


def test_days_on_which_water_is_left_that_no_way_brings(dry: Site) -> None:
    answer = answer_of(dry)
    limited = codes(dry, dataclasses.replace(answer, limited=3))["lasting.out-of-hands"]
    assert dict(limited.numbers) == {"days": 3.0, "cans": dry.settings.cans_a_day}
    assert "lasting.out-of-hands" not in codes(dry, dataclasses.replace(answer, limited=0))


def with_days(answer: LastingAnswer, **arrays: Any) -> LastingAnswer:
    """The answer with other arrays in the days of its driest year."""
    year = answer.answers["driest"]
    changed = dataclasses.replace(year, balance=dataclasses.replace(year.balance, **arrays))
    return dataclasses.replace(answer, answers={**answer.answers, "driest": changed})


@pytest.mark.parametrize(("cans_a_day", "said"), [(0.49, False), (0.51, True)])
def test_a_bed_that_is_mostly_carried_to(dry: Site, cans_a_day: float, said: bool) -> None:
    answer = answer_of(dry)
    days = answer.answers["driest"].balance
    by_can, by_gravity = np.zeros_like(days.met_can_l), np.zeros_like(days.met_gravity_l)
    by_can[100:120, 0], by_gravity[100:120, 0] = 10.0 * cans_a_day, 10.0 * (1.0 - cans_a_day)
    found = codes(dry, with_days(answer, met_can_l=by_can, met_gravity_l=by_gravity))
    assert ("lasting.bed-by-can" in found) is said
    if said:
        carried = found["lasting.bed-by-can"]
        assert carried.subject == answer.beds[0]
        assert dict(carried.numbers) == {"cans": 11.0, "share": pytest.approx(0.51), "days": 20.0}


@pytest.mark.parametrize(("oldest", "said"), [(STANDS_DAYS, True), (STANDS_DAYS - 0.1, False)])
def test_water_that_stands_a_season(dry: Site, oldest: float, said: bool) -> None:
    answer = answer_of(dry)
    ages = tuple((10.0, oldest if at == 0 else 20.0) for at in range(len(answer.tanks)))
    found = codes(dry, dataclasses.replace(answer, turnover_days=ages))
    assert ("lasting.water-stands" in found) is said
    if said:
        assert found["lasting.water-stands"].subject == answer.tanks[0]


def test_made_years_are_said_to_be_made(dry: Site) -> None:
    answer = answer_of(dry)
    assert "lasting.made-years" not in codes(dry, answer)
    made = codes(dry, dataclasses.replace(answer, made=True))["lasting.made-years"]
    assert dict(made.numbers) == {"years": 3.0}


def linked(site: Site) -> Site:
    """A second tank beside the upper one, linked by a pipe."""
    upper = site.thing("tank-1", t.Tank)
    beside = dataclasses.replace(upper, id="tank-3", name="Beside", water_l=0.0, shape=Point(6.0, 21.0))
    way = LineString([(8.0, 21.0), (6.0, 21.0)])
    return edits.put(site, beside, t.Link(id="link-1", name="Link", shape=way, tank_a="tank-1", tank_b="tank-3"))


@pytest.mark.parametrize(("late", "said"), [(3, True), (2, False)])
def test_a_link_too_thin_to_level_in_a_day(dry: Site, late: int, said: bool) -> None:
    site = linked(dry)
    answer = answer_of(site)
    assert answer.answers["driest"].balance.links == ("link-1",)
    assert "lasting.link-thin" not in codes(site, answer), "a usual pipe of 2 m levels in a day"
    gaps = np.zeros_like(answer.answers["driest"].balance.link_gap_m)
    gaps[50 : 50 + late, 0] = 0.04
    found = codes(site, with_days(answer, link_gap_m=gaps))
    assert ("lasting.link-thin" in found) is said
    if said:
        assert dict(found["lasting.link-thin"].numbers) == {"days": 3.0, "gap_m": pytest.approx(0.04)}


def test_a_tank_that_much_hangs_on(dry: Site) -> None:
    answer = answer_of(dry)
    assert answer.sizes is not None
    loss = answer.sizes.losses[0]
    for share, said in ((answer.share_met_volume - LEAST_LOSS - 1e-9, True), (answer.share_met_volume - 0.19, False)):
        sizes = dataclasses.replace(answer.sizes, losses=(dataclasses.replace(loss, share_volume=share),))
        found = list(tank_findings(dataclasses.replace(answer, sizes=sizes)))
        assert [each.code for each in found] == ["lasting.one-tank"] * said
    assert list(tank_findings(dataclasses.replace(answer, sizes=None))) == []


# the weather


def weather_codes(site: Site) -> dict[str, Finding]:
    return {each.code: each for each in weather_findings(site)}


@pytest.mark.parametrize(("years", "said"), [(2, True), (3, False)])
def test_few_years_on_record(garden: Site, years: int, said: bool) -> None:
    found = weather_codes(under(garden, record(years=years)))
    assert ("weather.few-years" in found) is said
    if said:
        assert dict(found["weather.few-years"].numbers) == {"years": 2.0}


def test_days_that_are_left_out(garden: Site) -> None:
    found = weather_codes(under(garden, record(gap=5)))
    assert dict(found["weather.left-out"].numbers)["days"] >= 5.0
    assert "weather.left-out" not in weather_codes(under(garden, record()))


def test_temperatures_that_are_lent_by_monthly_figures(garden: Site) -> None:
    monthly = Monthly(
        rain_mm=(50.0,) * 12, t_min_c=tuple(float(m) for m in range(12)), t_max_c=tuple(m + 10.0 for m in range(12))
    )
    lent = dataclasses.replace(under(garden, record(known=False)), monthly=monthly)
    assert "weather.temperatures-lent" in weather_codes(lent)
    assert "weather.temperatures-lent" not in weather_codes(
        dataclasses.replace(under(garden, record()), monthly=monthly)
    )


def test_a_changed_climate_is_said_by_its_years_rain(garden: Site) -> None:
    change = ChangedClimate(rain_factor=(0.8,) * 12, t_shift_c=(2.0,) * 12)
    found = weather_codes(dataclasses.replace(under(garden, record()), change=change))["weather.changed"]
    assert dict(found.numbers)["share"] == pytest.approx(0.8)
    assert dict(found.numbers)["warmer_k"] == pytest.approx(2.0)
    assert "weather.changed" not in weather_codes(under(garden, record()))
