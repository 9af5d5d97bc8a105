"""The layers of the plan on the screen: those that rest are kept as pictures, those that change are drawn anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QImage, QPainter

from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Drawing, Layer, LayerName

GROUPS: tuple[tuple[LayerName, ...], ...] = (
    (LayerName.GROUND,),
    (LayerName.WASH,),
    (LayerName.CONTOURS, LayerName.THINGS_BELOW, LayerName.LIMITS, LayerName.BUILT),
    (LayerName.ANSWERS, LayerName.THINGS_ABOVE),
    (LayerName.OVERLAY,),
    (LayerName.LABELS,),
    (LayerName.FRAME,),
)
"""Layers that are kept as one picture, because they change together or hardly ever."""


@dataclass(slots=True)
class _Kept:
    """One group as it was drawn last; the picture is made when the same layers are drawn a second time."""

    layers: tuple[Layer, ...]
    image: QImage | None = None


@dataclass(frozen=True, slots=True)
class Fade:
    """An old wash that gives way to the new one. share: of the new one, 0 to 1."""

    old: QImage
    share: float


class LayerStack:
    """Paints drawings that follow one another, and keeps what stays the same between them."""

    def __init__(self) -> None:
        self._kept: list[_Kept] = [_Kept(()) for _ in GROUPS]
        self._size = QSize()

    def forget(self) -> None:
        """Drop all pictures (the palette or the screen has changed)."""
        self._kept = [_Kept(()) for _ in GROUPS]

    def paint(
        self, painter: QPainter, drawing: Drawing, marks: MarkPainter, ratio: float, fade: Fade | None = None
    ) -> None:
        """Paint a drawing; its wash fades in over the old one where there is a fade."""
        size = QSize(round(drawing.width_px * ratio), round(drawing.height_px * ratio))
        if size != self._size:
            self.forget()
            self._size = size
        for index, names in enumerate(GROUPS):
            layers = tuple(layer for layer in drawing if layer.name in names and layer.marks)
            fading = fade is not None and LayerName.WASH in names
            if fade is not None and fading:
                painter.setOpacity(1.0 - fade.share)
                painter.drawImage(QPointF(0, 0), fade.old)
                painter.setOpacity(fade.share)
            self._paint_group(painter, index, layers, marks, ratio)
            if fading:
                painter.setOpacity(1.0)

    def _paint_group(
        self, painter: QPainter, index: int, layers: tuple[Layer, ...], marks: MarkPainter, ratio: float
    ) -> None:
        kept = self._kept[index]
        if not layers:
            kept.layers, kept.image = (), None
        elif not _same(kept.layers, layers):
            kept.layers, kept.image = layers, None
            for layer in layers:
                marks.paint_layer(painter, layer)
        else:
            if kept.image is None:
                kept.image = self._picture(layers, marks, ratio)
            painter.drawImage(QPointF(0, 0), kept.image)

    def _picture(self, layers: Sequence[Layer], marks: MarkPainter, ratio: float) -> QImage:
        image = blank_image(self._size.width() / ratio, self._size.height() / ratio, ratio)
        painter = QPainter(image)
        for layer in layers:
            marks.paint_layer(painter, layer)
        painter.end()
        return image


def _same(old: tuple[Layer, ...], new: tuple[Layer, ...]) -> bool:
    return len(old) == len(new) and all(a is b for a, b in zip(old, new, strict=True))
