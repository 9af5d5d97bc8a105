"""A run of days: what it holds, cuts, and when two are equal."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.weather import COLUMNS, Weather

FEW = Weather(start=dt.date(2019, 12, 30), rain_mm=[1.0, 0.0, 2.5, np.nan], t_min_c=[-1, 0, 1, 2], t_max_c=[5, 6, 7, 8])


def test_days_and_months() -> None:
    assert (FEW.days, FEW.last) == (4, dt.date(2020, 1, 2))
    assert FEW.dates().tolist() == [FEW.start + dt.timedelta(days=n) for n in range(4)]
    assert FEW.months().tolist() == [12, 12, 1, 1]
    assert FEW.day_of_year().tolist() == [364, 365, 1, 2]
    assert FEW.index(dt.date(2020, 1, 1)) == 2
    assert np.isnan(FEW.wind_m_s).all()
    assert FEW.knows("rain_mm")
    assert not FEW.knows("wind_m_s")


def test_it_cannot_be_written_to() -> None:
    for name in (*COLUMNS, "left_out"):
        with pytest.raises(ValueError, match="read-only"):
            getattr(FEW, name)[0] = 1.0


def test_it_keeps_nothing_of_what_it_was_made_from() -> None:
    rain = np.array([1.0, 2.0])
    made = Weather(start=dt.date(2020, 1, 1), rain_mm=rain)
    rain[0] = 9.0
    assert made.rain_mm.tolist() == [1.0, 2.0]


def test_equal_by_figures_start_and_making_and_not_by_source() -> None:
    same = FEW.replaced(source="elsewhere", notices=("One.",))
    assert same == FEW
    assert hash(same) == hash(FEW)
    for other in (
        FEW.replaced(start=dt.date(2019, 12, 31)),
        FEW.replaced(made=True),
        FEW.replaced(left_out=[True, False, False, False]),
        FEW.replaced(columns={"rain_mm": [1.0, 0.0, 2.5, 0.0]}),
        FEW.replaced(columns={"wind_m_s": [1.0, 1.0, 1.0, 1.0]}),
    ):
        assert other != FEW


def test_one_zero_and_one_nan() -> None:
    odd_nan = np.frombuffer(np.uint64(0x7FF8000000000123).tobytes(), dtype=np.float64)
    one = Weather(start=dt.date(2020, 1, 1), rain_mm=[-0.0, odd_nan[0]])
    assert one == Weather(start=dt.date(2020, 1, 1), rain_mm=[0.0, np.nan])


@given(first=st.integers(0, 799), days=st.integers(1, 800))
def test_a_slice_of_a_slice_is_a_slice(first: int, days: int) -> None:
    long = Weather(start=dt.date(2019, 6, 1), rain_mm=np.arange(800.0), left_out=np.arange(800) % 7 == 0)
    start = long.start + dt.timedelta(days=first)
    last = min(start + dt.timedelta(days=days - 1), long.last)
    part = long.slice(start, last)
    assert part.rain_mm.tolist() == long.rain_mm[first : first + part.days].tolist()
    assert part.left_out.tolist() == long.left_out[first : first + part.days].tolist()
    assert part.slice(part.start, part.last) == part
    assert (part.start, part.last) == (start, last)


def test_years_are_whole_known_and_not_left_out() -> None:
    days = (dt.date(2023, 6, 30) - dt.date(2018, 7, 1)).days + 1
    rain, low = np.zeros(days), np.zeros(days)
    long = Weather(start=dt.date(2018, 7, 1), rain_mm=rain, t_min_c=low, t_max_c=low)
    assert long.years == (2019, 2020, 2021, 2022)
    assert (long.year(2020).days, long.year(2018).days) == (366, 184)
    rain[long.index(dt.date(2019, 2, 3))] = np.nan
    low[long.index(dt.date(2020, 2, 3))] = np.nan
    out = np.zeros(days, dtype=bool)
    out[long.index(dt.date(2021, 2, 3))] = True
    assert Weather(start=long.start, rain_mm=rain, t_min_c=low, t_max_c=low, left_out=out).years == (2022,)
    assert Weather(start=long.start, rain_mm=np.zeros(days)).years == (2019, 2020, 2021, 2022)


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"rain_mm": []}, "no days"),
        ({"rain_mm": [[1.0]]}, "no days"),
        ({"rain_mm": [1.0], "t_min_c": [1.0, 2.0]}, "2 days and the rain has 1"),
        ({"rain_mm": [np.inf]}, "infinite"),
        ({"rain_mm": [1.0], "left_out": [True, False]}, "one flag"),
    ],
)
def test_what_is_no_weather_is_refused(columns: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        Weather(start=dt.date(2020, 1, 1), **columns)
    assert caught.value.mend


def test_days_outside_are_refused() -> None:
    with pytest.raises(InputError, match="not in the weather"):
        FEW.index(dt.date(2020, 1, 3))
    with pytest.raises(InputError, match="No day from"):
        FEW.year(2022)
