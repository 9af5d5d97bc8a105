"""Words of the drawing list on the screen: level words as small pictures that are kept, turned ones as outlines."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPainterPath, QPen

from gardenwater.desktop.look import plan_font
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Align, Pen, Text, TextStyle

_KEPT = 3000
_ALIGN_SHARE = {Align.LEFT: 0.0, Align.MIDDLE: 0.5, Align.RIGHT: 1.0}


class _Look(NamedTuple):
    words: str
    style: TextStyle
    role: str
    casing: Pen | None


class _Block(NamedTuple):
    """Words as a picture. left, base: where the start of the base line lies in it, px; width: the advance."""

    image: QImage
    left: float
    base: float
    width: float


class TextCache:
    """Draws words, and keeps what they look like. ratio: device px for a px of what is drawn on."""

    def __init__(self, color: Callable[[str, float], QColor], ratio: float) -> None:
        self._color = color
        self._ratio = ratio
        self._kept: OrderedDict[_Look, _Block] = OrderedDict()
        self._outlines: dict[tuple[str, TextStyle, Align], QPainterPath] = {}

    def draw(self, painter: QPainter, mark: Text) -> None:
        """Draw a mark of words at its place."""
        if not mark.words:
            return
        if mark.strength == 1.0 and mark.casing is not None and not mark.angle_deg:
            self._draw_block(painter, mark)
            return
        painter.save()
        painter.setOpacity(painter.opacity() * mark.strength)
        if mark.angle_deg:
            self._draw_turned(painter, mark)
        elif mark.casing is None:
            self._draw_plain(painter, mark)
        else:
            self._draw_block(painter, mark)
        painter.restore()

    def _draw_plain(self, painter: QPainter, mark: Text) -> None:
        font = plan_font(mark.style)
        shift = _ALIGN_SHARE[mark.align]
        left = mark.x - (QFontMetricsF(font).horizontalAdvance(mark.words) * shift if shift else 0.0)
        painter.setFont(font)
        painter.setPen(self._color(mark.role, 1.0))
        painter.drawText(QPointF(left, mark.y), mark.words)

    def _draw_block(self, painter: QPainter, mark: Text) -> None:
        block = self._block(_Look(mark.words, mark.style, mark.role, mark.casing))
        x = mark.x - block.width * _ALIGN_SHARE[mark.align] - block.left
        y = mark.y - block.base
        # on whole device px, so that the kept picture stays sharp
        painter.drawImage(QPointF(self._whole(x), self._whole(y)), block.image)

    def _whole(self, at_px: float) -> float:
        return math.floor(at_px * self._ratio + 0.5) / self._ratio

    def _draw_turned(self, painter: QPainter, mark: Text) -> None:
        path = self._outline(mark)
        painter.translate(mark.x, mark.y)
        painter.rotate(mark.angle_deg)
        if mark.casing is not None:
            painter.strokePath(path, self._casing(mark.casing))
        painter.fillPath(path, self._color(mark.role, 1.0))

    def _outline(self, mark: Text) -> QPainterPath:
        """The letters as an outline about the start of their base line, or its middle or end; kept."""
        key = (mark.words, mark.style, mark.align)
        path = self._outlines.get(key)
        if path is None:
            if len(self._outlines) >= _KEPT:
                self._outlines.clear()
            font = plan_font(mark.style)
            width = QFontMetricsF(font).horizontalAdvance(mark.words)
            path = self._outlines[key] = QPainterPath()
            path.addText(QPointF(-width * _ALIGN_SHARE[mark.align], 0), font, mark.words)
        return path

    def _casing(self, pen: Pen) -> QPen:
        made = QPen(self._color(pen.role, pen.strength), pen.width_px)
        made.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        return made

    def _block(self, look: _Look) -> _Block:
        block = self._kept.get(look)
        if block is None:
            block = self._kept[look] = self._make_block(look)
            if len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        else:
            self._kept.move_to_end(look)
        return block

    def _make_block(self, look: _Look) -> _Block:
        font = plan_font(look.style)
        metrics = QFontMetricsF(font)
        width = metrics.horizontalAdvance(look.words)
        room = math.ceil((look.casing.width_px if look.casing else 0.0) / 2) + 2.0  # an italic leans out of its advance
        base = room + math.ceil(metrics.ascent())
        image = blank_image(width + 2 * room, base + metrics.descent() + room, self._ratio)
        self._paint_block(image, look, QPointF(room, base))
        return _Block(image, room, base, width)

    def _paint_block(self, image: QImage, look: _Look, start: QPointF) -> None:
        painter = QPainter(image)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        font = plan_font(look.style)
        if look.casing is not None:
            path = QPainterPath()
            path.addText(start, font, look.words)
            painter.strokePath(path, self._casing(look.casing))
        painter.setFont(font)
        painter.setPen(self._color(look.role, 1.0))
        painter.drawText(start, look.words)
        painter.end()
