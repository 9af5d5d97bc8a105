"""The layers of the plan on the screen: each is drawn when it changes, and kept as a picture until it does again."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QImage, QPainter

from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Drawing, Layer, LayerName

DIRECT = frozenset((LayerName.HATCHES, LayerName.LIMITS, LayerName.ANSWERS, LayerName.OVERLAY))
"""Layers that have few marks, or change with every move: they are drawn anew each time, and kept as no picture."""


@dataclass(frozen=True, slots=True)
class Fade:
    """An old wash that gives way to the new one. share: of the new one, 0 to 1."""

    old: QImage
    share: float


class LayerStack:
    """Paints drawings that follow one another; a layer that is the same object as before is not drawn again."""

    def __init__(self) -> None:
        self._kept: dict[LayerName, tuple[Layer, QImage]] = {}
        self._size = QSize()

    def forget(self) -> None:
        """Drop all pictures (the palette or the screen has changed)."""
        self._kept.clear()

    def paint(
        self, painter: QPainter, drawing: Drawing, marks: MarkPainter, ratio: float, fade: Fade | None = None
    ) -> None:
        """Paint a drawing; its wash fades in over the old one where there is a fade."""
        size = QSize(round(drawing.width_px * ratio), round(drawing.height_px * ratio))
        if size != self._size:
            self.forget()
            self._size = size
        for layer in drawing:
            if fade is not None and layer.name is LayerName.WASH:
                self._paint_fading(painter, layer, marks, ratio, fade)
            else:
                self._paint_layer(painter, layer, marks, ratio)

    def _paint_fading(self, painter: QPainter, layer: Layer, marks: MarkPainter, ratio: float, fade: Fade) -> None:
        painter.setOpacity(1.0 - fade.share)
        painter.drawImage(QPointF(0, 0), fade.old)
        painter.setOpacity(fade.share)
        self._paint_layer(painter, layer, marks, ratio)
        painter.setOpacity(1.0)

    def _paint_layer(self, painter: QPainter, layer: Layer, marks: MarkPainter, ratio: float) -> None:
        if not layer.marks:
            self._kept.pop(layer.name, None)
        elif layer.name in DIRECT:
            marks.paint_layer(painter, layer)
        else:
            painter.drawImage(QPointF(0, 0), self._picture(layer, marks, ratio))

    def _picture(self, layer: Layer, marks: MarkPainter, ratio: float) -> QImage:
        kept = self._kept.get(layer.name)
        if kept is not None and kept[0] is layer:
            return kept[1]
        image = blank_image(self._size.width() / ratio, self._size.height() / ratio, ratio)
        painter = QPainter(image)
        marks.paint_layer(painter, layer)
        painter.end()
        self._kept[layer.name] = layer, image
        return image
