"""The side view of the selected tank on the card."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.assess.answers import TankChain
from gardenwater.desktop.card.level_drag import Dragged, taken
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look, measure
from gardenwater.desktop.painter import MarkPainter
from gardenwater.findings import Question
from gardenwater.ground import level_at
from gardenwater.report.side_view import Delivery, LevelGrip, level_grips, side_view
from gardenwater.site.names import name_of
from gardenwater.site.things import Tank

_HEIGHT_PX = 168
_NEAR_PX = 7.0
_SCALE_WORDS = "To scale in height, not in length. Levels can be dragged."


def _place(grip: LevelGrip, x: float) -> float:
    """Where a grip is at a place across: in the column where its words stand, else at its line."""
    return grip.row_y if x > grip.column_x else grip.y


class SidePicture(QWidget):
    """Ground, wall, eaves, diverter, feeder, tank, water, line and spare head of one tank."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._tank: Tank | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._dragged: Dragged | None = None
        self._from_y, self._px_per_m = 0.0, 1.0
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setToolTip(_SCALE_WORDS)
        self.setAccessibleDescription("Its levels are dragged here, or typed in the fields of the tank.")

    def show_tank(self, tank: Tank | None) -> None:
        """Show the side view of a tank, or nothing."""
        self._tank = tank
        chain = self._chain()
        self.setVisible(chain is not None)
        if tank is not None and chain is not None:
            self.setAccessibleName(f"Side view of {name_of(self._desk.site, tank.id)}")
        self.update()

    # levels are dragged

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the level under the pointer."""
        grip, chain = self._grip_at(event.position()), self._chain()
        if event.button() is Qt.MouseButton.LeftButton and grip is not None and chain is not None:
            self._dragged = None if self._desk.live else taken(grip.name, chain, self._desk.present)
            self._from_y, self._px_per_m = event.position().y(), grip.px_per_m

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The site follows; without a level in the hand the pointer tells where there is one."""
        if self._dragged is not None:
            up_m = (self._from_y - event.position().y()) / self._px_per_m
            self._desk.tentative(self._dragged.at(self._desk.present, up_m))
            return
        grip = self._grip_at(event.position())
        self.setCursor(Qt.CursorShape.SizeVerCursor if grip is not None else Qt.CursorShape.ArrowCursor)
        self.setToolTip(f"Drag the {grip.name}." if grip is not None else _SCALE_WORDS)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """One edit."""
        dragged, self._dragged = self._dragged, None
        if dragged is not None and self._desk.live:
            self._desk.commit(dragged.words(self._desk.present))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc gives the drag up."""
        if event.key() == Qt.Key.Key_Escape and self._dragged is not None:
            self._dragged = None
            self._desk.tentative(None)
        else:
            super().keyPressEvent(event)

    def _grip_at(self, where: QPointF) -> LevelGrip | None:
        """The level at a place of the picture: by its words in the column, or by its line."""
        chain = self._chain()
        if chain is None:
            return None
        grips = level_grips(
            chain,
            self._delivery(),
            width_px=self.width(),
            height_px=self.height(),
            units=self._desk.units,
            measure=measure,
            factor=self._look.factor,
        )
        found = [(abs(where.y() - _place(grip, where.x())), grip) for grip in grips if where.x() >= grip.from_x - 4.0]
        near = [pair for pair in found if pair[0] <= _NEAR_PX]
        return min(near, key=lambda pair: pair[0], default=(0.0, None))[1]

    @property
    def dragging(self) -> bool:
        """Whether a level is in the hand."""
        return self._dragged is not None

    def sizeHint(self) -> QSize:
        """As high as the chain needs for its words."""
        return QSize(200, self._look.px(_HEIGHT_PX))

    def _chain(self) -> TankChain | None:
        answers = self._desk.answers
        if self._tank is None or answers is None:
            return None
        found = next((chain for chain in answers.chains if chain.tank == self._tank.id), None)
        return found if found is not None and math.isfinite(found.ground_level_m) else None

    def _delivery(self) -> Delivery | None:
        """The chosen bed's spot: the one that is reached with the least to spare."""
        answers = self._desk.answers
        if answers is None or answers.reach is None or self._tank is None or self._desk.question is not Question.REACH:
            return None
        reach = answers.reach.tank(self._tank.id)
        reached = [bed for bed in reach.beds if bed.reached] if reach is not None else []
        if reach is None or not reached:
            return None
        bed = min(reached, key=lambda each: each.margin_m)
        level = level_at(answers.ground.ground, *bed.at) + reach.line.lift_m
        return Delivery(name=name_of(self._desk.site, bed.bed), level_m=level, spare_head_m=bed.spare_head_m)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The drawing list, painted."""
        chain = self._chain()
        if chain is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        marks = side_view(
            chain,
            self._delivery(),
            width_px=self.width(),
            height_px=self.height(),
            units=self._desk.units,
            measure=measure,
            factor=self._look.factor,
        )
        MarkPainter(self._look.roles, self.devicePixelRatioF()).paint(painter, marks)
