"""The sheet while it is moved or zoomed: what was drawn is shifted, and only what comes into sight is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter, QTransform

from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Rect
from gardenwater.report.view import Margins, View

ROOM_PX = 160.0
"""How far a carpet may reach beyond the sheet: a strip as wide is drawn at once, and then none for as long."""

PaintPart = Callable[[QPainter, View], None]
"""Paints a part of the plan, for a view that has no margins, at the painter's origin."""


@dataclass(frozen=True, slots=True, eq=False)
class Carpet:
    """A picture of what lies inside the neat line of a view, and some way beyond it.

    image: its corner lies `ROOM_PX` left of and above the view's own. covered: what of it is drawn, px of the view.
    """

    image: QImage
    view: View
    covered: Rect

    @classmethod
    def laid(cls, view: View, ratio: float, paint: Callable[[QPainter], None]) -> Carpet:
        """A carpet of one view; `paint` paints all of it."""
        image = blank_image(view.width_px + 2 * ROOM_PX, view.height_px + 2 * ROOM_PX, ratio)
        painter = QPainter(image)
        painter.translate(ROOM_PX, ROOM_PX)
        painter.setClipRect(QRectF(*view.sheet))
        paint(painter)
        painter.end()
        return cls(image, view, view.sheet)

    def paint(self, painter: QPainter, view: View, ratio: float) -> None:
        """Paint it where it lies in another view: on whole px of the device, or stretched to another scale."""
        left, top = view.to_px(*self.view.to_map(-ROOM_PX, -ROOM_PX))
        painter.save()
        painter.setClipRect(QRectF(*view.sheet))
        if _same_scale(self.view, view):
            painter.drawImage(QPointF(round(left * ratio) / ratio, round(top * ratio) / ratio), self.image)
        else:
            scale = self.view.metres_per_px / view.metres_per_px
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.setTransform(QTransform(scale, 0, 0, scale, left, top), combine=True)
            painter.drawImage(QPointF(0, 0), self.image)
        painter.restore()

    def over(self, view: View, ratio: float, paint_part: PaintPart) -> Carpet | None:
        """The carpet that covers a view of the same scale: this one, or one with more drawn.

        None where the scale is another, or where nothing of it would be left in sight.
        """
        if not _same_scale(self.view, view):
            return None
        right, down = (round(step * ratio) / ratio for step in _steps(self.view, view))
        sheet = view.sheet
        if _holds(self.covered, _shifted(sheet, -right, -down)):
            return self
        kept = _common(_shifted(self.covered, right, down), sheet.grown(ROOM_PX))
        if kept is None or not kept.meets(sheet):
            return None
        image = blank_image(view.width_px + 2 * ROOM_PX, view.height_px + 2 * ROOM_PX, ratio)
        moved = self.view.moved(right, down)
        painter = QPainter(image)
        painter.drawImage(QPointF(right, down), self.image)
        painter.translate(ROOM_PX, ROOM_PX)
        strips, covered = _bared(kept, sheet)
        for strip in strips:
            _paint_strip(painter, strip, moved, paint_part)
        painter.end()
        return Carpet(image, moved, covered)


def _same_scale(a: View, b: View) -> bool:
    return a == replace(b, centre_x=a.centre_x, centre_y=a.centre_y)


def _steps(old: View, new: View) -> tuple[float, float]:
    """How far what was seen in the old view lies to the right and below in the new one, px."""
    x, y = new.to_px(old.centre_x, old.centre_y)
    was_x, was_y = old.to_px(old.centre_x, old.centre_y)
    return x - was_x, y - was_y


def _shifted(rect: Rect, right: float, down: float) -> Rect:
    return rect._replace(x=rect.x + right, y=rect.y + down)


def _holds(outer: Rect, inner: Rect) -> bool:
    return outer.x <= inner.x and outer.y <= inner.y and outer.right >= inner.right and outer.bottom >= inner.bottom


def _common(a: Rect, b: Rect) -> Rect | None:
    left, top, right, bottom = max(a.x, b.x), max(a.y, b.y), min(a.right, b.right), min(a.bottom, b.bottom)
    return Rect(left, top, right - left, bottom - top) if right > left and bottom > top else None


def _bared(kept: Rect, sheet: Rect) -> tuple[list[Rect], Rect]:
    """Strips that bring what was kept over the sheet and as far beyond as there is room; and all that is covered."""
    whole = sheet.grown(ROOM_PX)
    left = whole.x if kept.x > sheet.x else kept.x
    right = whole.right if kept.right < sheet.right else kept.right
    top = whole.y if kept.y > sheet.y else kept.y
    bottom = whole.bottom if kept.bottom < sheet.bottom else kept.bottom
    strips = [
        Rect(left, kept.y, kept.x - left, kept.height),
        Rect(kept.right, kept.y, right - kept.right, kept.height),
        Rect(left, top, right - left, kept.y - top),
        Rect(left, kept.bottom, right - left, bottom - kept.bottom),
    ]
    return [strip for strip in strips if strip.width > 0 and strip.height > 0], Rect(
        left, top, right - left, bottom - top
    )


def _paint_strip(painter: QPainter, strip: Rect, view: View, paint_part: PaintPart) -> None:
    x, y = view.to_map(strip.x + strip.width / 2, strip.y + strip.height / 2)
    part = View(x, y, view.metres_per_px, strip.width, strip.height, Margins(0.0, 0.0, 0.0, 0.0))
    painter.save()
    painter.setClipRect(QRectF(*strip))
    painter.translate(strip.x, strip.y)
    paint_part(painter, part)
    painter.restore()
