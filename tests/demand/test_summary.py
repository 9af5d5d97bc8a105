"""A bed's need through the mean year."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest

from gardenwater.demand import bed_year, bed_year_words, by_month, run_bed
from gardenwater.site.things import WateringRule
from gardenwater.weather import Weather
from tests.demand.conftest import bed, days_of, plain_weather


def test_days_come_to_months_of_the_mean_year() -> None:
    # 1 mm a day over 2003 and 2004: 31 in January, 28 or 29 in February
    depth = by_month(np.ones(731), dt.date(2003, 1, 1))
    assert depth.tolist() == [31.0, 28.5, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0]
    assert depth.sum() == 365.5


def test_a_month_that_is_there_once_counts_once() -> None:
    depth = by_month(np.ones(31 + 28 + 31), dt.date(2003, 1, 1))
    assert depth.tolist() == [31.0, 28.0, 31.0] + [0.0] * 9


def test_the_mean_year_comes_to_what_was_given(weather: Weather) -> None:
    days = days_of(bed(crop="tomatoes"), weather)
    past = run_bed(days)
    year = bed_year(days, past)
    given_l = past.need_mm * 10.0
    assert year.year_l == pytest.approx(given_l.sum() / 3.0)
    assert year.most_l == pytest.approx(
        max(given_l[weather.dates().astype("datetime64[Y]").astype(int) == each].sum() for each in (31, 32, 33))
    )
    assert year.need_l[:4].sum() == year.need_l[10:].sum() == 0.0, "tomatoes stand from May to September"
    assert year.peak_month == int(year.need_l.argmax()) + 1


def test_between_waterings_lies_what_the_bed_uses_of_the_readily_available_water() -> None:
    dry = plain_weather(1, rain_mm=np.zeros(365))
    days = days_of(bed(crop="apples"), dry)
    past = run_bed(days)
    year = bed_year(days, past)
    waters = np.flatnonzero(past.need_mm)
    in_month = waters[dry.months()[waters] == year.peak_month]
    # what was done in that month without rain: so many days between, so much each time
    assert year.between_days == pytest.approx(float(np.diff(in_month).mean()), rel=0.2)
    assert year.each_l == pytest.approx(float(past.need_mm[in_month].mean()) * 10.0, rel=0.2)


def test_fixed_days_and_cans_are_told_as_they_are(weather: Weather) -> None:
    rule = {"watering": WateringRule.FIXED_CANS, "every_days": 4.0, "cans_each": 3.0}
    days = days_of(bed(crop="lettuce", **rule), weather)
    year = bed_year(days, run_bed(days))
    assert (year.between_days, year.each_l) == (4.0, pytest.approx(30.0))
    assert bed_year_words(year, 10.0).endswith("without rain: 3 cans every 4 days")


def test_a_bed_without_a_crop_has_no_month_of_most(weather: Weather) -> None:
    days = days_of(bed(crop="none"), weather)
    year = bed_year(days, run_bed(days))
    assert (year.peak_month, year.year_l) == (0, 0.0)
    assert math.isnan(year.between_days)
    assert bed_year_words(year, 10.0) == ""


def test_a_pot_in_the_heat_is_watered_every_day() -> None:
    hot = plain_weather(1, rain_mm=np.zeros(365), t_min_c=np.full(365, 22.0), t_max_c=np.full(365, 40.0))
    days = days_of(bed(crop="tomatoes", soil_depth_m=0.15), hot)
    assert bed_year_words(bed_year(days, run_bed(days)), 10.0).endswith("every day")
