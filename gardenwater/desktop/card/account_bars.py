"""The water account as two bars: all rain, and below it the spilled part opened out."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.assess import WaterAccount
from gardenwater.desktop.look import Look

_BAR_PX, _BETWEEN_PX = 14, 13


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a whole. role: its fill; dots, lines: what lies on it, so that no part is told by colour alone."""

    litres: float
    role: str
    words: str
    dots: bool = False
    lines: bool = False


def rain_parts(account: WaterAccount) -> tuple[Part, ...]:
    """What becomes of all rain on the roofs."""
    kept = account.stays_on_roofs_l + account.kept_by_first_flush_l
    parts = (
        Part(kept, "roof_fill", "stays on roofs and in first-flush devices"),
        Part(account.taken_by_tanks_l, "tank_fill", "taken by tanks"),
        Part(account.into_drains_l, "building_fill", "into drains", lines=True),
        Part(account.spilled_l, "spill", "spilled"),
    )
    return tuple(part for part in parts if part.litres > 0)


def spilled_parts(account: WaterAccount) -> tuple[Part, ...]:
    """What becomes of what is spilled."""
    parts = (
        Part(account.soaked_l, "mud_2", "soaked on the way"),
        Part(account.takers_l, "paper", "into takers", dots=True),
        Part(account.pooled_l, "pool_3", "pooled"),
        Part(account.off_site_l, "slip", "off the site", lines=True),
    )
    return tuple(part for part in parts if part.litres > 0)


class AccountBars(QWidget):
    """The two bars. Their rows, with the litres, stand below in the table of the account."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._rain: tuple[Part, ...] = ()
        self._spilled: tuple[Part, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_account(self, account: WaterAccount | None) -> None:
        """Show another account; None: none."""
        self._rain = () if account is None else rain_parts(account)
        self._spilled = () if account is None else spilled_parts(account)
        self.setVisible(bool(self._rain))
        whole = sum(part.litres for part in self._rain)
        self.setAccessibleName(
            "Of all rain: " + ", ".join(f"{part.words} {100 * part.litres / whole:.0f} %" for part in self._rain)
            if whole > 0
            else "No rain yet"
        )
        self.setToolTip(", ".join(part.words for part in (*self._rain, *self._spilled)))
        self.update()

    def sizeHint(self) -> QSize:
        """Two bars and the room between."""
        return QSize(200, self._look.px(2 * _BAR_PX + _BETWEEN_PX) + 4)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The bars, and the spilled part opened from one to the other."""
        painter, high = QPainter(self), float(self._look.px(_BAR_PX))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        width = self.width() - 1.0
        first = self._bar(painter, QRectF(0.5, 0.5, width, high), self._rain)
        if not self._spilled:
            return
        top = high + self._look.px(_BETWEEN_PX)
        spilled = first[-1]
        opened = QPolygonF(
            [
                QPointF(spilled.left(), high + 1),
                QPointF(spilled.right(), high + 1),
                QPointF(width + 0.5, top),
                QPointF(0.5, top),
            ]
        )
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._look.color("rule", 0.35))
        painter.drawPolygon(opened)
        self._bar(painter, QRectF(0.5, top, width, high), self._spilled)

    def _bar(self, painter: QPainter, box: QRectF, parts: tuple[Part, ...]) -> list[QRectF]:
        whole, left, boxes = sum(part.litres for part in parts), box.left(), []
        look = self._look
        for part in parts:
            piece = QRectF(left, box.top(), box.width() * part.litres / whole, box.height())
            painter.fillRect(piece, look.color(part.role))
            if part.dots:
                painter.fillRect(piece, QBrush(look.color("earth"), Qt.BrushStyle.Dense7Pattern))
            if part.lines:
                painter.fillRect(piece, QBrush(look.color("spill"), Qt.BrushStyle.BDiagPattern))
            boxes.append(piece)
            left = piece.right()
        painter.setPen(QPen(look.color("ink"), 0.8))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for piece in boxes:
            painter.drawRect(piece)
        return boxes
