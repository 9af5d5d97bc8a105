"""Daily weather from files: any headings, units, dates and marks; what is not sure is asked, what is wrong is named."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gardenwater.errors import FileError, InputError
from gardenwater.files import DayOrder, NeedsAnswer, days_seen, import_weather, read_days
from gardenwater.weather import DayRows, Kind, Mend, look_over
from gardenwater.weather.air import wind_2m_m_s


def written(folder: Path, text: str, *, encoding: str = "utf-8") -> Path:
    path = folder / "days.csv"
    path.write_bytes(text.encode(encoding))
    return path


def told(rows: DayRows) -> tuple[list[str], list[float], list[float], list[float]]:
    """Days, rain, lowest and highest of a file."""
    return (
        [str(day) for day in rows.day],
        *(np.round(rows.columns[name], 6).tolist() for name in ("rain_mm", "t_min_c", "t_max_c")),
    )  # type: ignore[return-value]


DAYS = ["2020-02-28", "2020-02-29", "2020-03-01"]
WANTED = (DAYS, [0.0, 12.7, 2.5], [-1.0, 3.5, 5.0], [8.0, 9.5, 12.0])


FORMS = {
    "plain": """date,rain_mm,tmin_c,tmax_c
2020-02-28,0,-1,8
2020-02-29,12.7,3.5,9.5
2020-03-01,2.5,5,12
""",
    "semicolons": """Date;Rain (mm);T min (°C);T max (°C)
28/02/2020;0;-1;8
29/02/2020;12,7;3,5;9,5
01/03/2020;2,5;5;12
""",
    "german": """Datum\tNiederschlag [0.1 mm]\tMin Temp °C\tMax Temp °C
28.02.2020\t0\t-1\t8
29.02.2020\t127\t3,5\t9,5
1.3.2020\t25\t5\t12
""",
    "inches": """YYYYMMDD,precipitation (in),Low temp (F),High temp (F)
20200228,0.00,30.2,46.4
20200229,0.5,38.3,49.1
20200301,0.0984252,41,53.6
""",
    "parts": """# a gauge
# in the garden
#
# year, month, day, rain mm, tn C, tx C
2020, 2, 28, 0, -1, 8
2020, 2, 29, 12.7, 3.5, 9.5
2020, 3, 1, 2.5, 5, 12
""",
    "units in a row": """Date,Tmax,Rain,Tmin
,°C,mm,°C
2/28/2020,8,0,-1
2/29/2020,9.5,12.7,3.5
3/1/2020,12,2.5,5
""",
    "day of year": """Year DOY PRECTOTCORR_mm T2M_MIN T2M_MAX
2020 59 0 -1 8
2020 60 12.7 3.5 9.5
2020 61 2.5 5 12
""",
    "names": """"Day","Rain, mm","Lowest temperature in C","Highest temperature in C"
"28-Feb-2020","T","−1","8"
"29-Feb-2020","12.7","3.5","9.5"
"1-Mar-2020","2.5","5","12"
""",
    "kelvin": """time|rain cm|tmin K|tmax K
2020-02-28T00:00:00Z|0|272.15|281.15
2020-02-29T00:00|1.27|276.65|282.65
2020-03-01 00:00|0.25|278.15|285.15
""",
    "tenths": """date,rain_mm,tmin_tenths_c,tmax_0.1_c

2020-02-28,0,-10,80

2020-02-29,12.7,35,95
2020-03-01,2.5,50,120
""",
}


@pytest.mark.parametrize("text", FORMS.values(), ids=FORMS)
def test_the_usual_forms(text: str, tmp_path: Path) -> None:
    assert told(read_days(written(tmp_path, text))) == WANTED


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_encodings(encoding: str, tmp_path: Path) -> None:
    text = "date,Précip (mm),Tmin (°C),Tmax (°C)\n2020-02-28,0,-1,8\n2020-02-29,12.7,3.5,9.5\n2020-03-01,2.5,5,12\n"
    assert told(read_days(written(tmp_path, text, encoding=encoding))) == WANTED


def _in_form(days: list[dt.date], rain: list[float], form: str) -> str:
    ways = {
        "iso": "%Y-%m-%d",
        "together": "%Y%m%d",
        "day": "%d/%m/%Y",
        "month": "%m/%d/%Y",
        "dots": "%d.%m.%Y",
        "names": "%d %b %Y",
    }
    return "day;rain mm\n" + "".join(
        f"{day.strftime(ways[form])};{str(mm).replace('.', ',')}\n" for day, mm in zip(days, rain, strict=True)
    )


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    start=st.dates(dt.date(1850, 1, 1), dt.date(2100, 1, 1)),
    rain=st.lists(st.decimals(0, 300, places=1).map(float), min_size=20, max_size=60),
    form=st.sampled_from(["iso", "together", "day", "month", "dots", "names"]),
)
def test_any_run_of_days_reads_the_same_in_any_form(
    start: dt.date, rain: list[float], form: str, tmp_path: Path
) -> None:
    days = [start + dt.timedelta(days=number) for number in range(len(rain))]
    rows = read_days(written(tmp_path, _in_form(days, rain, form)))
    assert rows.day.tolist() == days
    assert rows.columns["rain_mm"].tolist() == rain
    assert rows.line.tolist() == list(range(2, len(rain) + 2))


def test_an_order_that_cannot_be_told_is_asked(tmp_path: Path) -> None:
    path = written(tmp_path, "date,rain_mm\n01/01/2020,1\n02/02/2020,2\n")
    with pytest.raises(NeedsAnswer) as asked:
        read_days(path)
    assert asked.value.keyword == "day_order"
    assert [choice.value for choice in asked.value.choices] == list(DayOrder)
    answered = read_days(written(tmp_path, "date,rain_mm\n01/02/2020,1\n05/06/2020,2\n"), day_order="month-first")
    assert [str(day) for day in answered.day] == ["2020-01-02", "2020-05-06"]
    with pytest.raises(InputError, match="no order"):
        read_days(path, day_order="year-first")


def test_days_that_follow_each_other_tell_the_order(tmp_path: Path) -> None:
    path = written(tmp_path, "date,rain_mm\n03/01/2020,1\n04/01/2020,2\n05/01/2020,2\n")
    assert [str(day) for day in read_days(path).day] == ["2020-01-03", "2020-01-04", "2020-01-05"]


def test_rain_without_a_unit_is_asked_with_the_likeliest_first(tmp_path: Path) -> None:
    days = [dt.date(2020, 1, 1) + dt.timedelta(days=number) for number in range(100)]
    wet = "date,PRCP,TMAX,TMIN\n" + "".join(f"{day},{400 * (day.day % 3 == 0)},105,35\n" for day in days)
    with pytest.raises(NeedsAnswer) as asked:
        read_days(written(tmp_path, wet))
    assert asked.value.keyword == "rain_unit"
    assert asked.value.choices[0].value == "0.1 mm"
    rows = read_days(written(tmp_path, wet), rain_unit="0.1 mm")
    assert rows.columns["rain_mm"][2] == pytest.approx(40.0)
    assert rows.columns["t_max_c"][0] == pytest.approx((105 - 32) / 1.8)  # warmer than any day in °C: °F
    with pytest.raises(InputError, match="no unit of rain"):
        read_days(written(tmp_path, wet), rain_unit="buckets")


def test_a_column_that_cannot_be_told_is_asked(tmp_path: Path) -> None:
    path = written(tmp_path, "date,gauge,tmin_c\n2020-01-01,1.5,3\n2020-01-02,0,2\n")
    with pytest.raises(NeedsAnswer) as asked:
        read_days(path)
    assert (asked.value.keyword, asked.value.choices[0].value) == ("rain_column", "gauge")
    rows = read_days(path, rain_column="gauge", rain_unit="mm")
    assert rows.columns["rain_mm"].tolist() == [1.5, 0.0]
    with pytest.raises(FileError, match='no column "bucket"'):
        read_days(path, rain_column="bucket")


def test_headings_can_be_missing(tmp_path: Path) -> None:
    path = written(tmp_path, "2020-01-01,1.5\n2020-01-02,0\n")
    rows = read_days(path, rain_column="column 2", rain_unit="in")
    assert rows.columns["rain_mm"].tolist() == [pytest.approx(38.1), 0.0]


def test_what_is_missing_and_what_cannot_be_read(tmp_path: Path) -> None:
    text = (
        "date,rain_mm,tmin_c,tmax_c\n2020-01-01,-9999,M,\n2020-01-02,wet,2,NA\n2020-01-03,trace,3,4\nsum,1,2,3\n"
        + "".join(f"2020-01-{day:02},1.5A,2,3\n" for day in range(4, 10))
    )
    rows = read_days(written(tmp_path, text))
    assert np.isnan(rows.columns["rain_mm"][:2]).all()
    assert rows.columns["rain_mm"][2:].tolist() == [0.0] + [1.5] * 6  # the letter behind a figure is a station's mark
    assert [(each.line, each.column, each.words) for each in rows.unread] == [
        (5, "", "sum 1 2 3"),
        (3, "rain_mm", "wet"),
    ]
    assert look_over(rows).of(Kind.UNREADABLE)[1].first == dt.date(2020, 1, 2)


def test_wind_of_ten_metres_is_lowered_to_two(tmp_path: Path) -> None:
    text = "date,rain_mm,wind (km/h),Solar radiation (W/m2),RH (%)\n2020-01-01,0,36,100,80\n2020-01-02,0,18,200,70\n"
    rows = read_days(written(tmp_path, text))
    assert rows.columns["wind_m_s"][0] == pytest.approx(float(wind_2m_m_s(10.0, 10.0)))
    assert rows.columns["radiation_mj_m2"].tolist() == pytest.approx([8.64, 17.28])  # 86,400 s in a day
    assert rows.columns["humidity_mean_pct"].tolist() == [80.0, 70.0]
    low = "date,rain_mm,wind 2m (m/s)\n2020-01-01,0,3\n2020-01-02,0,4\n"
    assert read_days(written(tmp_path, low)).columns["wind_m_s"].tolist() == [3.0, 4.0]


def test_what_is_seen_is_what_is_read(tmp_path: Path) -> None:
    path = written(tmp_path, "Date,Rain (in),Max Temp,Snow\n1/13/2020,0.5,55,0\n1/14/2020,0,60,0\n")
    seen = days_seen(path)
    assert [(c.heading, c.column, c.unit) for c in seen.columns] == [
        ("Date", "", ""),
        ("Rain (in)", "rain_mm", "in"),
        ("Max Temp", "t_max_c", "F"),
        ("Snow", "", ""),
    ]
    assert (seen.day_heading, seen.day_order, seen.rows) == ("Date", DayOrder.MONTH_FIRST, 2)
    rows = read_days(path, columns={"t_min_c": "Max Temp", "t_max_c": ""}, units={"t_min_c": "C"})
    assert rows.columns["t_min_c"].tolist() == [55.0, 60.0]
    assert "t_max_c" not in rows.columns


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "it is empty"),
        ("hello\nworld\n", "no line of it starts with a day"),
        ("date,rain_mm\n2020-01-01,1\nx,2\ny,3\n", "line 3 has no day that can be read"),
        ("time,rain_mm\n" + "2020-01-01 00:00,1\n" * 24, "several rows for each day"),
    ],
)
def test_what_cannot_be_taken_is_named(text: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(FileError, match=words) as caught:
        read_days(written(tmp_path, text))
    assert caught.value.mend
    assert "days.csv" in str(caught.value)


def test_a_picture_is_no_weather(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"\x89PNG\r\n\0\0\0")
    with pytest.raises(FileError, match="it is not text"):
        read_days(path)


def dly_line(element: str, year: int, month: int, cells: list[tuple[int, str]], station: str = "USC00000001") -> str:
    padded = cells + [(-9999, " ")] * (31 - len(cells))
    return f"{station}{year}{month:02}{element}" + "".join(f"{value:5d} {flag}X" for value, flag in padded) + "\n"


def test_a_station_file_of_fixed_columns(tmp_path: Path) -> None:
    path = tmp_path / "USC00000001.dly"
    path.write_text(
        dly_line("PRCP", 2020, 2, [(0, " "), (127, " "), (25, "G")])
        + dly_line("TMAX", 2020, 2, [(80, " "), (95, " "), (120, " ")])
        + dly_line("TMIN", 2020, 2, [(-10, " "), (35, " "), (50, " ")])
        + dly_line("SNOW", 2020, 2, [(3, " ")])
    )
    rows = read_days(path)
    assert told(rows) == (["2020-02-01", "2020-02-02", "2020-02-03"], *WANTED[1:])
    assert rows.source == "USC00000001.dly, GHCN-Daily station USC00000001"
    weather = import_weather(path).payload
    assert np.isnan(weather.rain_mm[2])  # the third failed a check of the network's
    assert import_weather(path, choices={Kind.FLAGGED: Mend.KEEP}).payload.rain_mm[2] == 2.5
    assert days_seen(path).form == "station file of GHCN-Daily"


def test_a_station_file_of_a_row_for_each_figure(tmp_path: Path) -> None:
    path = tmp_path / "USC00000001.csv"
    path.write_text(
        "USC00000001,20200201,PRCP,0,,,7,0700\nUSC00000001,20200202,PRCP,127,T,,7,\nUSC00000001,20200203,PRCP,25,,D,7,\n"
        "USC00000001,20200201,TMIN,-10,,,7,\nUSC00000001,20200202,TMIN,35,,,7,\nUSC00000001,20200203,TMIN,50,,,7,\n"
        "USC00000001,20200201,TMAX,80,,,7,\nUSC00000001,20200202,TMAX,95,,,7,\nUSC00000001,20200203,TMAX,120,,,7,\n"
        "USC00000001,20200203,WT01,1,,,7,\n"
    )
    rows = read_days(path)
    assert told(rows) == (["2020-02-01", "2020-02-02", "2020-02-03"], *WANTED[1:])
    assert rows.flagged["rain_mm"].tolist() == [False, False, True]
    path.write_text(path.read_text() + "USC00000002,20200201,PRCP,9,,,7,\n")
    with pytest.raises(NeedsAnswer) as asked:
        read_days(path)
    assert asked.value.keyword == "station"
    assert read_days(path, station="USC00000002").columns["rain_mm"].tolist() == [pytest.approx(0.9)]


def test_attributes_beside_a_figure_mark_what_the_station_doubts(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        'STATION,DATE,PRCP,PRCP_ATTRIBUTES\nUSC1,2020-02-01,0,",,7"\nUSC1,2020-02-02,127,",,7"\nUSC1,2020-02-03,500,",D,7"\n',
    )
    rows = read_days(path, rain_unit="0.1 mm")
    assert rows.flagged["rain_mm"].tolist() == [False, False, True]


def test_a_file_of_the_dutch_office(tmp_path: Path) -> None:
    """The headings that it explains at its top: RH is the rain of the day there, in tenths; -1 is under 0.05 mm.

    -99 in the column of the lowest temperatures is a night of -9.9 °C and not a figure that is missing.
    """
    path = written(
        tmp_path,
        "# SOURCE: the office\n# RH : rain (in 0.1 mm) (-1 for <0.05 mm)\n"
        "# STN,YYYYMMDD,   FG,   TN,   TX,    Q,   RH,   UG\n\n"
        "  260,20200228,   40,  -10,   80,  500,    0,   80\n  260,20200229,   40,   35,   95,  500,  127,   80\n"
        "  260,20200301,   40,  -99,  120,  500,   -1,   80\n",
    )
    rows = read_days(path)
    assert rows.columns["rain_mm"].tolist() == [0.0, pytest.approx(12.7), 0.0]
    assert rows.columns["t_min_c"].tolist() == pytest.approx([-1.0, 3.5, -9.9])
    assert rows.columns["radiation_mj_m2"].tolist() == [5.0, 5.0, 5.0]
    assert not look_over(rows).kinds


@pytest.mark.parametrize(
    ("folder", "days", "missing_days"),
    [("climate-debilt-nl", 14610, 0), ("climate-merced-us", 12053, 12), ("climate-milwaukee-us", 14610, 0)],
)
def test_real_climates_are_read_whole(folder: str, days: int, missing_days: int, shared_data: Path) -> None:
    """Days and gaps as the shared data's own list of contents has them."""
    rows = read_days(shared_data / folder / "daily.csv")
    looked = look_over(rows)
    assert looked.weather.days == days
    assert looked.weather.days - rows.day.size == missing_days
    assert not rows.unread
