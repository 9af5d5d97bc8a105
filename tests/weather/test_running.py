"""What a site is run on: its record, or years made from its monthly figures, changed when it says so."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings

from gardenwater.errors import EditError, InputError
from gardenwater.site import edits
from gardenwater.site.history import History
from gardenwater.site.model import Site
from gardenwater.weather import (
    MADE_YEARS,
    ChangedClimate,
    Monthly,
    Origin,
    Weather,
    changed,
    handle_of,
    has_sky,
    make_days,
    ready,
    sky,
)
from tests.strategies import changes, monthlies

MONTHLY = Monthly([60.0] * 12, None, [4.0] * 12, [12.0] * 12, "the office")
NAN = float("nan")


def record(**columns: list[float]) -> Weather:
    return Weather(start=dt.date(2020, 1, 1), **columns)


FULL = record(rain_mm=[1.0, 2.0, 3.0], t_min_c=[1.0, 2.0, 3.0], t_max_c=[9.0, 9.0, 9.0])


def test_a_site_without_weather_has_none() -> None:
    assert sky(Site()) is None
    assert not has_sky(Site())
    only_rain = Site(weather=handle_of(record(rain_mm=[1.0, 2.0])))
    assert sky(only_rain) is None


def test_monthly_figures_are_enough() -> None:
    found = sky(Site(monthly=MONTHLY))
    assert found is not None
    assert (found.origin, found.changed, found.gap_days) == (Origin.MADE, False, 0)
    assert len(found.weather.years) == MADE_YEARS
    assert found.weather == make_days(MONTHLY, MADE_YEARS, 1)


def test_a_record_comes_first() -> None:
    found = sky(Site(weather=handle_of(FULL), monthly=MONTHLY))
    assert found is not None
    assert (found.origin, found.weather, found.temperatures_from_monthly) == (Origin.RECORD, FULL, False)


def test_rain_alone_borrows_temperatures() -> None:
    found = sky(Site(weather=handle_of(record(rain_mm=[1.0] * 366)), monthly=MONTHLY))
    assert found is not None
    assert found.temperatures_from_monthly
    assert found.weather.t_min_c == pytest.approx(np.full(366, 4.0))
    assert found.weather.years == (2020,)


def test_days_left_out_have_stand_ins_and_are_marked() -> None:
    gaps = record(rain_mm=[1.0, NAN, 3.0, 4.0], t_min_c=[NAN, 2.0, NAN, 4.0], t_max_c=[9.0] * 4)
    made = ready(gaps)
    assert made.rain_mm.tolist() == [1.0, 0.0, 3.0, 4.0]
    assert made.t_min_c.tolist() == [2.0, 2.0, 3.0, 4.0]
    assert made.left_out.tolist() == [True, True, True, False]
    assert ready(FULL) is FULL
    assert ready(made) == made


def test_a_changed_climate_by_hand() -> None:
    rain_factor, warmer = [1.0] * 12, [0.0] * 12
    rain_factor[0], warmer[0] = 0.5, 2.0
    after = changed(FULL, rain_factor, warmer)
    assert after.rain_mm.tolist() == [0.5, 1.0, 1.5]
    assert after.t_max_c.tolist() == [11.0, 11.0, 11.0]
    found = sky(Site(weather=handle_of(FULL), change=ChangedClimate(rain_factor, warmer)))
    assert found is not None
    assert found.changed
    assert found.weather == after
    with pytest.raises(InputError, match="It is 9"):
        changed(FULL, [9.0] * 12, warmer)


@settings(max_examples=15)
@given(monthly=monthlies(), change=changes)
def test_a_changed_climate_changes_the_means_of_months(monthly: Monthly, change: ChangedClimate) -> None:
    before = make_days(monthly, 3, 1)
    after = changed(before, change.rain_factor, change.t_shift_c)
    month = before.months() - 1
    for number in range(12):
        of_month = month == number
        expected = monthly.rain_mm[number] * change.rain_factor[number] * 3
        assert after.rain_mm[of_month].sum() == pytest.approx(expected, rel=1e-9, abs=1e-9)
        assert monthly.t_max_c is not None
        assert after.t_max_c[of_month].mean() == pytest.approx(monthly.t_max_c[number] + change.t_shift_c[number])


def test_edits_can_be_undone_and_refuse_what_cannot_be_taken() -> None:
    history = History(Site())
    history.do("Weather", lambda site: edits.set_weather(edits.set_monthly(site, MONTHLY), handle_of(FULL)))
    assert history.present.monthly == MONTHLY
    assert history.present.weather == handle_of(FULL)
    history.do("None", edits.clear_weather)
    assert history.present == Site()
    history.undo()
    assert history.present.weather == handle_of(FULL)
    history.undo()
    assert history.present == Site()
    with pytest.raises(EditError, match=r"Monthly figures, Lowest, January: .* above the highest"):
        edits.set_monthly(Site(), Monthly([1.0] * 12, None, [20.0] * 12, [10.0] * 12))
    with pytest.raises(EditError, match="Lowest has not twelve figures"):
        edits.set_monthly(Site(), Monthly([1.0] * 12))
    with pytest.raises(EditError, match="Changed climate, Warmer by, January"):
        edits.set_change(Site(), ChangedClimate([1.0] * 12, [99.0] * 12))


def test_a_change_that_changes_nothing_is_none() -> None:
    assert edits.set_change(Site(), ChangedClimate()).change is None
    same = Site(monthly=MONTHLY)
    assert edits.set_monthly(same, MONTHLY) is same
