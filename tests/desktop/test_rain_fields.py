"""What Overflow is asked for, typed and chosen on its card: wrong words, days, owners, units, undo."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

import gardenwater as gw
from gardenwater.assess import Workbench
from gardenwater.desktop.card.rain_fields import DayField, RainFields, waters_of
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look
from gardenwater.site import edits
from gardenwater.site.model import EventKind
from gardenwater.tables import sample_site
from gardenwater.units import UnitSystem


@pytest.fixture
def look(qapp: QApplication) -> Look:
    return Look(qapp)


@pytest.fixture
def desk(qtbot: QtBot) -> Iterator[Desk]:
    """A desk with the sample garden; nothing is worked out."""
    made = Desk(Workbench)
    made.open(gw.open_site(sample_site("quillet-bank.gpkg")))
    yield made
    made.close()


@pytest.fixture
def holder(qtbot: QtBot) -> QWidget:
    made = QWidget()
    qtbot.addWidget(made)
    return made


@pytest.fixture
def fields(desk: Desk, look: Look, holder: QWidget) -> RainFields:
    made = RainFields(desk, look, holder)
    made.resize(312, 420)
    made.head.setChecked(True)
    holder.resize(320, 440)
    holder.show()
    desk.siteChanged.connect(made.show_settings)
    made.show_settings()
    return made


def edit_named(fields: RainFields, name: str) -> QLineEdit:
    return next(each for each in fields.findChildren(QLineEdit) if each.accessibleName().startswith(name))


def typed(qtbot: QtBot, edit: QLineEdit, words: str) -> None:
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClicks(edit, words)
    qtbot.keyClick(edit, Qt.Key.Key_Return)


def picture(fields: RainFields, name: str) -> None:
    """Kept where somebody wants to look at it."""
    if folder := os.environ.get("GARDENWATER_PICTURES"):
        fields.window().grab().save(f"{folder}/{name}.png")


def test_a_day_that_is_none_is_not_taken_and_it_is_said_why(qtbot: QtBot, desk: Desk, fields: RainFields) -> None:
    desk.edit("Ask", lambda site: edits.settings(site, event=EventKind.WEATHER_DAY))
    day = fields.findChild(DayField)
    edit = edit_named(fields, "Day of the weather")
    before = desk.present
    for wrong, why in (("2001-13-45", "is no date"), ("2099-01-01", "No rain is known")):
        typed(qtbot, edit, wrong)
        assert why in day.refusal
        assert edit.text() == wrong
        assert desk.present is before
    picture(fields, "day-refused")
    typed(qtbot, edit, "0001-02-30")
    assert "is no date" in day.refusal
    edit.selectAll()
    qtbot.keyClick(edit, Qt.Key.Key_Delete)
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert day.refusal == ""
    assert desk.present.settings.weather_day == ""


def test_each_event_shows_its_own_fields(desk: Desk, fields: RainFields) -> None:
    shown = {}
    for kind in EventKind:
        desk.edit("Ask", lambda site, kind=kind: edits.settings(site, event=kind))
        shown[kind] = {
            each.accessibleName().split(",")[0] for each in fields.findChildren(QLineEdit) if each.isVisibleTo(fields)
        }
        picture(fields, f"event-{kind.name.lower()}")
    assert shown[EventKind.WET_DAY] >= {"A wet day", "It lasts"}
    assert shown[EventKind.STORM] >= {"Design storm", "The storm lasts"}
    assert shown[EventKind.WEATHER_DAY] >= {"Day of the weather", "It lasts"}
    assert shown[EventKind.LITRES] >= {"Typed litres", "It lasts"}
    assert not shown[EventKind.STORM] & {"A wet day", "It lasts", "Typed litres", "Day of the weather"}


def test_numbers_are_typed_in_either_units_and_taken_back(qtbot: QtBot, desk: Desk, fields: RainFields) -> None:
    typed(qtbot, edit_named(fields, "A wet day"), "1.5 in")
    assert desk.present.settings.wet_day_mm == pytest.approx(38.1)
    desk.undo()
    assert desk.present.settings.wet_day_mm == pytest.approx(24.0)
    desk.edit("Units", lambda site: edits.settings(site, units=UnitSystem.US, event=EventKind.LITRES))
    fields.show_settings()
    typed(qtbot, edit_named(fields, "Typed litres, US gal"), "1000")
    assert desk.present.settings.typed_l == pytest.approx(3785.4, abs=0.1)
    typed(qtbot, edit_named(fields, "Typed litres, US gal"), "99999999999")
    assert desk.present.settings.typed_l == pytest.approx(3785.4, abs=0.1)
    picture(fields, "litres-us-refused")


def test_whose_water_is_chosen_from_those_that_are_there(desk: Desk, fields: RainFields) -> None:
    box = next(each for each in fields.findChildren(QComboBox) if each.accessibleName() == "Water of")
    assert box.currentText() == "the whole site"
    place = box.findText("Shed tank")
    box.setCurrentIndex(place)
    box.activated.emit(place)
    assert desk.present.settings.spills_from == "tank-3"
    assert box.currentText() == "Shed tank"
    by_name = edits.settings(desk.present, spills_from="Shed tank")
    assert ("Shed tank", "Shed tank") in waters_of(by_name)
    gone = edits.settings(desk.present, spills_from="Barn")
    assert waters_of(gone)[-1] == ("Barn, not there", "Barn")
