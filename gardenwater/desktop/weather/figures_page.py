"""The pages of twelve months: the monthly figures, and what a changed climate does to them."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from gardenwater.desktop.dialogs.parts import Button, Weight, Words
from gardenwater.desktop.look import Look
from gardenwater.desktop.weather.figures import Typed, cells_of, typed
from gardenwater.desktop.weather.figures_table import FiguresTable
from gardenwater.errors import InputError
from gardenwater.site.climate import (
    CHANGE_COLUMNS,
    MONTHLY_COLUMNS,
    MONTHS,
    ChangedClimate,
    Monthly,
    MonthlyColumn,
    change_faults,
    monthly_faults,
)
from gardenwater.units import Quantity, UnitSystem, exact_text, parse, text
from gardenwater.weather import MADE_YEARS

_TABLE_PX = 520


class _FiguresPage(QWidget):
    """A table at the left, what it comes to and where it is from at the right."""

    changed = Signal()
    _columns: Sequence[MonthlyColumn] = ()
    _optional: frozenset[str] = frozenset()
    _usual: Sequence[str] = ()

    def __init__(self, name: str, units: UnitSystem, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._units, self._look = units, look
        self.wrong = ""
        self._given: object | None = None
        self.table = FiguresTable(name, self._columns, units, look, self)
        self.table.setFixedWidth(look.px(_TABLE_PX))
        self.source = QLineEdit(self)
        self.source.setAccessibleName("Where the figures are from")
        self.source.setPlaceholderText("the weather office, the station, the years")
        self.source.setMaxLength(200)
        self.says = Words("", look, self)
        self.side = QVBoxLayout()
        self.side.setSpacing(8)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(22)
        row.addWidget(self.table, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(self.side, 1)
        self.table.typedAnew.connect(self._retype)
        self.source.textChanged.connect(lambda _: self.changed.emit())

    def _say(self, words: str, role: str = "ink_soft") -> Words:
        label = Words(words, self._look, self, role=role)
        self.side.addWidget(label)
        return label

    def _add_source(self) -> None:
        self.side.addWidget(Words("Where they are from", self._look, self, size=12.5, role="ink_soft"))
        self.side.addWidget(self.source)

    def _retype(self) -> None:
        made = self._typed()
        self.wrong = made.wrong or self._fault(made)
        self.table.mark(made.at)
        self.says.set_role("fails" if self.wrong else "ink")
        self.says.setText(self.wrong or self._sum(made))
        self.changed.emit()

    def _typed(self) -> Typed:
        return typed(self.table.cells(), self._columns, self._optional, self._units, self._given)

    @abstractmethod
    def _fault(self, made: Typed) -> str:
        """What keeps the figures from being taken together."""

    @abstractmethod
    def _sum(self, made: Typed) -> str:
        """What the figures come to."""


def _monthly(made: Typed, source: str = "") -> Monthly:
    figures = made.figures
    return Monthly(figures["rain_mm"], figures.get("wet_days"), figures["t_min_c"], figures["t_max_c"], source)


def _change(made: Typed, source: str = "") -> ChangedClimate:
    return ChangedClimate(made.figures["rain_factor"], made.figures["t_shift_c"], source)


class MonthlyPage(_FiguresPage):
    """Twelve monthly figures, typed or pasted."""

    _columns = MONTHLY_COLUMNS
    _optional = frozenset({"wet_days"})

    def __init__(self, units: UnitSystem, look: Look, parent: QWidget) -> None:
        super().__init__("Twelve monthly figures", units, look, parent)
        self._say("As the local weather office prints them: means of many years.")
        self._add_source()
        self.side.addWidget(self.says)
        self._say("Wet days may be left empty; they are then taken from the rain.")
        self._say("A column of twelve can be pasted from a spreadsheet.")
        self._say(
            f"Without a record of days, {MADE_YEARS} years are made from these: wet and dry days by chance, each month"
            " right in the mean. Temperatures have no day's chance: they follow the months from year to year alike."
        )
        self._say("With a record of rain alone they give it its temperatures.")
        self._say("What made years cannot show: long droughts as often as they come, and hot spells. A record can.")
        self.side.addStretch(1)

    def show_figures(self, monthly: Monthly | None) -> None:
        """Show the site's figures."""
        self._given = monthly
        self.source.setText("" if monthly is None else monthly.source)
        self.table.show_cells(cells_of(monthly, MONTHLY_COLUMNS, self._units))

    def figures(self) -> Monthly | None:
        """The figures that are typed; None for none, or while they cannot be taken."""
        made = self._typed()
        if made.empty or self.wrong:
            return None
        return _monthly(made, self.source.text().strip())

    def _fault(self, made: Typed) -> str:
        if made.empty:
            return ""
        fault = next(monthly_faults(_monthly(made), self._units), None)
        return f"{fault.label}: {fault.what} {fault.mend}" if fault is not None else ""

    def _sum(self, made: Typed) -> str:
        if made.empty:
            return "No figures yet."
        monthly = _monthly(made)
        rain = text(monthly.rain_year_mm, Quantity.RAIN_MM, self._units)
        days = f" on {sum(monthly.wet_days):.0f} days" if monthly.wet_days is not None else ""
        return f"{rain} a year{days}."


class ChangePage(_FiguresPage):
    """What the weather of each month is changed by."""

    _columns = CHANGE_COLUMNS
    _usual = ("1", "0")

    def __init__(self, units: UnitSystem, look: Look, parent: QWidget) -> None:
        super().__init__("Changed climate", units, look, parent)
        self._say("Rain of each month times a factor, and so much warmer: as a projection for your region has it.")
        self._add_source()
        self.side.addWidget(self.says)
        self._say("As many days stay wet; each has more rain, or less.")
        self._add_all(look)
        self.side.addStretch(1)

    def _add_all(self, look: Look) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        self.all_rain, self.all_warmer = QLineEdit("1", self), QLineEdit("0", self)
        for words, edit in (("All months: rain times", self.all_rain), ("warmer by", self.all_warmer)):
            edit.setAccessibleName(f"All months, {words.removeprefix('All months: ')}")
            edit.setFixedWidth(look.px(52))
            label = Words(words, look, self, size=12.5, role="ink_soft")
            label.setWordWrap(False)
            row.addWidget(label)
            row.addWidget(edit)
        self.all_button = Button("Set all", look, self, Weight.PLAIN)
        self.all_button.clicked.connect(self._set_all)
        row.addStretch(1)
        self.side.addLayout(row)
        self.side.addWidget(self.all_button)

    def _set_all(self) -> None:
        """Put the two figures into every month."""
        words = (self.all_rain.text().strip(), self.all_warmer.text().strip())
        try:
            values = [
                exact_text(parse(each, column.quantity, self._units), column.quantity, self._units, unit=False)
                for each, column in zip(words, CHANGE_COLUMNS, strict=True)
            ]
        except InputError as error:
            self.says.set_role("fails")
            self.says.setText(f"{error.what} {error.mend}".strip())
            return
        self.table.show_cells([list(values) for _ in range(MONTHS)])

    def show_figures(self, change: ChangedClimate | None) -> None:
        """Show the site's change of climate."""
        self._given = change
        self.source.setText("" if change is None else change.source)
        self.table.show_cells(cells_of(change, CHANGE_COLUMNS, self._units, usual=self._usual))

    def figures(self) -> ChangedClimate | None:
        """The change that is typed; None for none, or while it cannot be taken."""
        made = self._typed()
        if made.empty or self.wrong:
            return None
        change = _change(made, self.source.text().strip())
        return None if change.is_none else change

    def _fault(self, made: Typed) -> str:
        if made.empty:
            return ""
        fault = next(change_faults(_change(made), self._units), None)
        return f"{fault.label}: {fault.what} {fault.mend}" if fault is not None else ""

    def _sum(self, made: Typed) -> str:
        if made.empty or _change(made).is_none:
            return "The climate stays as it is."
        return "The weather is changed by these before anything is worked out."
