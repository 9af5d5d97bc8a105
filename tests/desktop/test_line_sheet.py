"""The sheet of a line without a map: what it gives, and bucket and stopwatch kept with the line."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from shapely import LineString

from gardenwater.assess.bucket import bucket_tests, set_by_tests, words_of
from gardenwater.assess.lines import hydraulic_line
from gardenwater.desktop.card.number_field import NumberEdit
from gardenwater.desktop.dialogs.line_sheet import LineSheet
from gardenwater.desktop.dialogs.line_words import draw_min
from gardenwater.desktop.window import MainWindow
from gardenwater.errors import EditError, InputError
from gardenwater.hydraulics import BucketTest, Line, calibrate, flow_l_min, given_by
from gardenwater.site import edits
from gardenwater.site.things import WateringLine


def typed(field: object, words: str, qtbot: QtBot) -> None:
    edit = field.findChild(NumberEdit)  # type: ignore[attr-defined]
    edit.selectAll()
    qtbot.keyClicks(edit, words)
    qtbot.keyClick(edit, Qt.Key.Key_Return)


def shown(window: MainWindow, line_id: str = "") -> LineSheet:
    sheet = LineSheet(window.desk, window.look, window, line_id)
    window.files.show(sheet)
    return sheet


def with_line(window: MainWindow) -> None:
    drawn = WateringLine(id="line-1", name="Hose", shape=LineString([(19, 17), (9, 12)]), tank="tank-1")
    window.desk.edit("Draw", lambda site: edits.put(site, drawn))


def test_it_says_the_flow_a_can_and_a_tank(site_window: MainWindow, qtbot: QtBot) -> None:
    sheet = shown(site_window)
    typed(sheet.fields["head_m"], "1.0", qtbot)
    typed(sheet.fields["length_m"], "10", qtbot)
    # 1 m, 10 m of 19.05 mm, K 2.5 with exit: 18.5 L/min (trade facts, checks H08)
    line = hydraulic_line(site_window.desk.present.settings.line)
    assert given_by(line, head_m=1.0, length_m=10.0).flow_l_min == pytest.approx(18.5, rel=0.02)
    assert sheet.figures.accessibleName().startswith(
        "18.7\u00a0L/min with it full open; 30\u00a0s a can; 54\u00a0min for"
    )
    typed(sheet.fields["head_m"], "0", qtbot)
    assert sheet.figures.accessibleName().startswith("nothing flows under this head")


def test_a_tank_whose_water_falls_takes_longer_and_one_below_its_outlet_never() -> None:
    line = Line(bore_mm=19.05)
    still = draw_min(line, {"head_m": 1.0, "length_m": 10.0, "falls_m": 0.0}, 1000.0)
    assert still == pytest.approx(1000.0 / float(flow_l_min(1.0, 10.0, line)))
    assert draw_min(line, {"head_m": 1.0, "length_m": 10.0, "falls_m": 0.8}, 1000.0) > still
    assert math.isinf(draw_min(line, {"head_m": 0.5, "length_m": 10.0, "falls_m": 0.8}, 1000.0))


def test_bucket_and_stopwatch_are_kept_with_the_line(site_window: MainWindow, qtbot: QtBot) -> None:
    with_line(site_window)
    desk = site_window.desk
    sheet = shown(site_window, "line-1")
    assert sheet.line_id == "line-1"
    assert sheet.fields["length_m"].value == pytest.approx(11.2, abs=0.05)
    assert not sheet.keep.isEnabled()
    real = hydraulic_line(desk.present.thing("line-1", WateringLine))
    slower = Line(bore_mm=real.bore_mm, fittings_k=12.0)
    seconds = 10.0 / float(flow_l_min(1.2, 11.2, slower)) * 60.0
    typed(sheet.fields["test_head_m"], "1.2", qtbot)
    typed(sheet.fields["seconds"], f"{seconds:.2f}", qtbot)
    sheet.add_test.click()
    assert sheet.keep.isEnabled()
    assert "The tests tell the fittings" in sheet.told.text()
    sheet.keep.click()
    line = desk.present.thing("line-1", WateringLine)
    assert line.fittings_k == pytest.approx(12.0, rel=0.05)
    assert desk.history.undo_label == "Set Hose by bucket"
    (kept,) = bucket_tests(line.bucket_tests)
    assert (kept.head_m, kept.length_m, kept.litres) == (1.2, 11.2, 10.0)
    desk.undo()
    assert desk.present.thing("line-1", WateringLine).bucket_tests == ""


def test_tests_that_no_line_gives_are_not_kept(site_window: MainWindow) -> None:
    with_line(site_window)
    site = site_window.desk.present
    line = hydraulic_line(site.thing("line-1", WateringLine))
    wild = (BucketTest(1.0, 10.0, 10.0, 5.0), BucketTest(1.0, 10.0, 10.0, 500.0))
    found = calibrate(line, wild)
    with pytest.raises(EditError, match="No wall and no fittings"):
        set_by_tests(site, "line-1", found, wild)


def test_the_usual_line_is_set_too_and_words_go_there_and_back(site_window: MainWindow) -> None:
    site = site_window.desk.present
    line = hydraulic_line(site.settings.line)
    tests = (BucketTest(1.0, 10.0, 10.0, 10.0 / float(flow_l_min(1.0, 10.0, Line(19.05, fittings_k=8.0))) * 60.0),)
    after = set_by_tests(site, "", calibrate(line, tests), tests)
    assert after.settings.line.fittings_k == pytest.approx(8.0, rel=0.05)
    assert bucket_tests(words_of(tests))[0].seconds == pytest.approx(tests[0].seconds, rel=1e-5)
    assert bucket_tests("") == ()
    with pytest.raises(InputError, match="no test"):
        bucket_tests("1, 2, three")
