"""Paints the drawing list with QPainter: the plan on the screen, and pages on paper.

Sizes are device-independent px as they stand in the list; nothing is scaled but by the device's own ratio. Outlines
become one QPainterPath each, made once for each mark object; words with a casing become one small picture each, once
for each look.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPaintDevice, QPainter, QPainterPath, QPen, QTransform

from gardenwater.desktop.qtimages import blank_image, image_of
from gardenwater.desktop.qtpaths import path_of, polygon_of, strokes_path
from gardenwater.desktop.qttext import TextCache
from gardenwater.report.drawing import (
    Cap,
    Dots,
    Fill,
    Group,
    Join,
    Layer,
    Mark,
    Pen,
    Picture,
    Shape,
    Strokes,
    Subpath,
    Text,
)
from gardenwater.report.palette import Palette

_CAPS = {Cap.FLAT: Qt.PenCapStyle.FlatCap, Cap.ROUND: Qt.PenCapStyle.RoundCap, Cap.SQUARE: Qt.PenCapStyle.SquareCap}
_JOINS = {Join.MITRE: Qt.PenJoinStyle.MiterJoin, Join.ROUND: Qt.PenJoinStyle.RoundJoin}
_KEPT_PATHS = 6000
_KEPT_IMAGES = 8
_MANY_POINTS = 2000


class MarkPainter:
    """Paints marks in one palette. Keep one for as long as the palette holds: it keeps what it made of each mark."""

    def __init__(self, palette: Palette, ratio: float = 1.0) -> None:
        self._palette = palette
        self._text = TextCache(self._color, ratio)
        self._paths: dict[int, tuple[object, QPainterPath]] = {}
        self._images: dict[int, tuple[object, QImage]] = {}
        self._draws: dict[type, Callable[[Any, QPainter], None]] = {
            Shape: self._draw_shape,
            Strokes: self._draw_strokes,
            Dots: self._draw_dots,
            Text: lambda mark, painter: self._text.draw(painter, mark),
            Picture: self._draw_picture,
            Group: self._draw_group,
        }

    def paint_layer(self, painter: QPainter, layer: Layer) -> None:
        """Paint all marks of a layer inside its clip."""
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if layer.clip is not None:
            painter.setClipRect(QRectF(*layer.clip), Qt.ClipOperation.IntersectClip)
        self.paint(painter, layer.marks)
        painter.restore()

    def paint(self, painter: QPainter, marks: Sequence[Mark]) -> None:
        """Paint marks in their order."""
        draws = self._draws
        for mark in marks:
            draws[type(mark)](mark, painter)

    def _draw_shape(self, mark: Shape, painter: QPainter) -> None:
        if mark.pen is not None and mark.casing is None and mark.fill is None and _points_in(mark) >= _MANY_POINTS:
            for path in self._runs(mark):
                painter.strokePath(path, self._pen(mark.pen))
            return
        path = self._path(mark, mark.path)
        if mark.casing is not None:
            painter.strokePath(path, self._pen(mark.casing))
        if mark.fill is not None:
            painter.fillPath(path, self._brush(mark.fill))
        if mark.pen is not None:
            painter.strokePath(path, self._pen(mark.pen))

    def _draw_strokes(self, mark: Strokes, painter: QPainter) -> None:
        if len(mark.ends) == 0:
            return
        path = self._kept(mark) or self._keep(mark, strokes_path(mark.ends))
        if mark.casing is not None:
            painter.strokePath(path, self._pen(mark.casing))
        painter.strokePath(path, self._pen(mark.pen))

    def _draw_dots(self, mark: Dots, painter: QPainter) -> None:
        if len(mark.points) == 0:
            return
        pen = QPen(self._color(mark.role, mark.strength), mark.diameter_px)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        painter.drawPoints(polygon_of(mark.points))

    def _draw_picture(self, mark: Picture, painter: QPainter) -> None:
        painter.save()
        painter.setOpacity(painter.opacity() * mark.strength)
        a, b, c, d, e, f = mark.transform
        painter.setTransform(QTransform(a, d, b, e, c, f), combine=True)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, mark.smooth)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.drawImage(QPointF(0, 0), self._image(mark))
        painter.restore()

    def _draw_group(self, mark: Group, painter: QPainter) -> None:
        painter.save()
        painter.setOpacity(painter.opacity() * mark.strength)
        if mark.clip is None:
            self.paint(painter, mark.marks)
        elif sum(map(_points_in, mark.marks)) < _MANY_POINTS:
            painter.setClipPath(self._path(mark, mark.clip), Qt.ClipOperation.IntersectClip)
            self.paint(painter, mark.marks)
        else:
            self._paint_cut(painter, mark, self._path(mark, mark.clip))
        painter.restore()

    def _paint_cut(self, painter: QPainter, mark: Group, clip: QPainterPath) -> None:
        """Paint many lines whole on a picture, and of that what lies inside the clip.

        Lines that are stroked through a clip with many corners take twenty times as long.
        """
        device, ratio = painter.device(), painter.device().devicePixelRatioF()
        image = blank_image(device.width() / self._of_image(device), device.height() / self._of_image(device), ratio)
        onto = QPainter(image)
        onto.setRenderHints(painter.renderHints())
        onto.setTransform(painter.transform())
        self.paint(onto, mark.marks)
        onto.setCompositionMode(QPainter.CompositionMode.CompositionMode_DestinationIn)
        onto.fillPath(clip, QColor(0, 0, 0))
        onto.end()
        painter.resetTransform()
        painter.drawImage(QPointF(0, 0), image)

    @staticmethod
    def _of_image(device: QPaintDevice) -> float:
        """Of a picture the size is in px of the device, of a widget in px of the screen."""
        return device.devicePixelRatioF() if isinstance(device, QImage) else 1.0

    def _color(self, role: str, strength: float = 1.0) -> QColor:
        red, green, blue = self._palette.rgb(role)
        return QColor(red, green, blue, round(255 * strength))

    def _brush(self, fill: Fill) -> QBrush:
        return QBrush(self._color(fill.role, fill.strength))

    def _pen(self, pen: Pen) -> QPen:
        made = QPen(self._color(pen.role, pen.strength), pen.width_px)
        made.setCapStyle(_CAPS[pen.cap])
        made.setJoinStyle(_JOINS[pen.join])
        if pen.dash:
            made.setDashPattern([length / pen.width_px for length in pen.dash])
        return made

    def _path(self, mark: object, subpaths: Sequence[Subpath]) -> QPainterPath:
        return self._kept(mark) or self._keep(mark, path_of(subpaths))

    def _runs(self, mark: Shape) -> list[QPainterPath]:
        """Each run of a line by itself: a pen over 1 px takes ten times as long over all of them as one outline."""
        return [self._kept(run) or self._keep(run, path_of((run,))) for run in mark.path]

    def _kept(self, mark: object) -> QPainterPath | None:
        found = self._paths.get(id(mark))
        return None if found is None else found[1]

    def _keep(self, mark: object, path: QPainterPath) -> QPainterPath:
        """Keep a path as long as there is room; the mark is kept with it, so that its id stays its own."""
        if len(self._paths) >= _KEPT_PATHS:
            for key in list(self._paths)[: _KEPT_PATHS // 2]:
                del self._paths[key]
        self._paths[id(mark)] = (mark, path)
        return path

    def _image(self, mark: Picture) -> QImage:
        """The cells as an image over the same memory; kept while the cells are the same array."""
        key = id(mark.cells)
        found = self._images.pop(key, None)
        image = image_of(mark.cells) if found is None else found[1]
        self._images[key] = (mark.cells, image)
        while len(self._images) > _KEPT_IMAGES:
            del self._images[next(iter(self._images))]
        if mark.table is not None:
            image.setColorTable(self._colors(mark.table))
        return image

    def _colors(self, table: tuple[Fill | None, ...]) -> list[int]:
        return [0 if fill is None else self._color(fill.role, fill.strength).rgba() for fill in table]


def _points_in(mark: Mark) -> int:
    """How many points the outlines of a mark have."""
    if isinstance(mark, Shape):
        return sum(len(run.points) for run in mark.path)
    if isinstance(mark, Group):
        return sum(map(_points_in, mark.marks))
    return len(mark.ends) if isinstance(mark, Strokes) else 0
