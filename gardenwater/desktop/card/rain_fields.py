"""What Overflow is asked for, on its card: the wet day, a design storm, typed litres, rain on the ground."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtWidgets import QWidget

from gardenwater.desktop.card.choice_field import ChoiceField, FlagField, WordsField
from gardenwater.desktop.card.fields import Field, Fold
from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError
from gardenwater.site import edits
from gardenwater.site.fields import flags, specs
from gardenwater.site.model import EventKind, Settings

_ASKED = {
    EventKind.WET_DAY: ("wet_day_mm", "wet_day_h"),
    EventKind.STORM: ("storm_mm", "storm_h"),
    EventKind.WEATHER_DAY: ("weather_day", "wet_day_h"),
    EventKind.LITRES: ("typed_l", "wet_day_h"),
}
"""The fields that belong to each kind of event; the others are put away."""

_FIELDS = (
    "event",
    "wet_day_mm",
    "storm_mm",
    "storm_h",
    "weather_day",
    "typed_l",
    "wet_day_h",
    "spills_from",
    "tanks_full",
    "rain_on_ground",
    "wet_soak_share",
)


class RainFields(Fold):
    """Each change is one edit of the settings."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("What rain", look, parent)
        self._desk, self._look = desk, look
        self._units = desk.units
        self._fields: dict[str, Field] = {}
        self._build()

    def _build(self) -> None:
        declared = specs(Settings)
        for name in _FIELDS:
            spec, take = declared[name], self._taker(name)
            made: Field
            if spec.quantity is not None:
                made = NumberField(spec, self._units, take, self._look, self.body)
            elif spec.options is not None:
                made = ChoiceField(spec, take, self._look, self.body)
            elif name in flags(Settings):
                made = FlagField(spec, take, self.body)
            else:
                made = WordsField(spec, take, self._look, self.body)
            self._fields[name] = made
            self.rows.addWidget(made)

    def _taker(self, name: str) -> Callable[[Any], GardenwaterError | None]:
        label = f"Change {specs(Settings)[name].label.lower()}"

        def take(value: Any) -> GardenwaterError | None:
            try:
                edits.settings(self._desk.present, **{name: value})
            except GardenwaterError as error:
                return error
            self._desk.edit(label, lambda site: edits.settings(site, **{name: value}), f"setting {name}")
            return None

        return take

    def show_settings(self) -> None:
        """Show which event is asked, and the fields that belong to it."""
        settings, site = self._desk.present.settings, self._desk.present
        if self._units is not self._desk.units:
            self._units = self._desk.units
            for field in self._fields.values():
                self.rows.removeWidget(field)
                field.deleteLater()
            self._build()
        asked = {name for names in _ASKED.values() for name in names} - set(_ASKED[settings.event])
        for name, field in self._fields.items():
            field.setVisible(name not in asked)
            value = getattr(settings, name)
            if isinstance(field, ChoiceField):
                field.show_value(value, site)
            else:
                field.show_value(value)
