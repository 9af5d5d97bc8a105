"""The small field at the pointer: length and bearing while drawing, a distance, a level."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QWidget

from gardenwater.desktop.look import Look
from gardenwater.desktop.plan.typed import FieldKind, read
from gardenwater.units import UnitSystem, unit_word

_WIDE_PX = 72


class ValueField(QFrame):
    """One or two values with their units. Tab goes between them, Enter takes them, Esc closes the field."""

    typed = Signal(object, object)  # float or None, float or None
    entered = Signal()
    closed = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._plan = parent
        self._kind: FieldKind | None = None
        self._system = UnitSystem.METRIC
        self._edits: list[QLineEdit] = []
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(8, 6, 8, 6)
        self._row.setSpacing(6)
        self.setAutoFillBackground(True)
        self.setFrameShape(QFrame.Shape.Box)
        self.hide()

    @property
    def kind(self) -> FieldKind | None:
        """What it asks for, or None while it is closed."""
        return self._kind

    def open(self, kind: FieldKind, system: UnitSystem, first: str, at: QPoint) -> None:
        """Open at a place of the plan, with the character that opened it."""
        self._build(kind, system)
        self.adjustSize()
        room = self._plan.rect().adjusted(6, 6, -6, -6)
        left = min(max(at.x() + 16, room.left()), room.right() - self.width())
        top = min(max(at.y() - self.height() - 16, room.top()), room.bottom() - self.height())
        self.move(left, top)
        self.show()
        self.raise_()
        self._edits[0].setFocus(Qt.FocusReason.OtherFocusReason)
        self._edits[0].setText(first)
        self._edits[0].end(False)

    def close_field(self) -> None:
        """Close it and give the keyboard back to the plan."""
        if self._kind is None:
            return
        self._kind = None
        self.hide()
        self._plan.setFocus(Qt.FocusReason.OtherFocusReason)
        self.closed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter, Esc and Tab of the fields."""
        if event.type() is QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and watched in self._edits:
            match event.key():
                case Qt.Key.Key_Escape:
                    self.close_field()
                    return True
                case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                    self.entered.emit()
                    return True
                case Qt.Key.Key_Tab | Qt.Key.Key_Backtab:
                    self._next_edit()
                    return True
        return super().eventFilter(watched, event)

    def _next_edit(self) -> None:
        at = next((index for index, edit in enumerate(self._edits) if edit.hasFocus()), 0)
        edit = self._edits[(at + 1) % len(self._edits)]
        edit.setFocus(Qt.FocusReason.TabFocusReason)
        edit.selectAll()

    def _build(self, kind: FieldKind, system: UnitSystem) -> None:
        self._kind, self._system = kind, system
        while self._row.count():
            item = self._row.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self._edits = []
        for name, quantity in kind.parts:
            edit = QLineEdit(self)
            edit.setFixedWidth(self._look.px(_WIDE_PX))
            edit.setAccessibleName(name)
            edit.setPlaceholderText(unit_word(quantity, system))
            edit.installEventFilter(self)
            edit.textChanged.connect(self._tell)
            label = QLabel(name, self)
            label.setBuddy(edit)
            self._row.addWidget(label)
            self._row.addWidget(edit)
            self._edits.append(edit)

    def _tell(self) -> None:
        if self._kind is None:
            return
        values = [
            read(edit.text(), part[1], self._system) for edit, part in zip(self._edits, self._kind.parts, strict=True)
        ]
        self.typed.emit(values[0], values[1] if len(values) > 1 else None)
