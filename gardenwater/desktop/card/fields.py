"""The fields of what is selected, folded under the names of their groups, made from their declarations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSizePolicy, QToolButton, QVBoxLayout, QWidget

from gardenwater.desktop.card.choice_field import ChoiceField, FlagField, WordsField
from gardenwater.desktop.card.list_field import ListField
from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError
from gardenwater.site import edits
from gardenwater.site.fields import FieldSpec, specs
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Thing

_MIXED = object()
_LAST_GROUP = "Name and note"
Field = NumberField | ChoiceField | FlagField | ListField | WordsField


class Fold(QWidget):
    """A name that opens and closes what stands under it."""

    def __init__(self, name: str, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.head = QToolButton(self)
        self.head.setText(name)
        self.head.setCheckable(True)
        self.head.setAutoRaise(True)
        self.head.setArrowType(Qt.ArrowType.RightArrow)
        self.head.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.head.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.head.setFixedHeight(look.px(28))
        self.head.setFont(look.font(13, semibold=True))
        self.head.toggled.connect(self._turn)
        self.body = QWidget(self)
        self.rows = QVBoxLayout(self.body)
        self.rows.setContentsMargins(0, 0, 0, 8)
        self.rows.setSpacing(2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.head)
        column.addWidget(self.body)
        self.body.hide()

    def _turn(self, opened: bool) -> None:
        self.head.setArrowType(Qt.ArrowType.DownArrow if opened else Qt.ArrowType.RightArrow)
        self.body.setVisible(opened)


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    spec: FieldSpec
    widget: Field


class FieldFolds(QWidget):
    """All fields of one kind of thing; kept while that kind is selected, so that what is open stays open."""

    def __init__(self, kind: type[Thing], desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.kind = kind
        self._desk, self._look = desk, look
        self._ids: tuple[str, ...] = ()
        self._system = desk.units
        self._rows: list[_Row] = []
        self.folds: dict[str, Fold] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        own = {name: spec for name, spec in specs(kind).items() if spec.group}
        rest = {name: spec for name, spec in specs(kind).items() if not spec.group}
        for name, spec in own.items():
            self._add(name, spec, spec.group)
        for name, spec in rest.items():
            self._add(name, spec, _LAST_GROUP)

    def _add(self, name: str, spec: FieldSpec, group: str) -> None:
        fold = self.folds.get(group)
        if fold is None:
            fold = self.folds[group] = Fold(group, self._look, self)
            self._column.addWidget(fold)
        widget = self._make(name, spec, fold.body)
        fold.rows.addWidget(widget)
        self._rows.append(_Row(name, spec, widget))

    def _make(self, name: str, spec: FieldSpec, parent: QWidget) -> Field:
        def take(value: Any) -> GardenwaterError | None:
            return self._take(name, spec, value)

        if spec.quantity is not None:
            return NumberField(spec, self._system, take, self._look, parent)
        if spec.listed:
            return ListField(spec, self._system, take, self._look, parent)
        if spec.options is not None or spec.table or spec.refers:
            return ChoiceField(spec, take, self._look, parent)
        if isinstance(_default(self.kind, name), bool):
            return FlagField(spec, take, parent)
        return WordsField(spec, take, self._look, parent)

    def show_things(self, things: Sequence[Thing], site: Site) -> None:
        """Show these things' values; `mixed` where they differ."""
        self._ids = tuple(thing.id for thing in things)
        for row in self._rows:
            values = {getattr(thing, row.name) for thing in things}
            value = values.pop() if len(values) == 1 else _MIXED
            _show(row.widget, value, site)

    def open(self, field: str) -> None:
        """Open the fold of a field and give it the keyboard."""
        for row in self._rows:
            if row.name == field:
                self.folds[row.spec.group or _LAST_GROUP].head.setChecked(True)
                row.widget.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def field(self, name: str) -> Field:
        """The widget of a field."""
        return next(row.widget for row in self._rows if row.name == name)

    def _take(self, name: str, spec: FieldSpec, value: Any) -> GardenwaterError | None:
        """Make it an edit; what is refused is told by the field and not by the window."""
        ids, site = self._ids, self._desk.present
        try:
            for thing_id in ids:
                site = edits.change(site, thing_id, **{name: value})
        except GardenwaterError as error:
            return error
        first = self._desk.present.get(ids[0]) if ids else None
        who = called(first) if first is not None and len(ids) == 1 else f"{len(ids)} things"
        changed = site
        self._desk.edit(f"Change {who}: {spec.label.lower()}", lambda _: changed, f"field {name} {' '.join(ids)}")
        return None


def _default(kind: type[Thing], name: str) -> Any:
    return kind.__dataclass_fields__[name].default


def _show(widget: Field, value: Any, site: Site) -> None:
    if isinstance(widget, NumberField):
        if value is _MIXED:
            widget.show_mixed()
        else:
            widget.show_value(value)
    elif isinstance(widget, ChoiceField):
        widget.show_value(None if value is _MIXED else value, site)
    else:
        widget.show_value(None if value is _MIXED else value)
