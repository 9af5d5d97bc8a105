"""Rows with numbers on the card: added, typed, taken out; each is one change of the words that are kept."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QToolButton
from pytestqt.qtbot import QtBot

from gardenwater.desktop.card.list_field import ListField
from gardenwater.desktop.look import Look
from gardenwater.errors import EditError, GardenwaterError
from gardenwater.site.fields import specs
from gardenwater.site.things import WateringLine
from gardenwater.units import UnitSystem


class Taker:
    """What the field hands its words to; it refuses more than nine of anything."""

    def __init__(self) -> None:
        self.taken: list[str] = []

    def __call__(self, value: str) -> GardenwaterError | None:
        if value.endswith("99"):
            return EditError("Fittings is 99.", mend="Give fewer.")
        self.taken.append(value)
        return None


@pytest.fixture
def taker() -> Taker:
    return Taker()


@pytest.fixture
def field(qtbot: QtBot, taker: Taker) -> ListField:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    made = ListField(specs(WateringLine)["fittings"], UnitSystem.METRIC, taker, Look(app), None)  # type: ignore[arg-type]
    qtbot.addWidget(made)
    made.show_value("ball-valve 1; elbow 2")
    made.show()
    return made


def rows(field: ListField) -> list[str]:
    return [edit.text() for edit in field.findChildren(QLineEdit) if edit.isVisible()]


def test_what_the_thing_has_is_shown(field: ListField) -> None:
    assert rows(field) == ["1", "2"]
    assert field.items == (("ball-valve", 1.0), ("elbow", 2.0))


def test_a_row_is_added_and_taken_out(qtbot: QtBot, field: ListField, taker: Taker) -> None:
    box = field.findChild(QComboBox)
    assert box is not None
    box.setCurrentIndex(box.findData("connector"))
    box.activated.emit(box.currentIndex())
    QApplication.processEvents()
    assert taker.taken[-1] == "ball-valve 1; elbow 2; connector 1"
    assert box.currentText() == "add"
    buttons = [button for button in field.findChildren(QToolButton) if button.isVisible()]
    assert buttons[0].accessibleName() == "Take out Ball valve"
    buttons[0].click()
    assert taker.taken[-1] == "elbow 2; connector 1"
    qtbot.waitUntil(lambda: rows(field) == ["2", "1"])


def test_a_number_is_typed_or_refused(qtbot: QtBot, field: ListField, taker: Taker) -> None:
    elbows = field.findChildren(QLineEdit)[-1]
    elbows.selectAll()
    qtbot.keyClicks(elbows, "4")
    qtbot.keyClick(elbows, Qt.Key.Key_Return)
    assert taker.taken == ["ball-valve 1; elbow 4"]
    elbows.selectAll()
    qtbot.keyClicks(elbows, "99")
    qtbot.keyClick(elbows, Qt.Key.Key_Return)
    assert taker.taken == ["ball-valve 1; elbow 4"]
    assert field.items[1] == ("elbow", 4.0)


def test_several_that_differ_are_mixed(field: ListField) -> None:
    field.show_value(None)
    assert rows(field) == []
    assert field.items == ()
