"""The hand on a tank's water level: dragged or stepped, the plan follows; let go, it is one edit."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look
from gardenwater.site import edits
from gardenwater.site.names import called
from gardenwater.site.things import Tank
from gardenwater.units import Quantity, UnitSystem, text

_SIDE_PX, _HAND_PX = 8.0, 13.0
_STEPS = {Qt.Key.Key_Left: -0.01, Qt.Key.Key_Right: 0.01, Qt.Key.Key_PageDown: -0.1, Qt.Key.Key_PageUp: 0.1}


def gives_words(tank: Tank, can_l: float, units: UnitSystem) -> str:
    """What its outlet still gives at this level: litres, and how many cans those are."""
    gives_l = max(tank.water_l - tank.volume_at_m(tank.outlet_height_m), 0.0)
    cans = round(gives_l / can_l)
    if gives_l <= 0.0:
        return "its outlet gives nothing"
    return f"{text(gives_l, Quantity.VOLUME_L, units)} to draw, {cans:,} can{'' if cans == 1 else 's'}"


class LevelHand(QWidget):
    """From empty to full. What is shown is the shown site's tank; a drag makes a tentative site."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._tank: Tank | None = None
        self._words = self._gives = ""
        self._dragging = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleDescription(
            "From empty to full. Left and Right change it by a hundredth, Page keys by a tenth."
        )
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_tank(self, tank: Tank, level_m: float) -> None:
        """Show a tank with its water level (NaN: the ground has none there)."""
        self._tank = tank
        units = self._desk.units
        above = text(tank.water_height_m - tank.outlet_height_m, Quantity.HEIGHT_M, units)
        level = "" if level_m != level_m else f"{text(level_m, Quantity.LEVEL_M, units)}, "
        self._words = f"{level}{above} above the outlet"
        litres = text(tank.water_l, Quantity.VOLUME_L, units)
        self._gives = gives_words(tank, self._desk.site.settings.can_l, units)
        self.setAccessibleName(f"Water in {called(tank)}, {litres}, {self._words}, {self._gives}")
        self.update()

    def sizeHint(self) -> QSize:
        """Words, line, words."""
        return QSize(200, self._look.px(65))

    @property
    def _share(self) -> float:
        return 0.0 if self._tank is None else min(self._tank.water_l / self._tank.capacity_l, 1.0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Name and level; the line with its hand; empty, what there is to draw, full."""
        painter, look = QPainter(self), self._look
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line = look.px(20)
        painter.setFont(look.font(13))
        painter.setPen(look.color("ink"))
        painter.drawText(QRectF(0, 0, self.width(), line), int(Qt.AlignmentFlag.AlignVCenter), "Water level")
        painter.setFont(look.font(12.5))
        painter.setPen(look.color("ink_soft"))
        right = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        painter.drawText(QRectF(0, 0, self.width(), line), right, self._words)
        y = line + look.px(14)
        left, width = _SIDE_PX, self.width() - 2 * _SIDE_PX
        at = left + width * self._share
        painter.setPen(QPen(look.color("rule"), 1.2))
        painter.drawLine(QPointF(left, y), QPointF(left + width, y))
        for tenth in range(0, 11, 2):
            x = left + width * tenth / 10
            painter.drawLine(QPointF(x, y + 4), QPointF(x, y + 7))
        painter.setPen(QPen(look.color("water"), 3.0))
        painter.drawLine(QPointF(left, y), QPointF(at, y))
        self._paint_hand(painter, at, y)
        foot = QRectF(0, y + look.px(11), self.width(), look.px(18))
        painter.setFont(look.font(12))
        painter.setPen(look.color("ink_soft"))
        painter.drawText(foot, int(Qt.AlignmentFlag.AlignVCenter), "empty")
        painter.drawText(foot, right, "full")
        painter.setPen(look.color("ink"))
        painter.drawText(foot, int(Qt.AlignmentFlag.AlignCenter), self._gives)
        if self.hasFocus():
            draw_focus_ring(painter, QRectF(at - 11, y - 12, 22, 26), look.color("mark"))

    def _paint_hand(self, painter: QPainter, x: float, y: float) -> None:
        """The house-shaped grip that every hand has."""
        half = _HAND_PX / 2
        shape = [(-half, -7), (half, -7), (half, 3), (0, 9), (-half, 3)]
        painter.setPen(QPen(self._look.color("mark"), 1.6))
        painter.setBrush(self._look.color("slip"))
        painter.drawPolygon(QPolygonF([QPointF(x + dx, y + dy) for dx, dy in shape]))

    def _set_share(self, share: float) -> None:
        tank = self._tank
        if tank is None:
            return
        litres = round(min(max(share, 0.0), 1.0) * tank.capacity_l, 1)
        self._desk.tentative(edits.change(self._desk.present, tank.id, water_l=litres))

    def _share_at(self, x: float) -> float:
        return (x - _SIDE_PX) / max(self.width() - 2 * _SIDE_PX, 1.0)

    @property
    def dragging(self) -> bool:
        """Whether the hand is held."""
        return self._dragging

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the hand."""
        if event.button() is Qt.MouseButton.LeftButton and not self._desk.live:
            self._dragging = True
            self._set_share(self._share_at(event.position().x()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The plan follows."""
        if self._dragging:
            self._set_share(self._share_at(event.position().x()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """One edit."""
        if self._dragging:
            self._dragging = False
            self._commit()

    def _commit(self) -> None:
        if self._tank is not None:
            self._desk.commit(f"Water in {called(self._tank)}", f"water {self._tank.id}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Steps; Home and End are empty and full; Esc gives a drag up."""
        key = Qt.Key(event.key())
        if key is Qt.Key.Key_Escape and self._dragging:
            self._dragging = False
            self._desk.tentative(None)
        elif key in _STEPS or key in {Qt.Key.Key_Home, Qt.Key.Key_End}:
            wanted = {Qt.Key.Key_Home: 0.0, Qt.Key.Key_End: 1.0}.get(key, self._share + _STEPS.get(key, 0.0))
            self._set_share(wanted)
            self._commit()
        else:
            super().keyPressEvent(event)
