"""What is painted on the plan: the kept layers, what a tool shows, and the sheet while it is being zoomed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter, QTransform

from gardenwater.desktop.look import Look
from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.plan.stack import Fade, LayerStack
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Drawing, LayerName, Mark
from gardenwater.report.plan_drawing import PlanDrawing
from gardenwater.report.view import View

_NOT_ZOOMED = (LayerName.FRAME,)


class Surface:
    """Paints one plan. Ask it with the same drawing as long as nothing has changed: it keeps pictures by layer."""

    def __init__(self, look: Look) -> None:
        self._look = look
        self._stack = LayerStack()
        self._marks: MarkPainter | None = None
        self._ratio = 0.0
        self._frozen: tuple[QImage, View] | None = None

    def look_changed(self) -> None:
        """Colours or type have changed: nothing that was kept holds."""
        self._marks = self._frozen = None
        self._stack.forget()

    def paint(self, painter: QPainter, drawing: Drawing, ratio: float, fade: Fade | None = None) -> None:
        """Paint the drawing."""
        self._frozen = None
        self._stack.paint(painter, drawing, self._painter(ratio), ratio, fade)

    def picture_of(self, drawing: Drawing, name: LayerName, ratio: float) -> QImage:
        """One layer as a picture of its own."""
        image = blank_image(drawing.width_px, drawing.height_px, ratio)
        painter = QPainter(image)
        self._painter(ratio).paint_layer(painter, drawing.layer(name))
        painter.end()
        return image

    def paint_marks(self, painter: QPainter, marks: Sequence[Mark], clip: QRectF, ratio: float) -> None:
        """Paint what changes with every move of the pointer."""
        if marks:
            painter.save()
            painter.setClipRect(clip)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._painter(ratio).paint(painter, marks)
            painter.restore()

    def paint_zoomed(self, painter: QPainter, drawing: PlanDrawing, view: View, ratio: float) -> None:
        """Paint the drawing as it was made for another view, stretched to this one: for the moments of a zoom."""
        drawn_for = drawing.view
        if self._frozen is None or self._frozen[1] is not drawn_for:
            self._frozen = self._freeze(drawing, ratio), drawn_for
        image = self._frozen[0]
        scale = drawn_for.metres_per_px / view.metres_per_px
        left, top = view.to_px(*drawn_for.to_map(0.0, 0.0))
        painter.save()
        painter.setClipRect(QRectF(*view.sheet))
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setTransform(QTransform(scale, 0, 0, scale, left, top), combine=True)
        painter.drawImage(QPointF(0, 0), image)
        painter.restore()
        for name in _NOT_ZOOMED:
            self._painter(ratio).paint_layer(painter, drawing.layer(name))

    def _freeze(self, drawing: Drawing, ratio: float) -> QImage:
        image = blank_image(drawing.width_px, drawing.height_px, ratio)
        painter = QPainter(image)
        painter.fillRect(image.rect(), self._look.color(drawing.ground))
        marks = self._painter(ratio)
        for layer in drawing:
            if layer.name not in _NOT_ZOOMED:
                marks.paint_layer(painter, layer)
        painter.end()
        return image

    def _painter(self, ratio: float) -> MarkPainter:
        if self._marks is None or ratio != self._ratio:
            self._marks = MarkPainter(self._look.roles, ratio)
            self._ratio = ratio
        return self._marks
