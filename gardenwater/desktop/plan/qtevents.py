"""Qt's events as the plain events of the tools."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent

from gardenwater.desktop.plan.events import Button, Held, Key, PlanKey, Pointer
from gardenwater.report.view import View

_KEYS: dict[int, PlanKey] = {
    Qt.Key.Key_Return: PlanKey.ENTER,
    Qt.Key.Key_Enter: PlanKey.ENTER,
    Qt.Key.Key_Escape: PlanKey.ESCAPE,
    Qt.Key.Key_Backspace: PlanKey.BACKSPACE,
    Qt.Key.Key_Delete: PlanKey.DELETE,
    Qt.Key.Key_Insert: PlanKey.INSERT,
    Qt.Key.Key_Tab: PlanKey.TAB,
    Qt.Key.Key_Backtab: PlanKey.BACK_TAB,
    Qt.Key.Key_Left: PlanKey.LEFT,
    Qt.Key.Key_Right: PlanKey.RIGHT,
    Qt.Key.Key_Up: PlanKey.UP,
    Qt.Key.Key_Down: PlanKey.DOWN,
    Qt.Key.Key_PageUp: PlanKey.PAGE_UP,
    Qt.Key.Key_PageDown: PlanKey.PAGE_DOWN,
}
_BUTTONS = {Qt.MouseButton.LeftButton: Button.MAIN, Qt.MouseButton.NoButton: Button.NONE}


def held_of(modifiers: Qt.KeyboardModifier) -> Held:
    """Which keys are held down."""
    return Held(
        shift=bool(modifiers & Qt.KeyboardModifier.ShiftModifier),
        ctrl=bool(modifiers & Qt.KeyboardModifier.ControlModifier),
        alt=bool(modifiers & Qt.KeyboardModifier.AltModifier),
    )


def pointer_at(where: QPointF, view: View, button: Button, held: Held, clicks: int = 1) -> Pointer:
    """The pointer at a place of the widget."""
    return Pointer((where.x(), where.y()), view.to_map(where.x(), where.y()), button, held, clicks)


def pointer_of(event: QMouseEvent, view: View, clicks: int = 1) -> Pointer:
    """The pointer of a mouse event."""
    button = _BUTTONS.get(event.button(), Button.OTHER)
    return pointer_at(event.position(), view, button, held_of(event.modifiers()), clicks)


def key_of(event: QKeyEvent) -> Key:
    """The key of a key event."""
    return Key(_KEYS.get(event.key()), event.text(), held_of(event.modifiers()))
