"""The wash gives way to the next one in 160 ms; nothing else moves."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEasingCurve, QObject, QVariantAnimation

from gardenwater.desktop.plan.stack import Fade
from gardenwater.desktop.plan.surface import Surface
from gardenwater.report.drawing import LayerName
from gardenwater.report.plan_drawing import PlanDrawing

_FADE_MS = 160


class WashFade(QObject):
    """Watches drawings go by; when the wash of one view changes it fades from the old to the new."""

    def __init__(
        self, surface: Surface, still: Callable[[], bool], repaint: Callable[[], None], parent: QObject
    ) -> None:
        super().__init__(parent)
        self._surface = surface
        self._still = still
        self._repaint = repaint
        self._shown: PlanDrawing | None = None
        self._fade: Fade | None = None
        self._ease = QVariantAnimation(self)
        self._ease.setDuration(_FADE_MS)
        self._ease.setEasingCurve(QEasingCurve.Type.OutCubic)
        self._ease.setStartValue(0.0)
        self._ease.setEndValue(1.0)
        self._ease.valueChanged.connect(self._step)

    def see(self, drawing: PlanDrawing, ratio: float, *, at_once: bool) -> Fade | None:
        """The fade that a drawing is to be painted with; at_once: none is begun (something is dragged)."""
        shown, self._shown = self._shown, drawing
        if at_once or self._still() or shown is None or shown.view != drawing.view:
            self.stop()
        elif shown.layer(LayerName.WASH) is not drawing.layer(LayerName.WASH):
            self._ease.stop()
            self._fade = Fade(self._surface.picture_of(shown, LayerName.WASH, ratio), 0.0)
            self._ease.start()
        return self._fade

    def stop(self) -> None:
        """The new wash stands at once."""
        self._ease.stop()
        self._fade = None

    def _step(self, share: float) -> None:
        if self._fade is not None:
            self._fade = Fade(self._fade.old, share) if share < 1.0 else None
            self._repaint()
