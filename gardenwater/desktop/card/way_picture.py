"""The line of the selected bed or watering line from the side, on the card."""

from __future__ import annotations

import math

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.assess import Answers
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look, measure
from gardenwater.desktop.painter import MarkPainter
from gardenwater.findings import Question
from gardenwater.reach import WayProfile
from gardenwater.report.way_view import way_view
from gardenwater.report.ways import bed_profile, line_profile
from gardenwater.site.names import name_of
from gardenwater.site.things import Bed, Thing, WateringLine
from gardenwater.units import Quantity, text

_HEIGHT_PX = 150


class WayPicture(QWidget):
    """From the tank to the bed: ground, line, grade line; high points, low points, what is left at the end."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._found: WayProfile | None = None
        self._end = ""
        self._made_of: tuple[object, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_thing(self, thing: Thing | None) -> None:
        """Show the way to a bed, or along a watering line; nothing for anything else."""
        answers = self._desk.answers if self._desk.question is Question.REACH else None
        made_of = (thing, answers)
        if len(self._made_of) != 2 or any(a is not b for a, b in zip(made_of, self._made_of, strict=True)):
            self._made_of = made_of
            self._found = None if thing is None or answers is None else self._profile(thing, answers)
        self._end = name_of(self._desk.site, thing.id) if isinstance(thing, Bed) else ""
        self.setVisible(self._found is not None)
        if self._found is not None:
            self._tell(self._found)
        self.update()

    def _profile(self, thing: Thing, answers: Answers) -> WayProfile | None:
        if isinstance(thing, Bed):
            return bed_profile(answers, thing.id)
        return line_profile(answers, thing) if isinstance(thing, WateringLine) else None

    def _tell(self, found: WayProfile) -> None:
        units = self._desk.units
        length = text(found.length_m, Quantity.LENGTH_M, units)
        spare = text(found.spare_head_m, Quantity.HEIGHT_M, units)
        self.setAccessibleName(f"Line from the side, {length}, spare head {spare}")
        turns = [f"high point at {text(each.distance_m, Quantity.LENGTH_M, units)}" for each in found.highs]
        turns += [f"low point at {text(each.distance_m, Quantity.LENGTH_M, units)}" for each in found.lows]
        self.setAccessibleDescription(", ".join(turns) or "It falls all the way.")
        self.setToolTip("Ground, line and grade line at the wanted flow; heights and lengths have scales of their own.")

    def sizeHint(self) -> QSize:
        """As high as its words need."""
        return QSize(200, self._look.px(_HEIGHT_PX))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The drawing list, painted."""
        if self._found is None or not math.isfinite(self._found.water_level_m):
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        marks = way_view(
            self._found,
            width_px=self.width(),
            height_px=self.height(),
            units=self._desk.units,
            measure=measure,
            end_name=self._end,
            factor=self._look.factor,
        )
        MarkPainter(self._look.roles, self.devicePixelRatioF()).paint(painter, marks)
