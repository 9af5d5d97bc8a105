"""Whose map the plan shows while a tank is selected in Reach: its own, or the best of all tanks at each spot."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from gardenwater.desktop.attention import MapOf
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Segments
from gardenwater.desktop.look import Look
from gardenwater.findings import Question
from gardenwater.site.things import Tank, Thing

_ORDER = (MapOf.TANK, MapOf.ALL)
_WORDS = ("This tank’s own map", "Best of all tanks")
_SEVERAL = 2


class WhoseMap(QWidget):
    """The choice of two; there is none on a site with one tank, whose map is the best of all."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self._choice = Segments("Plan shows", _WORDS, look, self)
        self._choice.chosen.connect(lambda place: desk.show_map_of(_ORDER[place]))
        self.setToolTip("Esc on the plan lets the tank go: then it shows the best of all tanks too.")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 2)
        column.addWidget(self._choice)

    def minimumSizeHint(self) -> QSize:
        """It never makes the card wider."""
        return QSize(0, self.sizeHint().height())

    def show_thing(self, thing: Thing | None) -> None:
        """Offer the choice for this tank; nothing for anything else."""
        desk = self._desk
        asked = desk.question is Question.REACH and isinstance(thing, Tank)
        self.setVisible(asked and len(desk.site.of(Tank)) >= _SEVERAL)
        self._choice.pick(_ORDER.index(desk.map_of))
