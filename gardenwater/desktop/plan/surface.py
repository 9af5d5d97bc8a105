"""What is painted on the plan: the kept layers, what a tool shows, and the sheet while it is moved or zoomed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter

from gardenwater.desktop.look import Look
from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.plan.carpet import Carpet
from gardenwater.desktop.plan.stack import Fade, LayerStack
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Drawing, Layer, LayerName, Mark, Rect
from gardenwater.report.plan_drawing import PlanDrawing
from gardenwater.report.view import View

_OFF_CARPET = (LayerName.FRAME,)
_OFF_STRIPS = (LayerName.FRAME, LayerName.LABELS)

MakePart = Callable[[View], Drawing]
"""The drawing of a part of the plan."""


class Surface:
    """Paints one plan. Ask it with the same drawing as long as nothing has changed: it keeps pictures by layer."""

    def __init__(self, look: Look) -> None:
        self._look = look
        self._stack = LayerStack()
        self._marks: MarkPainter | None = None
        self._ratio = 0.0
        self._carpet: Carpet | None = None
        self._sheets: tuple[Layer, list[tuple[Rect, QImage]]] | None = None

    def look_changed(self) -> None:
        """Colours or type have changed: nothing that was kept holds."""
        self._marks = self._carpet = self._sheets = None
        self._stack.forget()

    def paint(self, painter: QPainter, drawing: Drawing, ratio: float, fade: Fade | None = None) -> None:
        """Paint the drawing."""
        self._carpet = None
        ground = self._look.color("sheet")
        self._stack.paint(painter, drawing, self._painter(ratio), ratio, fade, ground)

    def picture_of(self, drawing: Drawing, name: LayerName, ratio: float) -> QImage:
        """One layer as a picture of its own."""
        image = blank_image(drawing.width_px, drawing.height_px, ratio)
        painter = QPainter(image)
        self._painter(ratio).paint_layer(painter, drawing.layer(name))
        painter.end()
        return image

    def paint_marks(self, painter: QPainter, marks: Sequence[Mark], clip: QRectF, ratio: float) -> None:
        """Paint marks that are made for this moment only."""
        if marks:
            painter.save()
            painter.setClipRect(clip)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._painter(ratio).paint(painter, marks)
            painter.restore()

    def paint_zoomed(self, painter: QPainter, drawing: PlanDrawing, view: View, ratio: float) -> None:
        """Paint what was drawn last, stretched to a view: for the moments of a zoom."""
        self._laid(drawing, ratio).paint(painter, view, ratio)

    def paint_moved(
        self, painter: QPainter, drawing: PlanDrawing, view: View, ratio: float, make_part: MakePart
    ) -> bool:
        """Paint what was drawn last, moved to a view of the same scale; False where nothing of it is in sight there."""

        def strip(on: QPainter, part: View) -> None:
            made = make_part(part)
            on.fillRect(QRectF(0, 0, made.width_px, made.height_px), self._look.color(made.ground))
            for layer in made:
                if layer.name not in _OFF_STRIPS:
                    self._painter(ratio).paint_layer(on, layer)

        carpet = self._laid(drawing, ratio).over(view, ratio, strip)
        if carpet is None:
            return False
        self._carpet = carpet
        carpet.paint(painter, view, ratio)
        return True

    def paint_sheets(self, painter: QPainter, drawing: PlanDrawing, ratio: float) -> None:
        """Paint key, scale bar and north as they were drawn last."""
        frame = drawing.layer(LayerName.FRAME)
        if self._sheets is None or self._sheets[0] is not frame:
            whole = self.picture_of(drawing, LayerName.FRAME, ratio)
            boxes = [sheet.grown(4.0) for sheet in drawing.sheets]
            self._sheets = frame, [(box, whole.copy(*_device(box, ratio))) for box in boxes]
        for box, image in self._sheets[1]:
            painter.drawImage(QRectF(*box), image)

    def _laid(self, drawing: PlanDrawing, ratio: float) -> Carpet:
        """What was drawn last as a carpet."""
        if self._carpet is None:
            inside = replace(drawing, layers=tuple(layer for layer in drawing if layer.name not in _OFF_CARPET))

            def whole(painter: QPainter) -> None:
                painter.fillRect(QRectF(*drawing.view.sheet), self._look.color(drawing.ground))
                self._stack.paint(painter, inside, self._painter(ratio), ratio)

            self._carpet = Carpet.laid(drawing.view, ratio, whole)
        return self._carpet

    def _painter(self, ratio: float) -> MarkPainter:
        if self._marks is None or ratio != self._ratio:
            self._marks = MarkPainter(self._look.roles, ratio)
            self._ratio = ratio
        return self._marks


def _device(box: Rect, ratio: float) -> tuple[int, int, int, int]:
    """A rectangle in px of the device: left, top, width, height."""
    return round(box.x * ratio), round(box.y * ratio), round(box.width * ratio), round(box.height * ratio)
