"""Beds, and weather that can be worked out by hand."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from shapely import box

from gardenwater.demand import BedDays, bed_days
from gardenwater.site.things import Bed
from gardenwater.weather import Weather, reference_et

PLACE = {"latitude_deg": 45.0, "altitude_m": 100.0}


def bed(**fields: Any) -> Bed:
    """A bed of 10 m²."""
    return Bed(id="bed-1", shape=box(0.0, 0.0, 5.0, 2.0), **fields)


def plain_weather(years: int = 3, start: dt.date = dt.date(2001, 1, 1), **columns: Any) -> Weather:
    """Years of a mild climate: a sine of temperatures from 5 to 25 °C, 8 mm of rain on each fifth day."""
    days = (start.replace(year=start.year + years) - start).days
    mean = 15.0 - 10.0 * np.cos(2.0 * np.pi * (np.arange(days) + start.timetuple().tm_yday - 15) / 365.25)
    usual = {
        "rain_mm": np.where(np.arange(days) % 5 == 0, 8.0, 0.0),
        "t_min_c": mean - 5.0,
        "t_max_c": mean + 5.0,
    }
    return Weather(start=start, **(usual | columns))


def days_of(one: Bed, weather: Weather, **keywords: Any) -> BedDays:
    """The bed's days in that weather, at 45 N unless given."""
    place = PLACE | {name: keywords.pop(name) for name in PLACE if name in keywords}
    return bed_days(one, weather, reference_et(weather, **place), **place, **keywords)


@pytest.fixture(scope="session")
def weather() -> Weather:
    """Three years of `plain_weather`."""
    return plain_weather()
