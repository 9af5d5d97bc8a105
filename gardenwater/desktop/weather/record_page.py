"""The page of a record of days: a file, what its columns are, what is wrong with it, and what is done about that."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from gardenwater.desktop.card.choice_field import Combo
from gardenwater.desktop.choosing import TABLES
from gardenwater.desktop.dialogs.ask import QuestionSheet
from gardenwater.desktop.dialogs.parts import Button, Segments, Weight, Words
from gardenwater.desktop.filework import FileWork
from gardenwater.desktop.look import Look
from gardenwater.desktop.weather.columns_table import ColumnsTable
from gardenwater.desktop.weather.reading import Draft, Reading, read_job
from gardenwater.errors import GardenwaterError
from gardenwater.files.asking import NeedsAnswer
from gardenwater.files.day_dates import DayOrder
from gardenwater.site.climate import WeatherHandle
from gardenwater.units import UnitSystem
from gardenwater.weather import CHOICES, Anomaly, Kind, Mend, Weather, handle_of
from gardenwater.weather.look_words import lack_words, span_words
from gardenwater.weather.telling import HEADS, MENDS, day_text, value_text, why_text

WHAT_IT_TAKES = (
    "Rain of each day, and its lowest and highest temperature; radiation, wind and humidity where they are known. A"
    " table (CSV) with any headings and units, or a station file of GHCN-Daily."
)
"""What a file may hold."""
_ORDERS = tuple(DayOrder)
_MOST_LISTED = 500
_HIGH_PX = 150


class RecordPage(QWidget):
    """A file is chosen, looked at, put right; the site's own record is shown while none is."""

    changed = Signal()

    def __init__(self, files: FileWork, units: UnitSystem, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._files, self._units, self._look = files, units, look
        self._sheet = parent
        self._kept: WeatherHandle | None = None
        self._alive = True
        self.reading: Reading | None = None
        self.says = Words(WHAT_IT_TAKES, look, self)
        self.choose_button = Button("Choose a file ...", look, self, Weight.PLAIN)
        self.choose_button.clicked.connect(self._choose)
        self.drop_button = Button("Take the record away", look, self, Weight.LINK)
        self.drop_button.clicked.connect(self._drop)
        self.order = Segments("Days", ("day first", "month first"), look, self)
        self.order.chosen.connect(self._take_order)
        self.columns = ColumnsTable(look, self)
        self.columns.taken.connect(self._take_columns)
        self.kinds = _plain_table(("What is wrong", "Days", "What is done"), "What is wrong with it", look, self)
        self.kinds.currentCellChanged.connect(lambda *_: self._list_days())
        self.days = _plain_table(("Day", "Figure", "Why"), "The days", look, self)
        self._lay_out(look)

    def _lay_out(self, look: Look) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        for widget in (self.choose_button, self.drop_button, self.order):
            buttons.addWidget(widget)
        buttons.addStretch(1)
        self.wrong_head = Words("", look, self, size=12.5, semibold=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.says)
        column.addLayout(buttons)
        column.addWidget(self.columns)
        column.addWidget(self.wrong_head)
        below = QHBoxLayout()
        below.setSpacing(12)
        below.addWidget(self.kinds, 9)
        below.addWidget(self.days, 13)
        column.addLayout(below, 1)
        self.kinds.setMinimumHeight(look.px(_HIGH_PX))
        self.days.setMinimumHeight(look.px(_HIGH_PX))

    def close_down(self) -> None:
        """Take no more news: the sheet is closing."""
        self._alive = False

    # what is there

    def show_record(self, record: WeatherHandle | None) -> None:
        """Show the site's record, or that there is none."""
        self._kept, self.reading = record, None
        self._show()

    def record(self) -> WeatherHandle | None:
        """The record as it is now: the one that was read, else the site's own."""
        looked = None if self.reading is None else self.reading.looked
        return self._kept if looked is None else handle_of(looked.weather)

    def weather(self) -> Weather | None:
        """Its days."""
        record = self.record()
        return None if record is None else record.payload

    @property
    def wrong(self) -> str:
        """What keeps the file from being taken; empty when nothing does."""
        unfit = self.reading is not None and self.reading.looked is None
        return "Say which column is the rain." if unfit else ""

    def _drop(self) -> None:
        self._kept, self.reading = None, None
        self._show()
        self.changed.emit()

    # a file

    def _choose(self) -> None:
        self._files.choose.to_open("Choose a file of weather", DAYS, self.read)

    def read(self, path: Path) -> None:
        """Read a file and show what it is taken for."""
        self._run(Draft(path))

    def _run(self, draft: Draft, rows: Reading | None = None) -> None:
        self.says.set_role("ink_soft")
        self.says.setText(f"Reading “{draft.path.name}”.")
        self.choose_button.setEnabled(False)
        self._files.run("Reading weather", read_job(draft, rows), self._take, lambda error: self._fail(draft, error))

    def _take(self, reading: Reading) -> None:
        if not self._alive:
            return
        self.reading = reading
        self._show()
        self.changed.emit()

    def _fail(self, draft: Draft, error: GardenwaterError) -> None:
        if not self._alive:
            return
        self._show()
        if isinstance(error, NeedsAnswer):

            def answered(value: str) -> None:
                self._run(dataclasses.replace(draft, station=value))

            QuestionSheet(error, answered, self._look, self._sheet).open()
            return
        self.says.set_role("fails")
        self.says.setText(f"{error.what} {error.mend}".strip())

    def _take_columns(self, headings: dict[str, str], units: dict[str, str]) -> None:
        """Take columns from other headings, or in other units; a unit that was chosen goes with its heading."""
        if self.reading is None:
            return
        draft = self.reading.draft
        kept = {column: unit for column, unit in draft.units.items() if column not in headings}
        self._run(dataclasses.replace(draft, columns={**draft.columns, **headings}, units={**kept, **units}))

    def _take_order(self, place: int) -> None:
        if self.reading is not None:
            self._run(dataclasses.replace(self.reading.draft, day_order=_ORDERS[place].value))

    def _take_mend(self, kind: Kind, mend: Mend) -> None:
        reading = self.reading
        if reading is not None:
            draft = dataclasses.replace(reading.draft, choices={**reading.draft.choices, kind: mend})
            self._run(draft, reading)

    # what is shown

    def _show(self) -> None:
        reading = self.reading
        self.choose_button.setEnabled(True)
        self.choose_button.setText("Choose a file ..." if reading is None else "Choose another ...")
        self.drop_button.setVisible(self._kept is not None or reading is not None)
        self.order.setVisible(reading is not None and _asks_order(reading))
        if reading is not None:
            given = reading.draft.day_order or reading.seen.day_order or DayOrder.DAY_FIRST
            self.order.pick(_ORDERS.index(DayOrder(given)))
        self.columns.setVisible(reading is not None and bool(reading.seen.columns))
        if reading is not None:
            self.columns.show_columns(reading.seen, reading.draft.units)
        self._show_kinds()
        self.says.set_role("ink" if not self.wrong else "fails")
        self.says.setText(self._words())

    def _words(self) -> str:
        if self.wrong:
            return self.wrong
        weather = self.weather()
        if weather is None:
            return WHAT_IT_TAKES
        source = f"{weather.source}: " if weather.source else ""
        head = f"{source}{span_words(weather)}."
        notices = weather.notices if self.reading is None else ()
        return " ".join(filter(None, (head, lack_words(weather), *notices)))

    def _show_kinds(self) -> None:
        looked = None if self.reading is None else self.reading.looked
        kinds = () if looked is None else looked.kinds
        for widget in (self.kinds, self.days):
            widget.setVisible(bool(kinds))
        self.wrong_head.setVisible(looked is not None)
        self.wrong_head.setText(
            "Nothing is wrong with it: no gap, no day twice, no impossible figure."
            if not kinds
            else "What is wrong with it, and what is done about it. Nothing is filled that you do not choose."
        )
        at = max(self.kinds.currentRow(), 0)
        self.kinds.blockSignals(True)
        self.kinds.setRowCount(len(kinds))
        for row, kind in enumerate(kinds):
            assert looked is not None
            found = looked.of(kind)
            _put(self.kinds, row, 0, HEADS[kind])
            _put(self.kinds, row, 1, f"{_days_of(found):,}", right=True)
            self.kinds.setCellWidget(row, 2, self._mends(kind))
        self.kinds.blockSignals(False)
        if kinds:
            self.kinds.setCurrentCell(min(at, len(kinds) - 1), 0)
        self._list_days()

    def _mends(self, kind: Kind) -> Combo:
        assert self.reading is not None
        box = Combo(self.kinds)
        box.setAccessibleName(f"{HEADS[kind]}: what is done")
        box.addItems([MENDS[mend] for mend in CHOICES[kind]])
        chosen = self.reading.draft.choices.get(kind, CHOICES[kind][0])
        box.setCurrentIndex(CHOICES[kind].index(chosen))
        box.setEnabled(len(CHOICES[kind]) > 1)
        box.activated.connect(self._mender(kind))
        return box

    def _mender(self, kind: Kind) -> Callable[[int], None]:
        return lambda place: self._take_mend(kind, CHOICES[kind][place])

    def _list_days(self) -> None:
        looked = None if self.reading is None else self.reading.looked
        row = self.kinds.currentRow()
        found = looked.of(looked.kinds[row]) if looked is not None and 0 <= row < len(looked.kinds) else ()
        listed = found[:_MOST_LISTED]
        self.days.setRowCount(len(listed) + (len(found) > len(listed)))
        for place, anomaly in enumerate(listed):
            for column, words in enumerate(
                (day_text(anomaly), value_text(anomaly, self._units), why_text(anomaly, self._units))
            ):
                _put(self.days, place, column, words)
        if len(found) > len(listed):
            _put(self.days, len(listed), 0, f"and {len(found) - len(listed):,} more")


DAYS = f"Tables and station files (*.csv *.tsv *.txt *.dly *.dat);;{TABLES}"


def _asks_order(reading: Reading) -> bool:
    """Whether the order of day and month is open, or was chosen."""
    return reading.seen.day_order is None or bool(reading.draft.day_order)


def _days_of(found: tuple[Anomaly, ...]) -> int:
    """Days that these are about; cells that have none count one each."""
    days = {(anomaly.first, anomaly.last, anomaly.line if anomaly.first is None else 0): anomaly for anomaly in found}
    return sum(max(anomaly.days, 1) for anomaly in days.values())


def _plain_table(heads: tuple[str, ...], name: str, look: Look, parent: QWidget) -> QTableWidget:
    table = QTableWidget(0, len(heads), parent)
    table.setHorizontalHeaderLabels(list(heads))
    table.setAccessibleName(name)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
    table.setTabKeyNavigation(False)
    table.setShowGrid(False)
    table.setWordWrap(False)
    table.verticalHeader().setVisible(False)
    table.verticalHeader().setDefaultSectionSize(look.px(27))
    header = table.horizontalHeader()
    header.setHighlightSections(False)
    header.setSectionsClickable(False)
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setStretchLastSection(True)
    return table


def _put(table: QTableWidget, row: int, column: int, words: str, *, right: bool = False) -> None:
    item = QTableWidgetItem(words)
    item.setToolTip(words)
    if right:
        item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    table.setItem(row, column, item)
