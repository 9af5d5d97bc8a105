"""Weather in the site file and in kept unsaved work: what is saved is what is opened."""

from __future__ import annotations

import datetime as dt
import sqlite3
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gardenwater.errors import FileError
from gardenwater.files import Recovery, open_site, save_site, site_write
from gardenwater.site.climate import ChangedClimate, Monthly
from gardenwater.site.model import Site
from gardenwater.weather import COLUMNS, Weather, handle_of

MONTHLY = Monthly([60.5] * 12, None, [1 / 3] * 12, [9.0] * 12, "the office")
figures = st.floats(-1e6, 1e6) | st.just(float("nan"))


@st.composite
def records(draw: st.DrawFn) -> Weather:
    """Any record of a few days."""
    days = draw(st.integers(1, 12))
    column = st.lists(figures, min_size=days, max_size=days)
    return Weather(
        start=draw(st.dates(dt.date(1, 1, 1), dt.date(9000, 1, 1))),
        left_out=draw(st.lists(st.booleans(), min_size=days, max_size=days)),
        made=draw(st.booleans()),
        source="gauge.csv",
        notices=("Two days were filled.",),
        **{name: draw(column) for name in COLUMNS},
    )


def a_record(days: int = 800) -> Weather:
    """Two years of a gauge, some days not known."""
    random = np.random.default_rng(3)
    rain = np.where(random.random(days) < 0.4, random.exponential(5, days).round(1), 0.0)
    rain[40:45] = np.nan
    return Weather(start=dt.date(2019, 11, 5), rain_mm=rain, t_min_c=random.normal(5, 4, days), source="gauge.csv")


def change(file: Path, *commands: str) -> None:
    connection = sqlite3.connect(file)
    for command in commands:
        connection.execute(command)
    connection.commit()
    connection.close()


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(weather=records())
def test_any_record_comes_back_bit_by_bit(weather: Weather, tmp_path: Path) -> None:
    site = Site(weather=handle_of(weather), monthly=MONTHLY)
    save_site(site, tmp_path / "a.gpkg")
    back = open_site(tmp_path / "a.gpkg")
    assert back == site
    assert back.weather is not None
    assert back.weather.payload.digest == weather.digest
    for name in COLUMNS:
        assert getattr(back.weather.payload, name).tobytes() == getattr(weather, name).tobytes()


def test_days_can_be_read_in_any_gis(tmp_path: Path) -> None:
    save_site(Site(weather=handle_of(a_record())), tmp_path / "a.gpkg")
    import pyogrio

    info = pyogrio.read_info(tmp_path / "a.gpkg", layer="weather")
    assert info["features"] == 800
    assert list(info["fields"]) == ["day", *COLUMNS, "left_out"]


def test_a_record_that_is_there_is_copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a.gpkg"
    site = Site(weather=handle_of(a_record()))
    save_site(site, file)
    written: list[Weather] = []

    def counted(weather: Weather) -> object:
        written.append(weather)
        return whole(weather)

    whole = site_write.rows_of_weather
    monkeypatch.setattr(site_write, "rows_of_weather", counted)
    save_site(site.replace(name="Other"), file)
    assert not written
    assert open_site(file) == site.replace(name="Other")
    other = handle_of(a_record(700))
    save_site(site.replace(weather=other), file)
    assert len(written) == 1
    assert open_site(file).weather == other
    save_site(site.replace(weather=None), file)
    assert open_site(file).weather is None


def test_a_file_from_before_weather_opens_without(tmp_path: Path) -> None:
    file = tmp_path / "a.gpkg"
    save_site(Site(name="Old"), file)
    change(
        file,
        *(
            command
            for table in ("weather", "weather_record", "monthly", "changed_climate")
            for command in (f"DROP TABLE {table}", f"DELETE FROM gpkg_contents WHERE table_name = '{table}'")
        ),
    )
    assert open_site(file) == Site(name="Old")
    save_site(Site(name="Old", monthly=MONTHLY), file)
    assert open_site(file).monthly == MONTHLY


def test_what_another_program_changed_is_taken_and_said(tmp_path: Path) -> None:
    file = tmp_path / "a.gpkg"
    save_site(Site(weather=handle_of(a_record())), file)
    change(file, "UPDATE weather SET rain_mm = 12.5 WHERE day = '2019-11-07'")
    weather = open_site(file).weather
    assert weather is not None
    assert weather.payload.rain_mm[2] == 12.5
    assert weather.notices == ("Another program changed its figures in the site file.",)
    save_site(Site(weather=weather), file)
    assert open_site(file).weather == weather


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("DELETE FROM weather WHERE day = '2019-11-07'", "the day 2019-11-07 is not there"),
        ("DELETE FROM weather", "has no days"),
        ("UPDATE weather SET day = 'today'", '"today" is no day'),
        ("UPDATE weather SET rain_mm = 'much' WHERE day = '2019-11-07'", "2019-11-07: a figure is not a number"),
        ("DELETE FROM monthly WHERE month = 4", "has not one row for each month"),
        ("UPDATE monthly SET rain_mm = NULL WHERE month = 4", 'Table "monthly", row 4, rain_mm is empty'),
        ("UPDATE monthly SET rain_mm = -1 WHERE month = 4", "Rain, April"),
        ("UPDATE changed_climate SET rain_factor = 90 WHERE month = 4", "Rain times, April"),
        ("UPDATE weather_record SET notices = '3'", "notices is not a list of sentences"),
    ],
)  # fmt: skip
def test_what_cannot_be_taken_is_named(tmp_path: Path, command: str, words: str) -> None:
    file = tmp_path / "a.gpkg"
    change_of_climate = ChangedClimate([0.9] * 12, [1.5] * 12, "an office")
    save_site(Site(weather=handle_of(a_record()), monthly=MONTHLY, change=change_of_climate), file)
    change(file, command)
    with pytest.raises(FileError, match=words) as caught:
        open_site(file)
    assert caught.value.mend


def test_unsaved_weather_is_kept_and_found_again(tmp_path: Path) -> None:
    site = Site(name="Kept", weather=handle_of(a_record()), monthly=MONTHLY)
    first = Recovery(tmp_path)
    first.keep(site, path=None, changes=1)
    size = sum(file.stat().st_size for file in tmp_path.rglob("kept.json"))
    assert size < 60_000  # pinned: the days stand once beside it, not in what is written every few seconds
    assert first._held is not None
    first._held.let_go()
    second = Recovery(tmp_path)
    (work,) = second.found()
    assert second.open(work) == site
    second.close()
