"""The sheet that every new site begins with: its name and where it lies."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.dialogs.parts import Weight, Words
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError, InputError
from gardenwater.site.fields import specs
from gardenwater.site.model import Settings
from gardenwater.units import UnitSystem

_ASKED = ("latitude_deg", "longitude_deg", "altitude_m", "rain_year_mm")
WHY = (
    "Latitude and altitude are for the weather of the place, rain for what the roofs give in a year. All of it can be"
    " left open now and set later, under Site, Settings of the site."
)


@dataclass(frozen=True, slots=True)
class Told:
    """What is known, or was told, of a new site."""

    name: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    altitude_m: float | None = None
    rain_year_mm: float | None = None


class PlaceSheet(Sheet):
    """Name, latitude, longitude, altitude, rain; notices of the file that it begins from."""

    def __init__(
        self,
        told: Told,
        notices: tuple[str, ...],
        then: Callable[[Told], object],
        units: UnitSystem,
        look: Look,
        parent: QWidget,
    ) -> None:
        super().__init__("A new site", look, parent, width_px=540)
        self._told, self._then = told, then
        for notice in notices:
            self.say(notice, "ink_soft")
        row = QHBoxLayout()
        row.addWidget(Words("Name", look, self))
        self.name = QLineEdit(told.name, self)
        self.name.setAccessibleName("Name of the site")
        self.name.setMaxLength(80)
        self.name.setMinimumWidth(look.px(260))
        row.addWidget(self.name)
        self.body.addLayout(row)
        self.fields = {name: self._field(name, units) for name in _ASKED}
        self.say(WHY, "ink_soft")
        self.add_back()
        self.go_button = self.add_button("To the plan", self._go, Weight.GOES_ON)
        self.name.returnPressed.connect(self._go)
        self.name.selectAll()
        self.name.setFocus()

    def _field(self, name: str, units: UnitSystem) -> NumberField:
        spec = specs(Settings)[name]

        def take(value: float | None) -> GardenwaterError | None:
            if value is not None and not spec.least <= value <= spec.most:
                return InputError(f"{spec.label} is out of its range.", mend="")
            self._told = dataclasses.replace(self._told, **{name: value})  # type: ignore[arg-type] # name is one of _ASKED
            return None

        field = NumberField(spec, units, take, self._look, self)
        field.show_value(getattr(self._told, name))
        self.body.addWidget(field)
        return field

    def _go(self) -> None:
        for field in self.fields.values():
            field.finish()
        name = self.name.text().strip() or "Garden"
        told = dataclasses.replace(self._told, name=name)
        self.accept()
        self._then(told)
