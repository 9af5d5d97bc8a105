"""The side view of the selected tank on the card."""

from __future__ import annotations

import math

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.assess.answers import TankChain
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look, measure
from gardenwater.desktop.painter import MarkPainter
from gardenwater.findings import Question
from gardenwater.ground import level_at
from gardenwater.report.side_view import Delivery, side_view
from gardenwater.site.names import name_of
from gardenwater.site.things import Tank

_HEIGHT_PX = 168


class SidePicture(QWidget):
    """Ground, wall, eaves, diverter, feeder, tank, water, line and spare head of one tank."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._tank: Tank | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setToolTip("To scale in height, not in length.")

    def show_tank(self, tank: Tank | None) -> None:
        """Show the side view of a tank, or nothing."""
        self._tank = tank
        chain = self._chain()
        self.setVisible(chain is not None)
        if tank is not None and chain is not None:
            self.setAccessibleName(f"Side view of {name_of(self._desk.site, tank.id)}")
        self.update()

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
