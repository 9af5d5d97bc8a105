"""The layers of the plan on the screen: each is drawn when it changes, and kept as a picture until it does again.

Those at the bottom that have stayed as they were since the last paint are kept as one picture together, so that a frame
of a drag, in which only what is in the hand changes, lays down one picture and not ten.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QColor, QImage, QPainter

from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Drawing, Layer, LayerName

DAILY = frozenset((LayerName.BEDS, LayerName.STORES))
"""Layers of a plan by day: they change with most steps of the year's hand, so they are joined to no picture."""

DIRECT = DAILY | {LayerName.HATCHES, LayerName.LIMITS, LayerName.ANSWERS, LayerName.OVERLAY, LayerName.LABELS}
"""Layers that have few marks or small ones, or change with every move: drawn anew each time, and kept as no picture."""


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
        self._painted: tuple[Layer, ...] = ()
        self._joined: tuple[tuple[Layer, ...], QImage] | None = None

    def forget(self) -> None:
        """Drop all pictures (the palette or the screen has changed)."""
        self._kept.clear()
        self._painted, self._joined = (), None

    def paint(
        self,
        painter: QPainter,
        drawing: Drawing,
        marks: MarkPainter,
        ratio: float,
        fade: Fade | None = None,
        ground: QColor | None = None,
    ) -> None:
        """Paint a drawing; its wash fades in over the old one where there is a fade.

        ground: what all of it lies on; layers at the bottom are joined to one picture on it where it is given.
        """
        size = QSize(round(drawing.width_px * ratio), round(drawing.height_px * ratio))
        if size != self._size:
            self.forget()
            self._size = size
        layers = drawing.layers
        below = 0 if ground is None or fade is not None else self._unchanged(layers)
        self._painted = layers
        if ground is not None and below > 1:
            painter.drawImage(QPointF(0, 0), self._join(layers[:below], marks, ratio, ground))
            layers = layers[below:]
        for layer in layers:
            if fade is not None and layer.name is LayerName.WASH:
                self._paint_fading(painter, layer, marks, ratio, fade)
            else:
                self._paint_layer(painter, layer, marks, ratio)

    def _unchanged(self, layers: tuple[Layer, ...]) -> int:
        """How many layers from the bottom are those of the paint before; none of a day, so that the joint holds."""
        pairs = enumerate(zip(layers, self._painted, strict=False))
        changes = (count for count, (new, old) in pairs if new is not old or new.name in DAILY)
        return next(changes, len(self._painted))

    def _join(self, layers: tuple[Layer, ...], marks: MarkPainter, ratio: float, ground: QColor) -> QImage:
        """Layers as one picture, kept as long as it is of the same layers."""
        kept = self._joined
        if kept is not None and len(kept[0]) == len(layers) and all(map(_is, kept[0], layers)):
            return kept[1]
        image = blank_image(self._size.width() / ratio, self._size.height() / ratio, ratio, ground)
        painter = QPainter(image)
        for layer in layers:
            self._paint_layer(painter, layer, marks, ratio)
        painter.end()
        self._joined = layers, image
        return image

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


def _is(one: object, other: object) -> bool:
    return one is other
