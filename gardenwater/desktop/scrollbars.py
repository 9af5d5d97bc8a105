"""Scroll bars of the house: a quiet bar on the ground that it stands on, without arrows."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPalette
from PySide6.QtWidgets import QStyle, QStyleOptionSlider

EXTENT_PX = 10
_LEAST_PX = 28
_THIN_PX = 5.0


def sub_control_rect(option: QStyleOptionSlider, control: QStyle.SubControl) -> QRectF | None:
    """Where the bar and its groove are; None for the parts that it does not have."""
    box = QRectF(option.rect)
    upright = option.orientation is Qt.Orientation.Vertical
    length = box.height() if upright else box.width()
    span = option.maximum - option.minimum
    bar = length if span <= 0 else max(min(length, _LEAST_PX), length * option.pageStep / (span + option.pageStep))
    at = 0.0 if span <= 0 else (length - bar) * (option.sliderPosition - option.minimum) / span

    def part(start: float, size: float) -> QRectF:
        if upright:
            return QRectF(box.x(), box.y() + start, box.width(), size)
        return QRectF(box.x() + start, box.y(), size, box.height())

    if control is QStyle.SubControl.SC_ScrollBarGroove:
        return box
    if control is QStyle.SubControl.SC_ScrollBarSlider:
        return part(at, bar)
    if control is QStyle.SubControl.SC_ScrollBarSubPage:
        return part(0.0, at)
    if control is QStyle.SubControl.SC_ScrollBarAddPage:
        return part(at + bar, length - at - bar)
    return None


def draw_scroll_bar(option: QStyleOptionSlider, painter: QPainter) -> None:
    """The bar; darker while it is held or pointed at."""
    slider = sub_control_rect(option, QStyle.SubControl.SC_ScrollBarSlider)
    if slider is None or option.maximum <= option.minimum:
        return
    held = bool(option.state & (QStyle.StateFlag.State_MouseOver | QStyle.StateFlag.State_Sunken))
    color = option.palette.color(QPalette.ColorRole.Shadow if held else QPalette.ColorRole.Mid)
    color.setAlphaF(0.7)
    spare = (min(slider.width(), slider.height()) - _THIN_PX) / 2
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(color)
    painter.drawRoundedRect(slider.adjusted(spare, spare, -spare, -spare), _THIN_PX / 2, _THIN_PX / 2)
    painter.restore()
