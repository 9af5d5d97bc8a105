"""A table of twelve months: typed by key, pasted from a spreadsheet, a wrong cell marked."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemDelegate, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from gardenwater.desktop.look import Look
from gardenwater.desktop.weather.figures import Cells, pasted
from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.site.climate import MONTHS, MonthlyColumn
from gardenwater.units import UnitSystem, unit_word

_ROW_PX = 25
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class FiguresTable(QTableWidget):
    """Twelve rows, one column for each kind of figure."""

    typedAnew = Signal()

    def __init__(
        self, name: str, columns: Sequence[MonthlyColumn], units: UnitSystem, look: Look, parent: QWidget
    ) -> None:
        super().__init__(MONTHS, len(columns), parent)
        self._look, self._columns, self._filling = look, columns, False
        self.setAccessibleName(name)
        self.setHorizontalHeaderLabels([head(column, units) for column in columns])
        self.setVerticalHeaderLabels(list(MONTH_NAMES))
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.horizontalHeader().setHighlightSections(False)
        for header in (self.verticalHeader(), self.horizontalHeader()):
            header.setSectionsClickable(False)
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.verticalHeader().setDefaultSectionSize(look.px(_ROW_PX))
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFixedHeight(look.px(_ROW_PX) * MONTHS + self.horizontalHeader().sizeHint().height() + 3)
        self.setTabKeyNavigation(False)
        self.cellChanged.connect(self._changed)

    def show_cells(self, cells: Cells) -> None:
        """Put words into all cells."""
        self._filling = True
        for row in range(MONTHS):
            for column in range(len(self._columns)):
                item = QTableWidgetItem(cells[row][column])
                item.setTextAlignment(_RIGHT)
                self.setItem(row, column, item)
        self._filling = False
        if self.currentItem() is None:
            self.setCurrentCell(0, 0)
        self.typedAnew.emit()

    def cells(self) -> Cells:
        """The words of all cells."""
        return [[self._words(row, column) for column in range(len(self._columns))] for row in range(MONTHS)]

    def _words(self, row: int, column: int) -> str:
        item = self.item(row, column)
        return "" if item is None else item.text()

    def mark(self, at: tuple[int, int] | None) -> None:
        """Mark the cell that is wrong, and no other."""
        self._filling = True
        for row in range(MONTHS):
            for column in range(len(self._columns)):
                item = self.item(row, column)
                if item is not None:
                    item.setBackground(self._look.color("warn_wash" if (row, column) == at else "well"))
        self._filling = False

    def _changed(self, _row: int, _column: int) -> None:
        if not self._filling:
            self.typedAnew.emit()

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Enter goes on to the next month."""
        super().closeEditor(editor, hint)
        if hint is QAbstractItemDelegate.EndEditHint.SubmitModelCache:
            self.setCurrentCell(min(self.currentRow() + 1, MONTHS - 1), self.currentColumn())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy, paste, empty; Enter goes on to the next month."""
        if event.matches(QKeySequence.StandardKey.Paste):
            self.paste(QGuiApplication.clipboard().text())
        elif event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self._picked_text())
        elif event.key() in {Qt.Key.Key_Delete, Qt.Key.Key_Backspace}:
            self._empty_picked()
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.setCurrentCell(min(self.currentRow() + 1, MONTHS - 1), self.currentColumn())
        else:
            super().keyPressEvent(event)

    def paste(self, text: str) -> None:
        """Put what was copied in a spreadsheet from the current cell on; what does not fit is left out."""
        top, left = max(self.currentRow(), 0), max(self.currentColumn(), 0)
        self._filling = True
        for down, row in enumerate(pasted(text)):
            for across, words in enumerate(row):
                item = self.item(top + down, left + across)
                if item is not None:
                    item.setText(words.strip())
        self._filling = False
        self.typedAnew.emit()

    def _picked_text(self) -> str:
        rows: dict[int, dict[int, str]] = {}
        for index in self.selectedIndexes():
            rows.setdefault(index.row(), {})[index.column()] = self._words(index.row(), index.column())
        return "\n".join("\t".join(words for _, words in sorted(row.items())) for _, row in sorted(rows.items()))

    def _empty_picked(self) -> None:
        self._filling = True
        for item in self.selectedItems():
            item.setText("")
        self._filling = False
        self.typedAnew.emit()


def head(column: MonthlyColumn, units: UnitSystem) -> str:
    """The heading of a column: what it is and its unit."""
    unit = unit_word(column.quantity, units)
    return f"{column.label}, {unit}" if unit else column.label
