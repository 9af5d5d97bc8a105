"""The columns of a file of weather: heading, first figures, what each is taken for and in which unit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from gardenwater.desktop.card.choice_field import Combo
from gardenwater.desktop.look import Look
from gardenwater.files.day_units import UNITS
from gardenwater.weather import COLUMNS
from gardenwater.weather.telling import COLUMN_WORDS

if TYPE_CHECKING:
    from gardenwater.files import ColumnSeen, DaysSeen

HEADS = ("Column", "First figures", "Taken for", "in")
_ROW_PX, _MOST_ROWS = 29, 5
NOT_USED = "not used"


class ColumnsTable(QTableWidget):
    """One row for each column of the file but those of the day."""

    taken = Signal(object, object)  # columns of weather with the heading each is taken from (empty: none); their units

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(0, len(HEADS), parent)
        self._look = look
        self.setHorizontalHeaderLabels(list(HEADS))
        self.setAccessibleName("Columns of the file")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setShowGrid(False)
        self.verticalHeader().setVisible(False)
        self.verticalHeader().setDefaultSectionSize(look.px(_ROW_PX))
        header = self.horizontalHeader()
        header.setSectionsClickable(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)

    def show_columns(self, seen: DaysSeen, units: Mapping[str, str]) -> None:
        """Show what the columns are taken for; `units`: the keys that were chosen."""
        days = set(seen.day_heading.split(", "))
        columns = sorted(
            (column for column in seen.columns if column.heading not in days), key=lambda column: not column.column
        )
        self.setRowCount(len(columns))
        for row, column in enumerate(columns):
            self.setItem(row, 0, QTableWidgetItem(column.heading))
            self.setItem(row, 1, QTableWidgetItem(", ".join(column.samples)))
            self.setCellWidget(row, 2, self._taken_for(column))
            if column.column:
                self.setCellWidget(row, 3, self._in_unit(column, units))
            else:
                self.removeCellWidget(row, 3)
        rows = min(len(columns), _MOST_ROWS)
        self.setFixedHeight(self._look.px(_ROW_PX) * rows + self.horizontalHeader().sizeHint().height() + 4)

    def _taken_for(self, seen: ColumnSeen) -> Combo:
        box = Combo(self)
        box.setAccessibleName(f"“{seen.heading}” is taken for")
        box.addItems([NOT_USED, *(COLUMN_WORDS[column] for column in COLUMNS)])
        box.setCurrentIndex(COLUMNS.index(seen.column) + 1 if seen.column else 0)
        box.activated.connect(self._taker(seen))
        return box

    def _taker(self, seen: ColumnSeen) -> Callable[[int], None]:
        def take(place: int) -> None:
            headings = {seen.column: ""} if seen.column else {}
            if place:
                headings[COLUMNS[place - 1]] = seen.heading
            self.taken.emit(headings, {})

        return take

    def _in_unit(self, seen: ColumnSeen, units: Mapping[str, str]) -> Combo:
        offered = UNITS[seen.column]
        box = Combo(self)
        box.setAccessibleName(f"“{seen.heading}” is in")
        key = units.get(seen.column, seen.unit)
        sure = seen.sure or seen.column in units
        box.addItems([unit.words + ("" if sure or unit.key != key else ", likely") for unit in offered])
        box.setCurrentIndex(next(place for place, unit in enumerate(offered) if unit.key == key))
        box.activated.connect(lambda place: self.taken.emit({}, {seen.column: offered[place].key}))
        return box
