"""Weather without a window: looked over, given to a site, and in the record of an assessment."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import gardenwater as gw
from gardenwater.cli import main
from gardenwater.errors import FileError
from gardenwater.files import read_monthly
from gardenwater.site.climate import Monthly
from gardenwater.site.model import Site

DE_BILT = Path(__file__).resolve().parent.parent / "data" / "debilt_2017_2018.csv"
GAPS = "date,rain_mm,tmin_c,tmax_c\n2020-01-01,1,2,8\n2020-01-03,3,4,9\n2020-01-04,-1,12,9\n"
MONTHLY = "month;rain mm;wet days;Tmin C;Tmax C\n" + "".join(f"{n};{40 + n};8;{n};{n + 9},5\n" for n in range(1, 13))


def one_line(words: str) -> str:
    assert words.count("\n") == 1
    assert words.startswith("gardenwater: ")
    return words


def test_a_file_is_looked_over(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["weather", str(DE_BILT)]) == 0
    said = capsys.readouterr().out
    assert "1 January 2017 to 31 December 2018, 2 whole years" in said
    assert "Longest dry spell: 49 days, 9 June to 27 July 2018." in said
    assert "Nothing is wrong with it." in said


def test_a_file_of_rain_alone_is_told_what_it_lacks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "gauge.csv").write_text("date,rain mm\n2020-01-01,3\n2020-01-02,0\n2020-01-03,1.5\n")
    assert main(["weather", str(tmp_path / "gauge.csv")]) == 0
    assert "It has rain alone." in capsys.readouterr().out
    assert main(["weather", str(DE_BILT)]) == 0
    assert "It has rain alone." not in capsys.readouterr().out


def test_what_is_wrong_is_listed_with_what_can_be_done(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "days.csv").write_text(GAPS)
    assert main(["weather", str(tmp_path / "days.csv"), "--mend", "negative=zero"]) == 0
    said = capsys.readouterr().out
    assert "negative=zero of: drop, zero" in said
    assert "2020-01-04, 12.0 °C over 9.0 °C, The night is warmer than the day (line 4)." in said
    assert "2020-01-02, The file has no row for it." in said


def test_it_is_given_to_a_site(tmp_path: Path) -> None:
    (tmp_path / "days.csv").write_text(GAPS)
    gw.save_site(Site(name="Plot"), tmp_path / "plot.gpkg")
    words = ["weather", str(tmp_path / "days.csv"), "--into", str(tmp_path / "plot.gpkg"), "--quiet"]
    assert main([*words, "--mend", "rain-unknown=zero", "--mend", "temperature-unknown=between"]) == 0
    site = gw.open_site(tmp_path / "plot.gpkg")
    assert site.name == "Plot"
    assert site.weather is not None
    assert site.weather.payload.rain_mm.tolist() == [1.0, 0.0, 3.0, 0.0]
    assert site.weather.payload.t_min_c.tolist() == [2.0, 3.0, 4.0, 4.0]


@pytest.mark.parametrize(
    ("mend", "told"),
    [("rain=zero", "names nothing that can be wrong"), ("crossed=zero", "Give crossed=drop or swap")],
)
def test_a_mend_that_is_none(mend: str, told: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["weather", str(DE_BILT), "--mend", mend]) == 2
    assert told in one_line(capsys.readouterr().err)


def test_what_a_file_leaves_open_names_the_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "days.csv").write_text("date,PRCP\n2020-01-13,5\n2020-01-14,0\n")
    assert main(["weather", str(tmp_path / "days.csv")]) == 2
    assert "Add --rain-unit" in one_line(capsys.readouterr().err)
    assert main(["weather", str(tmp_path / "days.csv"), "--rain-unit", "0.1 mm"]) == 0


def test_a_file_that_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["weather", str(tmp_path / "none.csv")]) == 3
    assert "none.csv" in one_line(capsys.readouterr().err)


def test_a_site_is_made_with_weather_and_monthly_figures(tmp_path: Path) -> None:
    (tmp_path / "months.csv").write_text(MONTHLY)
    target = tmp_path / "plot.gpkg"
    assert main(["make", str(target), "--weather", str(DE_BILT), "--monthly", str(tmp_path / "months.csv")]) == 0
    site = gw.open_site(target)
    assert site.weather is not None
    assert site.weather.days == 730
    assert site.monthly is not None
    assert site.monthly.t_max_c == tuple(n + 9.5 for n in range(1, 13))
    record = gw.assess(site).record()["weather"]
    assert (record["origin"], record["whole_years"], record["driest_year"]) == ("record", 2, 2018)
    assert record["longest_dry_spell"]["days"] == 49
    assert record["monthly_figures"]["rain_mm"][0] == 41.0


def test_made_weather_says_that_it_is_made() -> None:
    site = gw.edits.set_monthly(Site(), Monthly([60.0] * 12, None, [4.0] * 12, [12.0] * 12, "the office"))
    record = gw.assess(site).record()["weather"]
    assert (record["made"], record["whole_years"], record["source"]) == (True, 30, "the office")
    assert record["mean_year_rain_mm"] == pytest.approx(720.0)
    assert "chance" in record["trust"]
    assert gw.assess(Site()).record()["weather"] is None


def test_gaps_are_in_the_record(tmp_path: Path) -> None:
    (tmp_path / "days.csv").write_text(GAPS)
    handle = gw.files.import_weather(tmp_path / "days.csv")
    record = gw.assess(gw.edits.set_weather(Site(), handle)).record()["weather"]
    # the second has no row, the fourth is negative and crossed
    assert record["days_left_out"] == 2
    assert "1 day had negative rain: taken as not known." in record["notices"]
    assert np.isnan(handle.payload.rain_mm[[1, 3]]).all()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda text: text.rsplit("\n", 2)[0] + "\n", "11 rows under its headings and not twelve"),
        (lambda text: text.replace("rain mm", "gauge"), "no heading of it is that of the rain"),
        (lambda text: text.replace("3;43;", "3;much;"), "nothing can be read for March"),
        (lambda text: text.replace("3;43;", "3;-43;"), "Rain, March"),
    ],
    ids=["short", "heading", "word", "negative"],
)
def test_monthly_figures_that_cannot_be_taken(spoil, words: str, tmp_path: Path) -> None:
    path = tmp_path / "months.csv"
    path.write_text(spoil(MONTHLY))
    with pytest.raises(FileError, match=words) as caught:
        read_monthly(path)
    assert caught.value.mend


def test_monthly_figures_in_other_units(tmp_path: Path) -> None:
    path = tmp_path / "months.csv"
    path.write_text("month,rain (in),low (F),high (F)\n" + "".join(f"{n},2,41,59\n" for n in range(1, 13)))
    monthly = read_monthly(path)
    assert monthly.rain_mm == pytest.approx([50.8] * 12)
    assert monthly.t_min_c == pytest.approx([5.0] * 12)
    assert monthly.wet_days is None
