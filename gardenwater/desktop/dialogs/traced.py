"""The traced contours: their levels, how long each is, and taking one away."""

from __future__ import annotations

import dataclasses

from PySide6.QtWidgets import QFrame, QGridLayout, QScrollArea, QWidget

from gardenwater.desktop.card.number_field import NumberField, Take
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Button, Weight, Words
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError, InputError
from gardenwater.site import edits
from gardenwater.site.fields import FieldSpec
from gardenwater.site.model import Contour, Site
from gardenwater.units import Quantity, text

_LEVEL = FieldSpec("Level", "", Quantity.LEVEL_M, -500.0, 9000.0)
_HIGH_PX = 300


class ContoursSheet(Sheet):
    """A row for each contour, in the order they were traced."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("Traced contours", look, parent, width_px=460)
        self._desk = desk
        self.say(
            "Levels between contours are worked out from them. A contour is traced under Plan, Picture.", "ink_soft"
        )
        self._area = QScrollArea(self)
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setFixedHeight(look.px(_HIGH_PX))
        self.body.addWidget(self._area)
        self.add_button("Done", self.accept, Weight.GOES_ON)
        self.removers: list[Button] = []
        self.levels: list[NumberField] = []
        self._fill()

    def _fill(self) -> None:
        inner = QWidget(self._area)
        colors = inner.palette()
        colors.setColor(colors.ColorRole.Window, self._look.color("slip"))
        inner.setPalette(colors)
        grid = QGridLayout(inner)
        grid.setContentsMargins(0, 0, 10, 0)
        self.removers, self.levels = [], []
        units = self._desk.units
        for number, contour in enumerate(self._desk.present.survey.contours):
            field = NumberField(_LEVEL, units, self._taker(number), self._look, inner)
            field.show_value(contour.level_m)
            away = Button("Take away", self._look, inner, Weight.LINK)
            away.setAccessibleName(f"Take contour {number + 1} away")
            away.clicked.connect(lambda _=False, place=number: self._remove(place))
            length = text(contour.shape.length, Quantity.LENGTH_M, units)
            grid.addWidget(field, number, 0)
            grid.addWidget(Words(f"{length} long", self._look, inner, role="ink_soft"), number, 1)
            grid.addWidget(away, number, 2)
            self.levels.append(field)
            self.removers.append(away)
        if not self.removers:
            grid.addWidget(Words("No contour is left.", self._look, inner, role="ink_soft"), 0, 0)
        grid.setRowStretch(len(self.removers) + 1, 1)
        self._area.setWidget(inner)

    def _taker(self, place: int) -> Take:
        def take(value: float | None) -> GardenwaterError | None:
            if value is None or not _LEVEL.least <= value <= _LEVEL.most:
                return InputError("It is out of its range.", mend="Give a level of -500 to 9,000 m.")
            contours = list(self._desk.present.survey.contours)
            contours[place] = Contour(contours[place].shape, value)
            self._keep(f"Change contour {place + 1}", contours)
            return None

        return take

    def _remove(self, place: int) -> None:
        contours = list(self._desk.present.survey.contours)
        del contours[place]
        self._keep(f"Take contour {place + 1} away", contours)
        self._fill()

    def _keep(self, label: str, contours: list[Contour]) -> None:
        def changed(site: Site) -> Site:
            return edits.set_survey(site, dataclasses.replace(site.survey, contours=tuple(contours)))

        self._desk.edit(label, changed)
