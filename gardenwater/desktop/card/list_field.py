"""Several rows of a table, each with a number: what fittings a line has, what pieces are laid before its last."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from gardenwater.desktop.card.choice_field import Combo
from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError, InputError
from gardenwater.site.fields import FieldSpec
from gardenwater.site.listing import Listed, items_of, text_of
from gardenwater.tables import table
from gardenwater.units import Quantity, UnitSystem

Take = Callable[[str], GardenwaterError | None]


class ListField(QWidget):
    """A name with a choice that adds a row; each row with its number, and a button that takes it out."""

    def __init__(self, spec: FieldSpec, system: UnitSystem, take: Take, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._spec, self._system, self._take, self._look = spec, system, take, look
        self._items: Listed = ()
        self._mixed = False
        self._add = Combo(self)
        self._add.setAccessibleName(f"Add to {spec.label.lower()}")
        self._add.setAccessibleDescription(spec.help)
        self._add.setToolTip(spec.help)
        self._add.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._add.setFixedWidth(look.px(168))
        self._add.addItem("add", "")
        for row in table(spec.listed).rows:
            self._add.addItem(row.name, row.key)
        self._add.activated.connect(self._added)
        head = QHBoxLayout()
        head.setContentsMargins(0, 0, 0, 2)
        head.addWidget(QLabel(spec.label, self))
        head.addStretch(1)
        head.addWidget(self._add)
        self._rows = QVBoxLayout()
        self._rows.setContentsMargins(look.px(12), 0, 0, 2)
        self._rows.setSpacing(0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        column.addLayout(self._rows)
        self.setFocusProxy(self._add)

    @property
    def items(self) -> Listed:
        """What is shown."""
        return self._items

    def show_value(self, value: str | None) -> None:
        """Show what the thing has; None shows that several differ."""
        self._mixed = value is None
        try:
            items = items_of(value or "")
        except InputError:
            items = ()
        if items != self._items or self._mixed or self._rows.count() != len(items):
            self._items = items
            self._lay_rows()

    def _lay_rows(self) -> None:
        while self._rows.count():
            taken = self._rows.takeAt(0)
            old = taken.widget() if taken is not None else None
            if old is not None:
                old.hide()
                old.deleteLater()
        if self._mixed:
            mixed = QLabel("mixed", self)
            mixed.setFont(self._look.font(12))
            self._rows.addWidget(mixed)
        for number, (key, amount) in enumerate(self._items):
            self._rows.addWidget(self._row(number, key, amount))

    def _row(self, number: int, key: str, amount: float) -> QWidget:
        spec = self._spec
        rows = table(spec.listed)
        name = rows.row(key).name if key in rows else key
        one = FieldSpec(name, "", spec.quantity_each or Quantity.NUMBER, spec.least, spec.most)
        line = QWidget(self)
        field = NumberField(one, self._system, lambda value: self._changed(number, value), self._look, line)
        field.show_value(amount)
        out = QToolButton(line)
        out.setText("×")
        out.setAutoRaise(True)
        out.setAccessibleName(f"Take out {name}")
        out.setToolTip(f"Take out {name}")
        out.clicked.connect(lambda: self._taken_out(number))
        row = QHBoxLayout(line)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(2)
        row.addWidget(field, 1)
        row.addWidget(out, 0, Qt.AlignmentFlag.AlignTop)
        return line

    def _added(self, index: int) -> None:
        key = self._add.itemData(index)
        self._add.setCurrentIndex(0)
        if key:
            self._apply((*self._items, (key, max(self._spec.least, 1.0))))

    def _changed(self, number: int, value: float | None) -> GardenwaterError | None:
        if value is None or number >= len(self._items):
            return None
        items = list(self._items)
        items[number] = (items[number][0], value)
        return self._apply(tuple(items), keep=True)

    def _taken_out(self, number: int) -> None:
        self._apply(tuple(item for at, item in enumerate(self._items) if at != number))

    def _apply(self, items: Listed, *, keep: bool = False) -> GardenwaterError | None:
        """Make it an edit. keep: the rows stay as they are, as one of them is being typed in."""
        refused = self._take(text_of(items))
        if refused is None:
            self._items, self._mixed = items, False
            if not keep:
                self._lay_rows()
        return refused
