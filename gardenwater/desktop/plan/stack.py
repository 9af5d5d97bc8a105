"""The layers of the plan on the screen: each is drawn when it changes, and kept as a picture until it does again.

Those that lie next to each other and have stayed as they were since the last paint are kept as one picture together, so
that a frame of a drag, in which only the wash and what is in the hand change, lays down three pictures and not ten.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QColor, QImage, QPainter

from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Drawing, Layer, LayerName

DAILY = frozenset((LayerName.BEDS, LayerName.STORES))
"""Layers of a plan by day: they change with most steps of the year's hand."""

ALONE = DAILY | {LayerName.WASH, LayerName.OVERLAY, LayerName.LABELS}
"""Layers that change with most frames while something is moved: they are joined to no picture, so that none is lost."""

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
        self._joined: dict[LayerName, tuple[tuple[Layer, ...], QImage]] = {}
        self._seen: dict[LayerName, Layer] = {}

    def forget(self) -> None:
        """Drop all pictures (the palette or the screen has changed)."""
        self._kept.clear()
        self._painted = ()
        self._joined.clear()
        self._seen.clear()

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

        ground: what all of it lies on; a joint at the bottom is painted on it, where it is given.
        """
        size = QSize(round(drawing.width_px * ratio), round(drawing.height_px * ratio))
        if size != self._size:
            self.forget()
            self._size = size
        runs = self._runs(drawing.layers)
        self._painted = drawing.layers
        base = drawing.layers[:1] if ground is not None and drawing.layers[0].name is LayerName.GROUND else ()
        for gone in self._joined.keys() - {run[0].name for run in runs if len(run) > 1 or run == base}:
            del self._joined[gone]
        for run in runs:
            layer = run[0]
            if len(run) > 1 or run == base:  # what lies lowest is laid down as it is, not blended
                opaque = ground if layer is drawing.layers[0] else None
                painter.drawImage(QPointF(0, 0), self._join(run, marks, ratio, opaque))
            elif fade is not None and layer.name is LayerName.WASH:
                self._paint_fading(painter, layer, marks, ratio, fade)
            else:
                self._paint_layer(painter, layer, marks, ratio)

    def _runs(self, layers: tuple[Layer, ...]) -> list[tuple[Layer, ...]]:
        """The layers in their order; those that lie next to each other and are those of the last paint together."""
        before = {layer.name: layer for layer in self._painted}
        runs: list[tuple[Layer, ...]] = []
        joins = False
        for layer in layers:
            stays = before.get(layer.name) is layer and layer.name not in ALONE
            if stays and joins:
                runs[-1] = (*runs[-1], layer)
            else:
                runs.append((layer,))
            joins = stays
        return runs

    def _join(self, layers: tuple[Layer, ...], marks: MarkPainter, ratio: float, ground: QColor | None) -> QImage:
        """Layers as one picture, kept as long as it is of the same layers."""
        kept = self._joined.get(layers[0].name)
        if kept is not None and len(kept[0]) == len(layers) and all(map(_is, kept[0], layers)):
            return kept[1]
        image = blank_image(self._size.width() / ratio, self._size.height() / ratio, ratio, ground)
        painter = QPainter(image)
        for layer in layers:
            self._paint_layer(painter, layer, marks, ratio)
        painter.end()
        self._joined[layers[0].name] = layers, image
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
        elif layer.name in DIRECT or (layer.name is LayerName.WASH and self._passes(layer)):
            marks.paint_layer(painter, layer)
        else:
            painter.drawImage(QPointF(0, 0), self._picture(layer, marks, ratio))

    def _passes(self, layer: Layer) -> bool:
        """Whether a layer follows another at once, as in a drag: a picture of it would serve one paint only."""
        before = self._seen.get(layer.name)
        self._seen[layer.name] = layer
        if before is None or before is layer:
            return False
        self._kept.pop(layer.name, None)
        return True

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
