"""Fields that are not numbers: a choice, a yes or no, a reference to another thing, words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QHBoxLayout, QLabel, QLineEdit, QSizePolicy, QWidget

from gardenwater.desktop.look import Look
from gardenwater.site.fields import FieldSpec
from gardenwater.site.model import Site
from gardenwater.site.names import kinds_of, name_of
from gardenwater.tables import table

Take = Callable[[Any], object]
Offered = list[tuple[str, Any]]


class Combo(QComboBox):
    """A choice that the wheel does not change by accident while the card is scrolled."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel scrolls the card."""
        event.ignore()


def choices(spec: FieldSpec, site: Site) -> Offered:
    """What can be chosen: the words that are shown, and the value that is kept."""
    if spec.options is not None:
        return [(option.value, option) for option in spec.options]
    if spec.table:
        return [(row.name, row.key) for row in table(spec.table).rows]
    kinds = kinds_of(spec.refers)
    return [("none", "")] + [(name_of(site, thing.id), thing.id) for thing in site if thing.kind in kinds]


class ChoiceField(QWidget):
    """One of several. offer: what can be chosen on a site, where the field itself does not say."""

    def __init__(
        self,
        spec: FieldSpec,
        take: Take,
        look: Look,
        parent: QWidget,
        *,
        offer: Callable[[Site], Offered] | None = None,
    ) -> None:
        super().__init__(parent)
        self._take = take
        self._offer = offer or (lambda site: choices(spec, site))
        self._offered: Offered = []
        name = QLabel(spec.label, self)
        self._box = Combo(self)
        self._box.setAccessibleName(spec.label)
        self._box.setAccessibleDescription(spec.help)
        self._box.setToolTip(spec.help)
        self._box.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._box.setFixedWidth(look.px(168))
        self._box.activated.connect(self._chosen)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 2)
        row.addWidget(name)
        row.addStretch(1)
        row.addWidget(self._box)
        self.setFocusProxy(self._box)

    def show_value(self, value: Any, site: Site) -> None:
        """Show what the thing has; None shows that several differ."""
        offered = self._offer(site)
        if offered != self._offered:
            self._offered = offered
            self._box.clear()
            self._box.addItems([words for words, _ in offered])
        values = [kept for _, kept in offered]
        self._box.setCurrentIndex(values.index(value) if value in values else -1)
        self._box.setPlaceholderText("mixed" if value is None else "")

    def _chosen(self, place: int) -> None:
        self._take(self._offered[place][1])


class FlagField(QWidget):
    """Yes or no."""

    def __init__(self, spec: FieldSpec, take: Take, parent: QWidget) -> None:
        super().__init__(parent)
        self._box = QCheckBox(spec.label, self)
        self._box.setToolTip(spec.help)
        self._box.setAccessibleDescription(spec.help)
        self._box.clicked.connect(lambda: take(self._box.checkState() is Qt.CheckState.Checked))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 4)
        row.addWidget(self._box)
        self.setFocusProxy(self._box)

    def show_value(self, value: bool | None) -> None:
        """Show what the thing has; None shows that several differ."""
        self._box.setTristate(value is None)
        state = Qt.CheckState.PartiallyChecked if value is None else Qt.CheckState.Checked
        self._box.setCheckState(state if value is not False else Qt.CheckState.Unchecked)


class WordsField(QWidget):
    """Free words. hint: shown while it is empty, the field's help unless given."""

    def __init__(self, spec: FieldSpec, take: Take, look: Look, parent: QWidget, *, hint: str = "") -> None:
        super().__init__(parent)
        self._look, self._take = look, take
        self._edit = QLineEdit(self)
        self._edit.setFrame(False)
        self._edit.setFixedSize(look.px(168), look.px(26))
        self._edit.setAccessibleName(spec.label)
        self._edit.setAccessibleDescription(spec.help)
        self._edit.setPlaceholderText(hint or spec.help)
        self._edit.setToolTip(spec.help)
        self._edit.editingFinished.connect(self._finish)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 2)
        row.addWidget(QLabel(spec.label, self))
        row.addStretch(1)
        row.addWidget(self._edit)
        self.setFocusProxy(self._edit)
        self._paint_line()

    def show_value(self, value: str | None) -> None:
        """Show what the thing has, unless something is being typed; None shows that several differ."""
        if not (self._edit.hasFocus() and self._edit.isModified()):
            self._edit.setText(value or "")
            self._edit.setModified(False)

    def _finish(self) -> None:
        if self._edit.isModified():
            self._edit.setModified(False)
            self._take(self._edit.text().strip())

    def _paint_line(self) -> None:
        self._edit.setStyleSheet(
            f"QLineEdit {{ background: transparent; border: none; padding: 0 2px;"
            f" border-bottom: 1px solid {self._look.color('rule').name()}; }}"
            f"QLineEdit:focus {{ background: {self._look.color('well').name()};"
            f" border-bottom: 2px solid {self._look.color('mark').name()}; }}"
        )

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if event.type() is QEvent.Type.PaletteChange:
            self._paint_line()
        super().changeEvent(event)
