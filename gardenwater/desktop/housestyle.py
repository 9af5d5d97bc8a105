"""The style of the widgets: Fusion, with our focus ring, arrows and corners."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import (
    QProxyStyle,
    QStyle,
    QStyleHintReturn,
    QStyleOption,
    QStyleOptionComplex,
    QStyleOptionSlider,
    QWidget,
)

from gardenwater.desktop.scrollbars import EXTENT_PX, draw_scroll_bar, sub_control_rect

RING_PX = 2.0
_CORNER_PX = 3.0
_ARROW_PX = 4.0

_ARROWS: dict[QStyle.PrimitiveElement, tuple[tuple[float, float], ...]] = {
    QStyle.PrimitiveElement.PE_IndicatorArrowDown: ((-1.0, -0.55), (1.0, -0.55), (0.0, 0.65)),
    QStyle.PrimitiveElement.PE_IndicatorArrowUp: ((-1.0, 0.55), (1.0, 0.55), (0.0, -0.65)),
    QStyle.PrimitiveElement.PE_IndicatorArrowRight: ((-0.55, -1.0), (-0.55, 1.0), (0.65, 0.0)),
    QStyle.PrimitiveElement.PE_IndicatorArrowLeft: ((0.55, -1.0), (0.55, 1.0), (-0.65, 0.0)),
}


def draw_focus_ring(painter: QPainter, rect: QRectF, color: QColor, corner_px: float = _CORNER_PX) -> None:
    """The ring of what has the keyboard: 2 px, just inside `rect`; leave it a gap of 2 px to what it goes round."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(color, RING_PX))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    half = RING_PX / 2
    painter.drawRoundedRect(rect.adjusted(half, half, -half, -half), corner_px, corner_px)
    painter.restore()


class HouseStyle(QProxyStyle):
    """Fusion, flat, with a focus ring that is never a dotted line."""

    def __init__(self) -> None:
        super().__init__("Fusion")

    def drawPrimitive(
        self,
        element: QStyle.PrimitiveElement,
        option: QStyleOption,
        painter: QPainter,
        widget: QWidget | None = None,
    ) -> None:
        """Draw the focus ring and arrows ourselves, the rest as Fusion does."""
        colors: QPalette = option.palette
        rect = QRectF(option.rect)
        if element is QStyle.PrimitiveElement.PE_FrameFocusRect:
            draw_focus_ring(painter, rect, colors.color(QPalette.ColorRole.Accent))
        elif element in _ARROWS:
            _draw_arrow(painter, rect, _ARROWS[element], colors.color(QPalette.ColorRole.ButtonText))
        else:
            super().drawPrimitive(element, option, painter, widget)

    def drawComplexControl(
        self,
        control: QStyle.ComplexControl,
        option: QStyleOptionComplex,
        painter: QPainter,
        widget: QWidget | None = None,
    ) -> None:
        """Draw scroll bars ourselves, the rest as Fusion does."""
        if control is QStyle.ComplexControl.CC_ScrollBar and isinstance(option, QStyleOptionSlider):
            draw_scroll_bar(option, painter)
        else:
            super().drawComplexControl(control, option, painter, widget)

    def subControlRect(
        self,
        control: QStyle.ComplexControl,
        option: QStyleOptionComplex,
        part: QStyle.SubControl,
        widget: QWidget | None = None,
    ) -> QRect:
        """Scroll bars have no arrows."""
        if control is QStyle.ComplexControl.CC_ScrollBar and isinstance(option, QStyleOptionSlider):
            rect = sub_control_rect(option, part)
            return QRect() if rect is None else rect.toAlignedRect()
        return super().subControlRect(control, option, part, widget)  # type: ignore[arg-type] # None is taken

    def pixelMetric(
        self, metric: QStyle.PixelMetric, option: QStyleOption | None = None, widget: QWidget | None = None
    ) -> int:
        """Scroll bars are narrow."""
        if metric is QStyle.PixelMetric.PM_ScrollBarExtent:
            return EXTENT_PX
        return super().pixelMetric(metric, option, widget)

    def styleHint(
        self,
        hint: QStyle.StyleHint,
        option: QStyleOption | None = None,
        widget: QWidget | None = None,
        return_data: QStyleHintReturn | None = None,
    ) -> int:
        """Tool tips after 400 ms; menus take the keyboard."""
        if hint is QStyle.StyleHint.SH_ToolTip_WakeUpDelay:
            return 400
        return super().styleHint(hint, option, widget, return_data)


def _draw_arrow(painter: QPainter, rect: QRectF, corners: tuple[tuple[float, float], ...], color: QColor) -> None:
    middle, size = rect.center(), min(_ARROW_PX, rect.width() / 2, rect.height() / 2)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(color)
    painter.drawPolygon(QPolygonF([middle + QPointF(x * size, y * size) for x, y in corners]))
    painter.restore()
