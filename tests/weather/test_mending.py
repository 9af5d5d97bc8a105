"""What is wrong with a record is found, shown, and put right only as chosen."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.files import read_days
from gardenwater.units import UnitSystem
from gardenwater.weather import CHOICES, Anomaly, DayRows, Kind, LookedOver, Mend, look_over
from gardenwater.weather.telling import HEADS, MENDS, day_text, value_text, why_text

NAN = float("nan")
START = dt.date(2019, 1, 1)


def rows_of(rain: list[float], *, days: list[dt.date] | None = None, **columns: list[float]) -> DayRows:
    """Rows of a file whose first line is its headings."""
    there = days or [START + dt.timedelta(days=number) for number in range(len(rain))]
    figures = {"rain_mm": rain, **columns}
    return DayRows(
        np.array(there, dtype="datetime64[D]"),
        np.arange(len(rain)) + 2,
        {name: np.array(values, dtype=float) for name, values in figures.items()},
        source="gauge.csv",
    )


def season(days: int = 730) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Two years of plain weather: rain every third day, an even course of temperatures."""
    number = np.arange(days)
    rain = np.where(number % 3 == 0, 2.0 + (number % 7) * 0.5, 0.0)
    low = 6.0 - 8.0 * np.cos(2 * np.pi * number / 365.25) + (number % 5) * 0.4
    return rain, low, low + 8.0 + (number % 4) * 0.3


def of_season(**spoilt: tuple[int, float]) -> DayRows:
    """The season with one figure of each named column changed: (place, figure)."""
    rain, low, high = season()
    columns = {"rain_mm": rain, "t_min_c": low, "t_max_c": high}
    for name, (place, value) in spoilt.items():
        columns[name][place] = value
    return rows_of(
        columns["rain_mm"].tolist(), t_min_c=columns["t_min_c"].tolist(), t_max_c=columns["t_max_c"].tolist()
    )


def only(looked: LookedOver, kind: Kind) -> Anomaly:
    (found,) = looked.of(kind)
    return found


def test_a_plain_record_has_nothing_wrong() -> None:
    looked = look_over(of_season())
    assert looked.anomalies == ()
    assert looked.weather.notices == ()
    assert looked.weather.years == (2019,)  # 2020 ends a day early


def test_gaps_are_left_out_unless_the_user_fills_them() -> None:
    days = [START + dt.timedelta(days=n) for n in (0, 1, 4, 5)]
    rows = rows_of([1.0, 2.0, 3.0, NAN], days=days, t_min_c=[1.0, 2.0, 5.0, 6.0], t_max_c=[9.0, 9.0, 9.0, NAN])
    looked = look_over(rows)
    gap, blank = looked.of(Kind.RAIN_UNKNOWN)
    assert (gap.first, gap.last, gap.days, gap.line) == (dt.date(2019, 1, 3), dt.date(2019, 1, 4), 2, 0)
    assert (blank.first, blank.line) == (dt.date(2019, 1, 6), 5)
    assert np.isnan(looked.weather.rain_mm[[2, 3, 5]]).all()
    dry = look_over(rows, {Kind.RAIN_UNKNOWN: Mend.ZERO, Kind.TEMPERATURE_UNKNOWN: Mend.BETWEEN}).weather
    assert dry.rain_mm.tolist() == [1.0, 2.0, 0.0, 0.0, 3.0, 0.0]
    assert dry.t_min_c.tolist() == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    assert dry.t_max_c[5] == 9.0  # the nearest day at an end
    mean = look_over(rows, {Kind.RAIN_UNKNOWN: Mend.MONTH_MEAN}).weather
    assert mean.rain_mm[2] == pytest.approx(2.0)  # of 1, 2 and 3 mm
    assert dry.notices == (
        "3 days had no rain known: taken as dry.",
        "3 days had no temperature known: filled between the days before and after.",
    )


def test_days_twice() -> None:
    days = [START, START, START + dt.timedelta(days=1)]
    rows = rows_of([1.0, 4.0, 2.0], days=days)
    twice = only(look_over(rows), Kind.TWICE)
    assert (twice.first, twice.value, twice.other, twice.line) == (START, 1.0, 4.0, 3)
    taken = {mend: look_over(rows, {Kind.TWICE: mend}).weather.rain_mm[0] for mend in CHOICES[Kind.TWICE]}
    assert np.isnan(taken.pop(Mend.DROP))
    assert taken == {Mend.FIRST: 1.0, Mend.LAST: 4.0, Mend.MEAN: 2.5}


def test_days_twice_with_the_same_figures_are_one() -> None:
    looked = look_over(rows_of([1.0, 1.0, 2.0], days=[START, START, START + dt.timedelta(days=1)]))
    assert looked.anomalies == ()
    assert looked.weather.rain_mm.tolist() == [1.0, 2.0]


def test_days_out_of_order_are_put_in_order_and_said() -> None:
    days = [START + dt.timedelta(days=n) for n in (0, 2, 1, 3)]
    looked = look_over(rows_of([0.0, 2.0, 1.0, 3.0], days=days))
    assert only(looked, Kind.ORDER).first == days[2]
    assert looked.weather.rain_mm.tolist() == [0.0, 1.0, 2.0, 3.0]


def test_a_file_with_the_newest_day_first_is_turned_round() -> None:
    days = [START - dt.timedelta(days=n) for n in range(4)]
    looked = look_over(rows_of([3.0, 2.0, 1.0, 0.0], days=days))
    assert looked.anomalies == ()
    assert looked.weather.rain_mm.tolist() == [0.0, 1.0, 2.0, 3.0]


def test_a_day_with_a_year_typed_wrong_is_set_aside() -> None:
    days = [START + dt.timedelta(days=n) for n in range(40)]
    days[7] = dt.date(2109, 1, 8)
    looked = look_over(rows_of([1.0] * 19 + [2.0] * 21, days=days))
    assert only(looked, Kind.STRAY).first == dt.date(2109, 1, 8)
    assert looked.weather.days == 40
    assert np.isnan(looked.weather.rain_mm[7])


def test_negative_rain() -> None:
    rows = of_season(rain_mm=(9, -0.1))
    assert only(look_over(rows), Kind.NEGATIVE).value == -0.1
    assert np.isnan(look_over(rows).weather.rain_mm[9])
    assert look_over(rows, {Kind.NEGATIVE: Mend.ZERO}).weather.rain_mm[9] == 0.0


def test_500_mm_that_were_tenths() -> None:
    """One day of 500 among days of a few mm: over nine times the heaviest twentieth of its month's wet days."""
    rows = of_season(rain_mm=(300, 500.0))
    looked = look_over(rows)
    assert (only(looked, Kind.UNLIKELY_RAIN).value, looked.weather.rain_mm[300]) == (500.0, 500.0)
    assert look_over(rows, {Kind.UNLIKELY_RAIN: Mend.TENTH}).weather.rain_mm[300] == 50.0
    assert np.isnan(look_over(rows, {Kind.UNLIKELY_RAIN: Mend.DROP}).weather.rain_mm[300])


@pytest.mark.parametrize(
    ("column", "value"),
    [("rain_mm", 1825.1), ("t_min_c", -89.3), ("t_max_c", 56.8), ("t_max_c", 185.0)],
)
def test_what_no_day_on_earth_has_had(column: str, value: float) -> None:
    """The world's records by the WMO: 1,825 mm at Foc-Foc, -89.2 at Vostok, 56.7 at Furnace Creek."""
    looked = look_over(of_season(**{column: (400, value)}))
    assert only(looked, Kind.IMPOSSIBLE).column == column
    assert np.isnan(getattr(looked.weather, column)[400])


def test_a_tenth_of_an_impossible_figure_is_taken_where_it_can_be() -> None:
    rows = of_season(t_max_c=(400, 185.0))
    assert look_over(rows, {Kind.IMPOSSIBLE: Mend.TENTH}).weather.t_max_c[400] == 18.5
    far = of_season(rain_mm=(400, 99_000.0))
    assert np.isnan(look_over(far, {Kind.IMPOSSIBLE: Mend.TENTH}).weather.rain_mm[400])


def test_lowest_above_highest() -> None:
    rows = of_season(t_min_c=(180, 40.0))
    looked = look_over(rows)
    crossed = only(looked, Kind.CROSSED)
    assert (crossed.value, crossed.first) == (40.0, START + dt.timedelta(days=180))
    assert np.isnan([looked.weather.t_min_c[180], looked.weather.t_max_c[180]]).all()
    swapped = look_over(rows, {Kind.CROSSED: Mend.SWAP}).weather
    assert (swapped.t_min_c[180], swapped.t_max_c[180]) == (crossed.other, 40.0)


def test_an_unlikely_temperature_is_kept_unless_dropped() -> None:
    rows = of_season(t_min_c=(180, -30.0))
    assert look_over(rows).weather.t_min_c[180] == -30.0
    assert only(look_over(rows), Kind.UNLIKELY_TEMPERATURE).value == -30.0
    assert np.isnan(look_over(rows, {Kind.UNLIKELY_TEMPERATURE: Mend.DROP}).weather.t_min_c[180])


@pytest.mark.parametrize(("days", "found"), [(19, 0), (20, 1)])
def test_an_instrument_that_is_stuck(days: int, found: int) -> None:
    """Twenty days of one figure: the streak check of the Global Historical Climatology Network."""
    rain, low, high = season()
    low[100 : 100 + days] = 7.77
    rows = rows_of(rain.tolist(), t_min_c=low.tolist(), t_max_c=high.tolist())
    assert len(look_over(rows).of(Kind.STUCK)) == found
    dropped = look_over(rows, {Kind.STUCK: Mend.DROP}).weather.t_min_c[100 : 100 + days]
    assert np.isnan(dropped).sum() == days * found


def test_rain_in_tenths_throughout_is_suspected() -> None:
    rain, _, _ = season()
    looked = look_over(rows_of(np.round(rain * 100).tolist()))
    units = only(looked, Kind.UNITS)
    assert units.other == pytest.approx(units.value / 10)
    tenths = look_over(rows_of(np.round(rain * 100).tolist()), {Kind.UNITS: Mend.TENTH}).weather
    assert tenths.rain_mm[0] == pytest.approx(20.0)


def test_rain_in_inches_throughout_is_suspected() -> None:
    rain, _, _ = season()
    rows = rows_of((rain / 25.4).round(2).tolist())
    assert only(look_over(rows), Kind.UNITS).words == Mend.INCHES
    assert look_over(rows, {Kind.UNITS: Mend.INCHES}).weather.rain_mm[0] == pytest.approx(2.0, abs=0.13)


def test_a_desert_is_not_taken_for_inches() -> None:
    rain = [0.0] * 730
    for place in range(10, 730, 40):
        rain[place] = 3.0
    assert look_over(rows_of(rain)).of(Kind.UNITS) == ()


def test_a_choice_that_a_kind_does_not_have_is_refused() -> None:
    with pytest.raises(InputError, match='"zero" is no mend for "crossed"'):
        look_over(of_season(), {Kind.CROSSED: Mend.ZERO})
    with pytest.raises(InputError, match="No rain is in it"):
        look_over(DayRows(np.array([START], dtype="datetime64[D]"), np.array([2]), {"t_min_c": np.array([1.0])}))


figures = st.floats(-50.0, 2500.0) | st.just(NAN)


@settings(max_examples=40)
@given(data=st.data(), offsets=st.lists(st.integers(0, 60), min_size=1, max_size=50))
def test_whatever_stands_there_nothing_is_filled_by_itself(data: st.DataObject, offsets: list[int]) -> None:
    """Any rows in any order: with no choice made, every figure that is left stood in the file for that day."""
    rain = data.draw(st.lists(figures, min_size=len(offsets), max_size=len(offsets)))
    low = data.draw(st.lists(figures, min_size=len(offsets), max_size=len(offsets)))
    days = [START + dt.timedelta(days=offset) for offset in offsets]
    weather = look_over(rows_of(rain, days=days, t_min_c=low, t_max_c=low)).weather
    for column, stood in (("rain_mm", rain), ("t_min_c", low)):
        for place, value in enumerate(getattr(weather, column)):
            day = weather.start + dt.timedelta(days=place)
            in_file = [each for when, each in zip(days, stood, strict=True) if when == day]
            assert np.isnan(value) or value in in_file
    assert (np.isnan(weather.rain_mm) | ((weather.rain_mm >= 0.0) & (weather.rain_mm <= 1825.0))).all()


def test_every_kind_and_mend_has_words() -> None:
    assert set(HEADS) == set(CHOICES) == set(Kind)
    assert set(MENDS) == set(Mend)
    for kind in Kind:
        anomaly = Anomaly(kind, "rain_mm", START, START, 1.0, 2.0, 7, "x")
        told = [day_text(anomaly), value_text(anomaly, UnitSystem.US), why_text(anomaly, UnitSystem.US)]
        assert all("{" not in words and "nan" not in words for words in told)
        assert told[2].endswith(".")


def test_merced_as_the_contents_of_the_shared_data_list_it(shared_data: Path) -> None:
    """12 missing dates, 61 missing highs, one day with the lowest above the highest; and a naught, 0 °F in May."""
    looked = look_over(read_days(shared_data / "climate-merced-us" / "daily.csv"))
    assert sum(each.days for each in looked.of(Kind.RAIN_UNKNOWN) if not each.line) == 12
    highs = [each for each in looked.of(Kind.TEMPERATURE_UNKNOWN) if each.column == "t_max_c"]
    # its list counts empty cells; ours has the 12 days without a row and the crossed day too
    assert sum(each.days for each in highs) == 61 + 12 + 1
    assert only(looked, Kind.CROSSED).first == dt.date(1992, 12, 29)
    naught = only(looked, Kind.UNLIKELY_TEMPERATURE)
    assert (naught.first, naught.value) == (dt.date(2003, 5, 23), -17.8)
