"""A look at weather: years, spells, driest months, against figures counted by other means."""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gardenwater.files import import_weather
from gardenwater.units import UnitSystem
from gardenwater.weather import Weather, driest_run, look, monthly_of, spells
from gardenwater.weather.look_words import look_words, span_words

DATA = Path(__file__).resolve().parent.parent / "data"
DE_BILT = DATA / "debilt_2017_2018.csv"


def run(rain: list[float], start: dt.date = dt.date(2019, 1, 1)) -> Weather:
    return Weather(start=start, rain_mm=rain)


def test_spells_by_hand() -> None:
    weather = run([0, 0.9, 1.0, 5, 0, float("nan"), 0, 0, 0])
    told = [(spell.first.day, spell.last.day, spell.days) for spell in spells(weather, wet=False)]
    assert told == [(1, 2, 2), (5, 5, 1), (7, 9, 3)]  # a day that is not known ends a spell
    (wet,) = spells(weather, wet=True)
    assert (wet.days, wet.rain_mm) == (2, 6.0)
    assert [spell.days for spell in spells(weather, wet=False, least_days=3)] == [3]


@settings(max_examples=40)
@given(st.lists(st.sampled_from([0.0, 0.5, 2.0, float("nan")]), min_size=1, max_size=80))
def test_spells_cover_every_known_day_once(rain: list[float]) -> None:
    weather = run(rain)
    covered = np.zeros(len(rain), dtype=int)
    for wet in (True, False):
        for spell in spells(weather, wet=wet):
            at = weather.index(spell.first)
            covered[at : at + spell.days] += 1
    assert covered.tolist() == [int(not np.isnan(mm)) for mm in rain]


def by_plain_python(path: Path) -> tuple[dict[int, float], tuple[int, str]]:
    """Rain of the years, and the longest run of days under 1 mm with its last day, from the file's own lines."""
    years: dict[int, float] = {}
    run_days, longest = 0, (0, "")
    with path.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            mm = float(row["precip_mm"])
            years[int(row["date"][:4])] = years.get(int(row["date"][:4]), 0.0) + mm
            run_days = run_days + 1 if mm < 1.0 else 0
            longest = max(longest, (run_days, row["date"]))
    return years, longest


def test_de_bilt_of_the_dry_summer() -> None:
    looked = look(import_weather(DE_BILT).payload)
    years, (days, last) = by_plain_python(DE_BILT)
    assert dict(zip(looked.years, looked.rain_year_mm.tolist(), strict=True)) == pytest.approx(years)
    assert (looked.driest, looked.wettest) == (2018, 2017)
    assert looked.dry_spell is not None
    assert (looked.dry_spell.days, looked.dry_spell.last.isoformat()) == (days, last)
    assert (days, last) == (49, "2018-07-27")  # pinned: the summer of 2018, also counted with awk


@pytest.mark.parametrize(
    ("folder", "years", "driest", "wettest", "dry", "last"),
    [
        ("climate-debilt-nl", 40, (1996, 575.7), (1998, 1239.6), 49, "2018-07-27"),
        ("climate-milwaukee-us", 40, (2003, 567.5), (2019, 1169.3), 36, "2025-02-01"),
        ("climate-merced-us", 10, (2013, 96.5), (2010, 431.5), 202, "2021-10-07"),
    ],
)
def test_real_climates(
    folder: str,
    years: int,
    driest: tuple[int, float],
    wettest: tuple[int, float],
    dry: int,
    last: str,
    shared_data: Path,
) -> None:
    """Totals and spells counted by awk over the files; the shared data's own list names the spell of 202 days.

    Merced's years are those without a day missing in rain and temperatures.
    """
    looked = look(import_weather(shared_data / folder / "daily.csv").payload)
    rain = dict(zip(looked.years, looked.rain_year_mm.tolist(), strict=True))
    assert len(looked.years) == years
    assert (looked.driest, round(rain[driest[0]], 1)) == driest
    assert (looked.wettest, round(rain[wettest[0]], 1)) == wettest
    assert looked.dry_spell is not None
    assert (looked.dry_spell.days, looked.dry_spell.last.isoformat()) == (dry, last)


def test_the_driest_run_takes_whole_months_only() -> None:
    rain = np.ones(120)
    weather = run(rain.tolist(), dt.date(2019, 1, 15))  # from 15 January to 14 May
    found = driest_run(weather, 2)
    assert found is not None
    assert (found.first, found.last, found.rain_mm) == (dt.date(2019, 2, 1), dt.date(2019, 3, 31), 59.0)
    assert driest_run(weather, 4) is None
    assert driest_run(run([1.0] * 10), 3) is None


def test_means_of_months_by_hand() -> None:
    """Two Januaries with 31 and 62 mm, one wet day in two: 46.5 mm on 15.5 days."""
    rain = [2.0, 0.0] * 15 + [1.0] + [0.0] * 334 + [4.0, 0.0] * 15 + [2.0]
    months = monthly_of(run(rain))
    assert months.rain_mm[0] == pytest.approx(46.5)
    assert months.wet_days is not None
    assert months.wet_days[0] == pytest.approx(16.0)  # 16 of 31 in each
    assert months.rain_mm[5] == 0.0
    assert months.t_min_c is None


def test_words_of_a_record_and_of_made_weather() -> None:
    weather = import_weather(DE_BILT).payload
    words = look_words(look(weather), weather, UnitSystem.METRIC)
    assert span_words(weather) == "1 January 2017 to 31 December 2018, 2 whole years"
    assert words[1] == "Longest dry spell: 49 days, 9 June to 27 July 2018."
    assert all("nan" not in sentence for sentence in words)
    short = run([0.0] * 5)
    assert look_words(look(short), short, UnitSystem.US)[0].startswith("No calendar year is whole")
    made = Weather(start=dt.date(1, 1, 1), rain_mm=[3.0] + [0.0] * 364, made=True)
    assert "2 January to 31 December of year 1" in look_words(look(made), made, UnitSystem.METRIC)[1]
