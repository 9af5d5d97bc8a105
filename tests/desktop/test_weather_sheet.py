"""The weather's sheet: figures typed and pasted, a file read and put right, all of it one edit."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from gardenwater.desktop.dialogs.ask import QuestionSheet
from gardenwater.desktop.weather import WeatherSheet
from gardenwater.desktop.weather.figures import cells_of, pasted, typed
from gardenwater.desktop.weather.look_page import NOTHING_YET
from gardenwater.desktop.weather.sheet import EDIT_LABEL
from gardenwater.desktop.weather.year_picture import round_up
from gardenwater.desktop.window import MainWindow
from gardenwater.site import edits
from gardenwater.site.climate import MONTHLY_COLUMNS, ChangedClimate, Monthly
from gardenwater.units import UnitSystem
from gardenwater.weather import CHOICES, Kind, Mend

DE_BILT = Path(__file__).resolve().parent.parent / "data" / "debilt_2017_2018.csv"
GAPS = "date,rain_mm,tmin_c,tmax_c\n2020-01-01,1,2,8\n2020-01-03,3,4,9\n2020-01-04,-1,4,9\n"
MONTHLY = Monthly([76.2] * 12, [10.0] * 12, [4.0] * 12, [12.0] * 12, "the office")
METRIC, US = UnitSystem.METRIC, UnitSystem.US
NO_WET_DAYS = frozenset({"wet_days"})


@pytest.fixture
def sheet(site_window: MainWindow) -> WeatherSheet:
    site_window.desk.want_weather()
    shown = site_window.files.sheet
    assert isinstance(shown, WeatherSheet)
    return shown


def read(sheet: WeatherSheet, path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(sheet.record.changed, timeout=10_000):
        sheet.record.read(path)


def kind_box(sheet: WeatherSheet, kind: Kind):
    looked = sheet.record.reading.looked
    return sheet.record.kinds.cellWidget(looked.kinds.index(kind), 2)


def test_figures_and_words_are_the_same_in_both_systems() -> None:
    odd = Monthly([1 / 3] * 12, None, [-4.04] * 12, [11.0] * 12)
    for units in UnitSystem:
        cells = cells_of(odd, MONTHLY_COLUMNS, units)
        made = typed(cells, MONTHLY_COLUMNS, NO_WET_DAYS, units, odd)
        assert (made.wrong, made.figures["rain_mm"], made.figures["t_min_c"]) == ("", odd.rain_mm, odd.t_min_c)
    cells[0][0] = "1.00"
    assert typed(cells, MONTHLY_COLUMNS, NO_WET_DAYS, US, odd).figures["rain_mm"][:2] == (25.4, 1 / 3)


def test_a_column_is_filled_wholly_or_it_is_wrong() -> None:
    cells = cells_of(MONTHLY, MONTHLY_COLUMNS, METRIC)
    cells[4][1] = ""
    made = typed(cells, MONTHLY_COLUMNS, NO_WET_DAYS, METRIC)
    assert (made.at, made.wrong) == ((4, 1), "Wet days, May: nothing is typed. Fill all twelve.")
    assert typed([["", ""]] * 12, MONTHLY_COLUMNS[:2], NO_WET_DAYS, METRIC).empty


@pytest.mark.parametrize("text", ["\n".join("123456789abc"), "\t".join("123456789abc"), " ".join("123456789abc")])
def test_twelve_are_a_column_however_they_are_copied(text: str) -> None:
    assert pasted(text) == [[sign] for sign in "123456789abc"]


@pytest.mark.parametrize(
    ("value", "up"), [(0.0, 1.0), (0.7, 1.0), (1.0, 1.0), (21.0, 25.0), (26.0, 50.0), (80.0, 100.0)]
)
def test_scales_end_on_round_numbers(value: float, up: float) -> None:
    assert round_up(value) == pytest.approx(up)


def test_monthly_figures_are_typed_and_pasted_and_taken_as_one_edit(
    sheet: WeatherSheet, site_window: MainWindow, qtbot: QtBot
) -> None:
    table = sheet.monthly.table
    assert sheet.record.wrong == ""
    QGuiApplication.clipboard().setText("\n".join(f"{40 + n}\t\t{n}\t{n + 9}" for n in range(12)))
    table.setCurrentCell(0, 0)
    qtbot.keyClick(table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert sheet.take_button.isEnabled()
    assert sheet.monthly.says.text().startswith("546")  # 12 x 40 + 66 mm
    assert sheet.says.text() == "The site is run on years made from the monthly figures."
    sheet.take_button.click()
    desk = site_window.desk
    assert desk.present.monthly is not None
    assert desk.present.monthly.rain_mm == tuple(40.0 + n for n in range(12))
    assert desk.history.undo_label == EDIT_LABEL
    desk.undo()
    assert desk.present.monthly is None


def test_a_wrong_cell_is_told_and_nothing_can_be_taken(sheet: WeatherSheet) -> None:
    sheet.monthly.show_figures(MONTHLY)
    item = sheet.monthly.table.item(6, 2)
    item.setText("40")
    assert sheet.monthly.wrong.startswith("Lowest, July")
    assert not sheet.take_button.isEnabled()
    item.setText("4.0")
    assert sheet.take_button.isEnabled()


def test_enter_goes_down_and_delete_empties(sheet: WeatherSheet, qtbot: QtBot) -> None:
    sheet.monthly.show_figures(MONTHLY)
    table = sheet.monthly.table
    table.setCurrentCell(2, 1)
    qtbot.keyClick(table, Qt.Key.Key_Return)
    assert (table.currentRow(), table.currentColumn()) == (3, 1)
    table.selectColumn(1)
    qtbot.keyClick(table, Qt.Key.Key_Delete)
    figures = sheet.monthly.figures()
    assert figures is not None
    assert figures.wet_days is None


def test_a_changed_climate_for_all_months(sheet: WeatherSheet, site_window: MainWindow) -> None:
    sheet.monthly.show_figures(MONTHLY)
    assert sheet.change.figures() is None
    sheet.change.all_rain.setText("0.9")
    sheet.change.all_warmer.setText("1.5")
    sheet.change.all_button.click()
    sheet.take_button.click()
    assert site_window.desk.present.change == ChangedClimate([0.9] * 12, [1.5] * 12)


def test_a_file_of_rain_alone_is_told_what_it_lacks(sheet: WeatherSheet, tmp_path: Path, qtbot: QtBot) -> None:
    (tmp_path / "gauge.csv").write_text("date,rain mm\n2020-01-01,3\n2020-01-02,0\n2020-01-03,1.5\n")
    read(sheet, tmp_path / "gauge.csv", qtbot)
    assert "It has rain alone." in sheet.record.says.text()


def test_a_file_is_read_and_nothing_is_wrong(sheet: WeatherSheet, site_window: MainWindow, qtbot: QtBot) -> None:
    read(sheet, DE_BILT, qtbot)
    assert "2 whole years" in sheet.record.says.text()
    assert sheet.record.wrong_head.text().startswith("Nothing is wrong")
    assert sheet.record.kinds.rowCount() == 0
    sheet.take_button.click()
    weather = site_window.desk.present.weather
    assert weather is not None
    assert (weather.days, weather.start.year) == (730, 2017)


def test_what_is_wrong_is_put_right_as_chosen(sheet: WeatherSheet, qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "days.csv").write_text(GAPS)
    read(sheet, tmp_path / "days.csv", qtbot)
    record = sheet.record
    assert record.reading.looked.kinds == (Kind.NEGATIVE, Kind.RAIN_UNKNOWN, Kind.TEMPERATURE_UNKNOWN)
    assert record.days.item(0, 0).text() == "2020-01-04"
    assert record.days.item(0, 2).toolTip().startswith("Rain is never below nothing")
    for kind, mend in ((Kind.NEGATIVE, Mend.ZERO), (Kind.RAIN_UNKNOWN, Mend.MONTH_MEAN)):
        with qtbot.waitSignal(record.changed, timeout=10_000):
            kind_box(sheet, kind).activated.emit(CHOICES[kind].index(mend))
    weather = record.weather()
    assert weather is not None
    assert weather.rain_mm[3] == 0.0
    assert weather.rain_mm[1] == pytest.approx(4 / 3)  # of 1, 3 and 0 mm
    assert np.isnan(weather.t_min_c[1])


def test_a_column_is_taken_for_what_the_user_says(sheet: WeatherSheet, qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "days.csv").write_text("date,gauge\n2020-01-13,10\n2020-01-14,0\n")
    read(sheet, tmp_path / "days.csv", qtbot)
    assert sheet.record.wrong == "Say which column is the rain."
    assert not sheet.take_button.isEnabled()
    with qtbot.waitSignal(sheet.record.changed, timeout=10_000):
        sheet.record.columns.cellWidget(0, 2).activated.emit(1)  # rain
    assert sheet.take_button.isEnabled()
    units = sheet.record.columns.cellWidget(0, 3)
    assert units.currentText().endswith(", likely")
    with qtbot.waitSignal(sheet.record.changed, timeout=10_000):
        units.activated.emit(1)  # tenths
    assert sheet.record.weather().rain_mm.tolist() == [1.0, 0.0]


def test_the_order_of_day_and_month_is_asked(sheet: WeatherSheet, qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "days.csv").write_text("date,rain_mm\n01/02/2020,1\n05/06/2020,2\n")
    read(sheet, tmp_path / "days.csv", qtbot)
    assert sheet.record.order.isVisibleTo(sheet.record)
    assert sheet.record.weather().start.month == 2
    with qtbot.waitSignal(sheet.record.changed, timeout=10_000):
        sheet.record.order.chosen.emit(1)
    assert sheet.record.weather().start.month == 1


def test_several_stations_are_asked_about(sheet: WeatherSheet, qtbot: QtBot, tmp_path: Path) -> None:
    rows = "".join(f"USC0000000{n},2020010{day},PRCP,{n}0,,,7,\n" for n in (1, 2) for day in (1, 2))
    (tmp_path / "two.csv").write_text(rows)
    sheet.record.read(tmp_path / "two.csv")
    qtbot.waitUntil(lambda: bool(sheet.findChildren(QuestionSheet)), timeout=10_000)
    (question,) = sheet.findChildren(QuestionSheet)
    question.choose("USC00000002")
    with qtbot.waitSignal(sheet.record.changed, timeout=10_000):
        question.go_button.click()
    assert sheet.record.weather().rain_mm.tolist() == [2.0, 2.0]


def test_a_file_that_cannot_be_read_says_so_and_keeps_what_was_there(
    site_window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    site_window.desk.edit("Months", lambda site: edits.set_monthly(site, MONTHLY))
    site_window.desk.want_weather()
    sheet = site_window.files.sheet
    assert isinstance(sheet, WeatherSheet)
    (tmp_path / "days.csv").write_text("hello\nworld\n")
    sheet.record.read(tmp_path / "days.csv")
    qtbot.waitUntil(lambda: "no line of it" in sheet.record.says.text(), timeout=10_000)
    assert sheet.record.choose_button.isEnabled()
    assert sheet.draft(site_window.desk.present) == site_window.desk.present


def test_a_look_at_the_driest_year(sheet: WeatherSheet, qtbot: QtBot) -> None:
    read(sheet, DE_BILT, qtbot)
    sheet.turn_to(3)
    qtbot.waitUntil(lambda: "49 days" in sheet.look_at.says.text(), timeout=10_000)
    assert sheet.look_at.years.currentText() == "driest: 2018"
    assert "longest dry spell 49 days" in sheet.look_at.picture.accessibleDescription()
    assert not sheet.look_at.picture.grab().isNull()


def test_without_weather_the_look_says_so(sheet: WeatherSheet, qtbot: QtBot) -> None:
    sheet.turn_to(3)
    qtbot.waitUntil(lambda: sheet.look_at.says.text() == NOTHING_YET, timeout=10_000)


def test_the_sheet_is_laid_once_and_a_record_can_be_taken_away(
    site_window: MainWindow, sheet: WeatherSheet, qtbot: QtBot
) -> None:
    site_window.desk.want_weather()
    assert site_window.files.sheet is sheet
    read(sheet, DE_BILT, qtbot)
    sheet.record.drop_button.click()
    assert sheet.record.record() is None
    sheet.take_button.click()
    assert site_window.desk.present.weather is None


def test_every_control_has_a_name(sheet: WeatherSheet) -> None:
    for widget in (sheet.monthly.table, sheet.monthly.source, sheet.change.table, sheet.change.all_rain):
        assert widget.accessibleName()
    for widget in (sheet.record.columns, sheet.record.kinds, sheet.record.days, sheet.look_at.years):
        assert widget.accessibleName()
