"""One number with its unit, range and help: typed in any unit, stepped by keys, refused in words."""

from __future__ import annotations

import math
from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError, InputError
from gardenwater.site.fields import FieldSpec
from gardenwater.units import Quantity, UnitSystem, parse, range_text, step, text, unit_word

_STEPS: dict[int, int] = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_PageUp: 10, Qt.Key.Key_PageDown: -10}
Take = Callable[[float | None], GardenwaterError | None]


class NumberEdit(QLineEdit):
    """The place to type in: Up and Down change by the last place shown, Page Up and Down by ten of them."""

    def __init__(self, owner: NumberField) -> None:
        super().__init__(owner)
        self._owner = owner
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFrame(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Steps by key; Esc takes back what was typed."""
        if event.key() in _STEPS:
            self._owner.step_by(_STEPS[event.key()])
        elif event.key() == Qt.Key.Key_Escape:
            self._owner.take_back()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the help; select what stands here, so that typing replaces it."""
        super().focusInEvent(event)
        if event.reason() is not Qt.FocusReason.MouseFocusReason:
            self.selectAll()
        self._owner.show_help(shown=True)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take what was typed, and fold the help."""
        self._owner.finish()
        super().focusOutEvent(event)
        self._owner.show_help(shown=False)


class NumberField(QWidget):
    """Name, value, unit; on focus its range and help; when out of range the reason, and what stays."""

    def __init__(
        self, spec: FieldSpec, system: UnitSystem, take: Take, look: Look, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._spec, self._system, self._take, self._look = spec, system, take, look
        self._quantity = spec.quantity or Quantity.NUMBER
        self._value: float | None = None
        self._refused = False
        self._name = QLabel(spec.label, self)
        self._edit = NumberEdit(self)
        self._unit = QLabel(unit_word(self._quantity, system), self)
        self._foot = QLabel(self)
        self._lay_out()
        self._edit.returnPressed.connect(self.finish)
        self._edit.textEdited.connect(self._clear_refusal)
        self.setFocusProxy(self._edit)
        self._edit.setAccessibleName(f"{spec.label}, {unit_word(self._quantity, system)}".rstrip(", "))
        self._edit.setAccessibleDescription(self._help())

    def _lay_out(self) -> None:
        look = self._look
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(self._name)
        row.addStretch(1)
        row.addWidget(self._edit)
        row.addWidget(self._unit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 2)
        column.setSpacing(0)
        column.addLayout(row)
        column.addWidget(self._foot)
        self._edit.setFixedWidth(look.px(112))
        self._edit.setFixedHeight(look.px(26))
        self._unit.setMinimumWidth(look.px(30))
        self._foot.setWordWrap(True)
        self._foot.setFont(look.font(12))
        self._foot.hide()
        self._unit.setFont(look.font(12.5))
        self._paint_state()

    @property
    def value(self) -> float | None:
        """The value that is shown, in SI."""
        return self._value

    def show_value(self, value: float | None) -> None:
        """Show the value that the thing has, unless something is being typed."""
        self._value = value
        if not (self._edit.hasFocus() and self._edit.isModified()):
            self._edit.setText(self._words(value))
            self._edit.setModified(False)

    def show_mixed(self) -> None:
        """Several things are selected and their values differ."""
        self._value = None
        self._edit.setText("")
        self._edit.setPlaceholderText("mixed")

    def _words(self, value: float | None) -> str:
        if value is None or math.isnan(value):
            return ""
        return text(value, self._quantity, self._system, unit=False)

    def _help(self) -> str:
        spec = self._spec
        parts = []
        if math.isfinite(spec.least) and math.isfinite(spec.most) and spec.most < 1e7:
            parts.append(range_text(spec.least, spec.most, self._quantity, self._system) + ".")
        return " ".join(part for part in (*parts, spec.help, spec.caution) if part)

    def step_by(self, steps: int) -> None:
        """Change by so many last places, and take it at once."""
        value = self._typed() if self._edit.isModified() else self._value
        base = value if value is not None else max(self._spec.least, 0.0)
        size = step(self._quantity, self._system)
        wanted = (round(base / size) + steps) * size
        self._apply(min(max(wanted, self._spec.least), self._spec.most))

    def finish(self) -> None:
        """Take what was typed."""
        if self._edit.isModified() and not self._refused:
            try:
                value = self._typed()
            except InputError as error:
                self._refuse(error)
                return
            self._apply(value)

    def take_back(self) -> None:
        """Show again what the thing has."""
        self._edit.setModified(False)
        self._clear_refusal()
        self.show_value(self._value)

    def _typed(self) -> float | None:
        words = self._edit.text().strip()
        if not words and self._spec.optional:
            return None
        return parse(words, self._quantity, self._system)

    def _apply(self, value: float | None) -> None:
        refused = self._take(value)
        if refused is not None:
            self._refuse(refused)
            return
        self._edit.setModified(False)
        self._clear_refusal()
        self.show_value(value)

    def _refuse(self, error: GardenwaterError) -> None:
        self._refused = True
        stays = self._words(self._value)
        kept = (
            f" It stays at {text(self._value, self._quantity, self._system)}."
            if stays and self._value is not None
            else ""
        )
        self._foot.setText(f"Not taken: {error.what[:1].lower()}{error.what[1:]} {error.mend}{kept}".replace("  ", " "))
        self._foot.show()
        self._paint_state()

    def _clear_refusal(self) -> None:
        self._refused = False
        self.show_help(shown=self._edit.hasFocus())
        self._paint_state()

    def show_help(self, *, shown: bool) -> None:
        """Range and plain help under the field, while it has the keyboard."""
        if self._refused:
            return
        words = self._help()
        self._foot.setText(words)
        self._foot.setVisible(shown and bool(words))
        self._paint_state()

    def _paint_state(self) -> None:
        look = self._look
        line = "fails" if self._refused else "mark" if self._edit.hasFocus() else "rule"
        ground = "warn_wash" if self._refused else "well" if self._edit.hasFocus() else "slip"
        width = 2 if line != "rule" else 1
        self._edit.setStyleSheet(
            f"QLineEdit {{ background: {look.color(ground).name()}; border: none; padding: 0 2px;"
            f" border-bottom: {width}px solid {look.color(line).name()}; }}"
        )
        palette = self._foot.palette()
        palette.setColor(self._foot.foregroundRole(), look.color("fails" if self._refused else "ink_soft"))
        self._foot.setPalette(palette)
