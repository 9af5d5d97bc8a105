"""The plan under hands: mouse, wheel, touch pad and keys go to the tool in use, or move and zoom the sheet."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QEnterEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look
from gardenwater.desktop.plan.camera import STEP, Camera
from gardenwater.desktop.plan.events import ARROWS, XY, Button, Key, PlanKey, Pointer, arrow_step_m
from gardenwater.desktop.plan.menu import plan_menu
from gardenwater.desktop.plan.qtevents import held_of, key_of, pointer_of
from gardenwater.desktop.plan.toolbox import Toolbox
from gardenwater.desktop.plan.value_field import ValueField
from gardenwater.findings import Finding
from gardenwater.ground import level_at

_NOTCH = 120.0
_DAY_KEYS = {
    Qt.Key.Key_BracketLeft: -1,
    Qt.Key.Key_BraceLeft: -1,
    Qt.Key.Key_BracketRight: 1,
    Qt.Key.Key_BraceRight: 1,
}
"""With Shift a bracket is a brace on many keyboards."""
_KEY_MOVE_PX = 80.0
_WHEEL_MOVE_PX = 60.0
_GRID_PX = 90.0


class PlanInput(QWidget):
    """What hands do on the plan. It is the `Sight` that tools work on."""

    cardWanted = Signal()
    renameWanted = Signal()

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._camera = Camera(lambda: look.still, self)
        self._toolbox = Toolbox(self, self._tool_changed)
        self._field = ValueField(look, self)
        self._field.typed.connect(self._toolbox.typed)
        self._field.entered.connect(self._enter_field)
        self._field.closed.connect(lambda: self._toolbox.typed(None, None))
        self._panned: QPointF | None = None
        self._space = False
        self._leaving = self._by_keys = False
        self._cross: XY | None = None
        self._last_px = QPointF()
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    # the sight that tools work on

    @property
    def desk(self) -> Desk:
        """The desk that gestures go to."""
        return self._desk

    @property
    def px_per_m(self) -> float:
        """How many px a metre takes."""
        return self._camera.view.px_per_m

    @property
    def grid_m(self) -> float:
        """Distance of the grid's crosses, m: 1, 2 or 5 times a power of ten, at least 90 px apart."""
        wanted = _GRID_PX * self._camera.view.metres_per_px
        power = 10.0 ** math.floor(math.log10(wanted))
        return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= wanted * (1 - 1e-9))

    def level_at(self, x: float, y: float) -> float:
        """Level of the ground, m; NaN where there is none, or none is known yet."""
        answers = self._desk.answers
        return math.nan if answers is None else level_at(answers.ground.ground, x, y)

    def to_card(self) -> None:
        """Go to the card of what is selected."""
        self.cardWanted.emit()

    def edit_corners(self) -> None:
        """Edit the corners of the one selected thing by keys."""
        chosen = self._desk.selected
        if len(chosen) == 1 and chosen[0].geometry != "Point" and not chosen[0].locked:
            self._toolbox.edit_corners(chosen[0].id)

    # for subclasses

    def finding_at(self, where: QPointF) -> Finding | None:
        """The finding whose sign is under a place of the widget."""
        return None

    def _tool_changed(self) -> None:
        """What the tool shows may have changed."""

    # the pointer

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Move the sheet, or begin what the tool does."""
        self._leaving = self._by_keys = False
        self._cross = None
        left = event.button() is Qt.MouseButton.LeftButton
        if event.button() is Qt.MouseButton.MiddleButton or (left and self._space):
            self._panned = event.position()
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif left:
            self._field.close_field()
            self._press(event)

    def _press(self, event: QMouseEvent) -> None:
        """Choose the finding whose sign is under the pointer, or let the tool begin."""
        finding = None if self._toolbox.tool.cross_pointer else self.finding_at(event.position())
        if finding is not None:
            self._desk.choose(finding)
        else:
            self._toolbox.press(pointer_of(event, self._camera.view))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """The second press of a double click."""
        if event.button() is Qt.MouseButton.LeftButton and not self._space:
            self._toolbox.press(pointer_of(event, self._camera.view, clicks=2))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The sheet or the tool follows."""
        where = event.position()
        self._last_px = where
        if self._panned is not None:
            self._camera.move(where.x() - self._panned.x(), where.y() - self._panned.y())
            self._panned = where
            return
        self._tell_pointer(where)
        self._toolbox.move(pointer_of(event, self._camera.view))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End the move of the sheet, or what the tool did."""
        if self._panned is not None:
            self._panned = None
            self._set_cursor()
        elif event.button() is Qt.MouseButton.LeftButton:
            self._toolbox.release(pointer_of(event, self._camera.view))

    def enterEvent(self, event: QEnterEvent) -> None:
        """The cursor of the tool."""
        self._set_cursor()
        super().enterEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        """The pointer is nowhere on the plan."""
        self._desk.point(None)
        self._toolbox.leave()
        super().leaveEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel zooms about the pointer, with Shift it moves sideways; two fingers move, with Ctrl they zoom."""
        pixels, angle, where = event.pixelDelta(), event.angleDelta(), event.position()
        held = held_of(event.modifiers())
        touch = not pixels.isNull() and event.phase() is not Qt.ScrollPhase.NoScrollPhase
        if touch and not held.ctrl:
            self._camera.move(pixels.x(), pixels.y())
        elif held.shift:
            notches = (angle.x() or angle.y()) / _NOTCH
            self._camera.move(notches * _WHEEL_MOVE_PX, 0.0)
        elif angle.y():
            self._camera.zoom(STEP ** (angle.y() / _NOTCH), (where.x(), where.y()), eased=not touch)
        event.accept()

    def event(self, event: QEvent) -> bool:
        """Two fingers that spread zoom."""
        if isinstance(event, QNativeGestureEvent) and event.gestureType() is Qt.NativeGestureType.ZoomNativeGesture:
            where = event.position()
            self._camera.zoom(1.0 + event.value(), (where.x(), where.y()), eased=False)
            return True
        return super().event(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """What can be done here, by the right button or the Menu key."""
        view = self._camera.view
        if event.reason() is QContextMenuEvent.Reason.Keyboard:
            where = self._spot_of_keys()
            place = self.mapToGlobal(QPoint(*(round(value) for value in view.to_px(*where))))
        else:
            where, place = view.to_map(event.x(), event.y()), event.globalPos()
            self._select_under(where)
        menu = plan_menu(self, self, where)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(place)

    def _select_under(self, at: XY) -> None:
        """Select what was clicked on, unless it is among what is selected."""
        px = self._camera.view.to_px(*at)
        self._toolbox.pointer.move(Pointer(px, at))
        found = self._desk.hovered
        if found and found not in self._desk.selection:
            self._desk.select((found,))

    def _tell_pointer(self, where: QPointF) -> None:
        view = self._camera.view
        inside = view.sheet.holds(where.x(), where.y())
        self._desk.point(view.to_map(where.x(), where.y()) if inside else None)

    def _set_cursor(self) -> None:
        if self._panned is not None:
            shape = Qt.CursorShape.ClosedHandCursor
        elif self._space:
            shape = Qt.CursorShape.OpenHandCursor
        else:
            shape = Qt.CursorShape.CrossCursor if self._toolbox.tool.cross_pointer else Qt.CursorShape.ArrowCursor
        self.setCursor(shape)

    # keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keys of the plan, then keys of the tool; what none has a use for goes on to the window."""
        self._by_keys = True
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = True
            self._set_cursor()
        elif self._plan_key(event) or self._field_key(event):
            return
        elif not self._tool_key(key_of(event)):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Let go of the sheet."""
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
            self._set_cursor()
        super().keyReleaseEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keyboard is when it came here by keys."""
        keys = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason, Qt.FocusReason.ShortcutFocusReason)
        self._by_keys = self._by_keys or event.reason() in keys
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Space is no longer held, whatever becomes of its key."""
        self._space = False
        self._set_cursor()
        super().focusOutEvent(event)

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes from thing to thing; after Esc, and beyond the last, it leaves the plan."""
        leaving, self._leaving = self._leaving, False
        self._by_keys = True
        if not leaving and self._tool_key(Key(PlanKey.TAB if forward else PlanKey.BACK_TAB)):
            return True
        return super().focusNextPrevChild(forward)

    def _plan_key(self, event: QKeyEvent) -> bool:
        """Home and the arrows with Ctrl move the sheet; brackets go a day back and on, Shift a week; F2 renames."""
        key, held = event.key(), held_of(event.modifiers())
        plain = key_of(event).key
        if key == Qt.Key.Key_Home:
            self._show_selected() if held.shift else self.show_all()
        elif key in _DAY_KEYS:
            self._desk.step_day(_DAY_KEYS[Qt.Key(key)] * (7 if held.shift else 1))
        elif key == Qt.Key.Key_F2 and self._desk.selection:
            self.renameWanted.emit()
        elif held.ctrl and plain in ARROWS:
            east, north = ARROWS[plain]
            self._camera.move(-east * _KEY_MOVE_PX, north * _KEY_MOVE_PX)
        else:
            return False
        return True

    def _field_key(self, event: QKeyEvent) -> bool:
        """A digit while something is drawn opens the field."""
        kind, typed = self._toolbox.field, event.text()
        plain = not event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
        if kind is None or not typed or not plain or not (typed.isdigit() or typed in ".,"):
            return False
        at = self._camera.view.to_px(*self._cross) if self._cross else (self._last_px.x(), self._last_px.y())
        self._field.open(kind, self._desk.units, typed, QPoint(round(at[0]), round(at[1])))
        return True

    def _tool_key(self, key: Key) -> bool:
        self._leaving = key.key is PlanKey.ESCAPE
        used = self._toolbox.key(key)
        if not used and key.key is not None and key.key in ARROWS:
            self._move_cross(key)
            return True
        return used

    def _enter_field(self) -> None:
        if self._toolbox.enter():
            self._field.close_field()

    # the cross that arrow keys move while nothing is selected

    def _spot_of_keys(self) -> XY:
        """Where keys act: the cross, or the middle of what is selected, or of the sheet."""
        chosen = self._desk.selected
        if self._cross is not None:
            return self._cross
        if chosen:
            centre = chosen[0].shape.centroid
            return centre.x, centre.y
        return self._camera.view.centre_x, self._camera.view.centre_y

    def _move_cross(self, key: Key) -> None:
        """The cross goes a step; what it crosses is pointed at as a hand would."""
        assert key.key is not None
        east, north = ARROWS[key.key]
        step = arrow_step_m(key.held)
        x, y = self._cross or (self._camera.view.centre_x, self._camera.view.centre_y)
        self._cross = round(x + east * step, 4), round(y + north * step, 4)
        self._camera.centre_on(self._cross)
        px = self._camera.view.to_px(*self._cross)
        self._desk.point(self._cross)
        self._toolbox.move(Pointer(px, self._cross, Button.NONE, by_keys=True))

    # views

    def show_all(self) -> None:
        """Show the whole site."""

    def _show_selected(self) -> None:
        """Show what is selected."""

    def zoom_in(self) -> None:
        """One step nearer, about the middle."""
        self._zoom_step(STEP)

    def zoom_out(self) -> None:
        """One step further away, about the middle."""
        self._zoom_step(1 / STEP)

    def _zoom_step(self, factor: float) -> None:
        sheet = self._camera.view.sheet
        self._camera.zoom(factor, (sheet.x + sheet.width / 2, sheet.y + sheet.height / 2))
