"""How the rows of the drawing tray are painted."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.icons import icon_pixmap, kind_icon
from gardenwater.desktop.look import Look
from gardenwater.desktop.tray.model import TrayRole

Index = QModelIndex | QPersistentModelIndex
ROW_PX, THING_ROW_PX, GROUP_GAP_PX = 29, 24, 9
COUNT_PX = 44
_ICON_PX, _SIDE_PX, _WORD_LEFT_PX = 20, 16, 44


class TrayDelegate(QStyledItemDelegate):
    """Sign, word and count of a kind; the name of a thing, set in."""

    def __init__(self, desk: Desk, look: Look) -> None:
        super().__init__()
        self._desk, self._look = desk, look

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Rows of 29, and a gap with a rule after each group."""
        if index.data(TrayRole.THING):
            return QSize(0, self._look.px(THING_ROW_PX))
        gap = GROUP_GAP_PX if index.data(TrayRole.GROUP_END) else 0
        return QSize(0, self._look.px(ROW_PX) + gap)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """One row."""
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        rect = QRectF(option.rect)
        if index.data(TrayRole.THING):
            self._paint_thing(painter, rect, option, index)
        else:
            self._paint_kind(painter, rect, option, index)
        painter.restore()

    def _paint_ground(self, painter: QPainter, rect: QRectF, option: QStyleOptionViewItem, *, picked: bool) -> str:
        hovered = bool(option.state & QStyle.StateFlag.State_MouseOver)
        ground = "slip_picked" if picked else "slip_rest" if hovered else "sheet"
        if ground != "sheet":
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self._look.color(ground))
            painter.drawRoundedRect(rect.adjusted(6, 0, -6, 0), 3, 3)
        if option.state & QStyle.StateFlag.State_HasFocus:
            draw_focus_ring(painter, rect.adjusted(6, 0, -6, 0), self._look.color("mark"))
        return ground

    def _paint_kind(self, painter: QPainter, rect: QRectF, option: QStyleOptionViewItem, index: Index) -> None:
        look, kind = self._look, index.data(TrayRole.KIND)
        row = QRectF(rect.left(), rect.top(), rect.width(), look.px(ROW_PX))
        drawing = self._desk.tool == kind
        ground = self._paint_ground(painter, row, option, picked=drawing)
        role = "mark" if drawing else "ink"
        size = look.px(_ICON_PX)
        picture = icon_pixmap(
            kind_icon(kind), look.color(role), look.color(ground), size, painter.device().devicePixelRatioF()
        )
        painter.drawPixmap(round(row.left() + _SIDE_PX), round(row.center().y() - size / 2), picture)
        left = row.left() + _SIDE_PX + look.px(_WORD_LEFT_PX - _SIDE_PX)
        words = QRectF(left, row.top(), row.right() - left - look.px(30), row.height())
        self._write(painter, words, index.data(), role, semibold=drawing)
        count = index.data(TrayRole.COUNT)
        right = QRectF(row.right() - look.px(COUNT_PX), row.top(), look.px(COUNT_PX) - _SIDE_PX, row.height())
        painter.setFont(look.font(12.5))
        painter.setPen(look.color("ink_soft" if count else "ink_quiet"))
        painter.drawText(
            right, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, str(count) if count else "–"
        )
        if index.data(TrayRole.GROUP_END):
            painter.setPen(look.color("hairline"))
            y = round(rect.bottom() - GROUP_GAP_PX / 2) + 0.5
            painter.drawLine(round(rect.left() + _SIDE_PX), round(y), round(rect.right() - _SIDE_PX), round(y))

    def _paint_thing(self, painter: QPainter, rect: QRectF, option: QStyleOptionViewItem, index: Index) -> None:
        picked = index.data(TrayRole.THING) in self._desk.selection
        self._paint_ground(painter, rect, option, picked=picked)
        left = rect.left() + _SIDE_PX + self._look.px(_WORD_LEFT_PX - _SIDE_PX)
        words = QRectF(left, rect.top(), rect.right() - left - 12, rect.height())
        self._write(painter, words, index.data(), "mark" if picked else "ink_soft", semibold=picked)

    def _write(self, painter: QPainter, rect: QRectF, words: str, role: str, *, semibold: bool) -> None:
        font = self._look.font(13, semibold=semibold)
        painter.setFont(font)
        painter.setPen(self._look.color(role))
        shown = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, rect.width())
        painter.drawText(rect, Qt.AlignmentFlag.AlignVCenter, shown)
