"""The level book: staff readings typed in rows, reduced while they are typed, and taken as one edit."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Weight
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.errors import InputError
from gardenwater.ground import Book, reduce_book
from gardenwater.site import edits
from gardenwater.site.model import Sight, Site
from gardenwater.site.names import name_of
from gardenwater.site.things import LevelPeg
from gardenwater.units import Quantity, UnitSystem, exact_text, parse, text

COLUMNS = ("Spot", "Back", "Between", "Fore", "Known level", "Peg", "Level")
_SPOT, _BACK, _BETWEEN, _FORE, _KNOWN, _PEG, _LEVEL = range(len(COLUMNS))
_NUMBERS = {_BACK: "back_m", _BETWEEN: "between_m", _FORE: "fore_m", _KNOWN: "known_level_m"}
_SPARE_ROWS = 4
_HIGH_PX = 320


@dataclass(frozen=True, slots=True)
class Reduced:
    """What a page of cells gives: sights, the book, or what is wrong and in which row (from 0; -1: all of it)."""

    sights: tuple[Sight, ...]
    book: Book | None = None
    wrong: str = ""
    row: int = -1


def reduced(cells: list[list[str]], site: Site) -> Reduced:
    """The level book in rows of words, blank rows left out; the first trouble stops it."""
    units = site.settings.units
    pegs = {name_of(site, peg.id).casefold(): peg.id for peg in site.of(LevelPeg)}
    sights: list[Sight] = []
    places: list[int] = []
    for number, row in enumerate(cells):
        if not any(words.strip() for words in row[:_LEVEL]):
            continue
        try:
            sights.append(_sight(row, pegs, units))
        except InputError as error:
            return Reduced(tuple(sights), wrong=f"Row {number + 1}: {error.what} {error.mend}".strip(), row=number)
        places.append(number)
    try:
        return Reduced(tuple(sights), reduce_book(sights))
    except InputError as error:
        wrong = _row_named(error.where, places)
        at = f"Row {wrong + 1}: " if wrong >= 0 else ""
        return Reduced(tuple(sights), wrong=f"{at}{error.what} {error.mend}".strip(), row=wrong)


def _sight(row: list[str], pegs: dict[str, str], units: UnitSystem) -> Sight:
    values: dict[str, float] = {}
    for column, name in _NUMBERS.items():
        words = row[column].strip()
        if words:
            quantity = Quantity.LEVEL_M if column == _KNOWN else Quantity.HEIGHT_M
            values[name] = parse(words, quantity, units)
    peg = row[_PEG].strip()
    if peg and peg.casefold() not in pegs:
        raise InputError(f'No level peg is called "{peg}".', mend="Draw it first, or leave the cell empty.")
    return Sight(spot=row[_SPOT].strip(), peg=pegs.get(peg.casefold(), ""), **values)


def _row_named(where: str, places: list[int]) -> int:
    """The row of the page for "Level book, row 3 (...)": rows without words do not count there."""
    words = where.partition("row ")[2].split(" ")[0]
    return places[int(words) - 1] if words.isdigit() and int(words) <= len(places) else -1


class LevelBookSheet(Sheet):
    """The page. Levels are shown as soon as they follow; *Take it* also gives the pegs their levels."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("Level book", look, parent, width_px=760)
        self._desk = desk
        self._filling = False
        self.say(
            "One row for each reading: back sight on a known level first, readings between, a fore sight last. A"
            " turning point carries fore and back sight in one row.",
            "ink_soft",
        )
        self.table = QTableWidget(0, len(COLUMNS), self)
        self.table.setHorizontalHeaderLabels(list(COLUMNS))
        self.table.setAccessibleName("Level book")
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.table.setFixedHeight(look.px(_HIGH_PX))
        self.body.addWidget(self.table)
        self.says = self.say("")
        self.add_back()
        self.take_button = self.add_button("Take it", self._take, Weight.GOES_ON)
        self._fill(desk.present)
        self.table.cellChanged.connect(self._changed)
        self._reduce()
        self.table.setFocus()

    def _fill(self, site: Site) -> None:
        self._filling = True
        book = site.survey.level_book
        self.table.setRowCount(len(book) + _SPARE_ROWS)
        for number in range(self.table.rowCount()):
            sight = book[number] if number < len(book) else None
            for column in range(len(COLUMNS)):
                self.table.setItem(number, column, self._cell(sight, column, site))
        self._filling = False

    def _cell(self, sight: Sight | None, column: int, site: Site) -> QTableWidgetItem:
        words = ""
        if sight is not None and column == _SPOT:
            words = sight.spot
        elif sight is not None and column == _PEG:
            words = name_of(site, sight.peg) if sight.peg else ""
        elif sight is not None and column in _NUMBERS:
            value = getattr(sight, _NUMBERS[column])
            quantity = Quantity.LEVEL_M if column == _KNOWN else Quantity.HEIGHT_M
            words = "" if value is None else exact_text(value, quantity, self._desk.units, unit=False)
        item = QTableWidgetItem(words)
        if column not in {_SPOT, _PEG}:
            item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        if column == _LEVEL:
            item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        return item

    def cells(self) -> list[list[str]]:
        """The words of all cells, row by row."""
        return [[self._words(row, column) for column in range(len(COLUMNS))] for row in range(self.table.rowCount())]

    def _words(self, row: int, column: int) -> str:
        item = self.table.item(row, column)
        return "" if item is None else item.text()

    def _changed(self, row: int, column: int) -> None:
        if self._filling or column == _LEVEL:
            return
        if row >= self.table.rowCount() - 1:
            self._filling = True
            self.table.setRowCount(self.table.rowCount() + _SPARE_ROWS)
            for number in range(row + 1, self.table.rowCount()):
                for each in range(len(COLUMNS)):
                    if self.table.item(number, each) is None:
                        self.table.setItem(number, each, self._cell(None, each, self._desk.present))
            self._filling = False
        self._reduce()

    def _reduce(self) -> None:
        cells, units = self.cells(), self._desk.units
        made = reduced(cells, self._desk.present)
        self._filling = True
        filled = [number for number, row in enumerate(cells) if any(words.strip() for words in row[:_LEVEL])]
        levels = {} if made.book is None else dict(zip(filled, made.book.rows, strict=True))
        for number in range(self.table.rowCount()):
            row = levels.get(number)
            item = self.table.item(number, _LEVEL)
            if item is not None:
                item.setText("" if row is None else text(row.level_m, Quantity.LEVEL_M, units, unit=False))
            self._mark(number, wrong=number == made.row)
        self._filling = False
        empty = not filled
        self.says.set_role("ink_soft" if empty or made.book is not None else "fails")
        self.says.setText(self._said(made, empty=empty))
        self.take_button.setEnabled(empty or made.book is not None)

    def _said(self, made: Reduced, *, empty: bool) -> str:
        if empty:
            return "The book is empty."
        if made.book is None:
            return made.wrong
        notices = made.book.notices(lambda mm: text(mm / 1000, Quantity.HEIGHT_M, self._desk.units))
        return " ".join(f"{words[:1].upper()}{words[1:]}" for words in notices) or "All rows follow."

    def _mark(self, number: int, *, wrong: bool) -> None:
        color = self._look.color("warn_wash" if wrong else "well")
        for column in range(len(COLUMNS)):
            item = self.table.item(number, column)
            if item is not None:
                item.setBackground(color)

    def _take(self) -> None:
        made = reduced(self.cells(), self._desk.present)
        empty = not made.sights and not made.wrong
        if made.book is None and not empty:
            return
        sights, book = made.sights, made.book

        def kept(site: Site) -> Site:
            site = edits.set_survey(site, dataclasses.replace(site.survey, level_book=sights))
            for peg, level in (book.peg_levels if book is not None else {}).items():
                site = edits.change(site, peg, level_m=round(level, 4))
            return site

        if self._desk.edit("Change the level book", kept):
            self.accept()
        else:
            self.says.set_role("fails")
