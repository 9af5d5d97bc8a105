"""Fields of the card: typed units, steps by key, refusals in words."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.look import Look
from gardenwater.errors import EditError, GardenwaterError
from gardenwater.site.fields import specs
from gardenwater.site.things import Tank
from gardenwater.units import UnitSystem


class Taker:
    """What a field hands its values to; it refuses what is over 1.5 m as a tank's stand does."""

    def __init__(self) -> None:
        self.taken: list[float | None] = []

    def __call__(self, value: float | None) -> GardenwaterError | None:
        if value is not None and value > 1.5:
            return EditError("Over 1.50 m a stand needs a designed base.", mend="Give less.")
        self.taken.append(value)
        return None


@pytest.fixture
def taker() -> Taker:
    return Taker()


def stand_field(qtbot: QtBot, taker: Taker, system: UnitSystem = UnitSystem.METRIC) -> NumberField:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    field = NumberField(specs(Tank)["stand_height_m"], system, taker, Look(app))
    qtbot.addWidget(field)
    field.show_value(0.6)
    with qtbot.waitExposed(field):
        field.show()
    field.activateWindow()
    field.setFocus()
    return field


def type_in(qtbot: QtBot, field: NumberField, words: str) -> None:
    edit = field.focusProxy()
    assert edit is not None
    edit.selectAll()  # type: ignore[attr-defined]
    qtbot.keyClicks(edit, words)
    qtbot.keyClick(edit, Qt.Key.Key_Return)


@pytest.mark.parametrize(("typed", "metres"), [("45 cm", 0.45), ("0.45", 0.45), ("1' 6\"", 0.4572), ("18 in", 0.4572)])
def test_units_may_be_typed(qtbot: QtBot, taker: Taker, typed: str, metres: float) -> None:
    field = stand_field(qtbot, taker)
    type_in(qtbot, field, typed)
    assert taker.taken[-1] == pytest.approx(metres, abs=1e-9)


def test_keys_change_by_the_last_place_and_by_ten_of_them(qtbot: QtBot, taker: Taker) -> None:
    field = stand_field(qtbot, taker)
    edit = field.focusProxy()
    qtbot.keyClick(edit, Qt.Key.Key_Up)
    qtbot.keyClick(edit, Qt.Key.Key_PageDown)
    assert taker.taken == pytest.approx([0.61, 0.51])


def test_what_is_refused_is_told_below_and_the_value_stays(qtbot: QtBot, taker: Taker) -> None:
    field = stand_field(qtbot, taker)
    type_in(qtbot, field, "1.9")
    told = " ".join(label.text() for label in field.findChildren(QLabel) if label.isVisible())
    assert "Not taken: over 1.50 m a stand needs a designed base." in told
    assert "It stays at 0.60" in told
    assert field.value == pytest.approx(0.6)
    assert taker.taken == []


def test_words_that_are_no_number_are_told(qtbot: QtBot, taker: Taker) -> None:
    field = stand_field(qtbot, taker)
    type_in(qtbot, field, "high")
    told = " ".join(label.text() for label in field.findChildren(QLabel) if label.isVisible())
    assert "Not taken:" in told
    assert taker.taken == []


def test_escape_takes_back_what_was_typed(qtbot: QtBot, taker: Taker) -> None:
    field = stand_field(qtbot, taker)
    edit = field.focusProxy()
    assert edit is not None
    edit.selectAll()  # type: ignore[attr-defined]
    qtbot.keyClicks(edit, "1.2")
    qtbot.keyClick(edit, Qt.Key.Key_Escape)
    assert edit.text() == "0.60"  # type: ignore[attr-defined]
    assert taker.taken == []


def test_feet_are_shown_and_taken_where_the_site_has_them(qtbot: QtBot, taker: Taker) -> None:
    field = stand_field(qtbot, taker, UnitSystem.US)
    edit = field.focusProxy()
    assert edit is not None
    assert edit.text() == "1.97"  # type: ignore[attr-defined]
    type_in(qtbot, field, "2")
    assert taker.taken[-1] == pytest.approx(0.6096)


def test_range_and_help_show_while_the_field_has_the_keyboard(qtbot: QtBot, taker: Taker) -> None:
    field = stand_field(qtbot, taker)
    qtbot.waitUntil(lambda: any("Over 0.6 m" in each.text() for each in field.findChildren(QLabel)))
    foot = next(each for each in field.findChildren(QLabel) if "Over 0.6 m" in each.text())
    assert "0 to 1.5" in foot.text().replace("\u00a0", " ").replace("0.00 to 1.50", "0 to 1.5")
