"""What Overflow is asked for, on its card: the wet day, a design storm, typed litres, rain on the ground."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from gardenwater.assess.event import day_named
from gardenwater.desktop.card.choice_field import ChoiceField, FlagField, WordsField
from gardenwater.desktop.card.fields import Field, Fold
from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Words
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError
from gardenwater.site import edits
from gardenwater.site.fields import FieldSpec, flags, specs
from gardenwater.site.model import EventKind, Settings, Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Downpipe, Roof, Tank

_OF_RAIN = ("tanks_full", "rain_on_ground")
_ASKED = {
    EventKind.WET_DAY: ("wet_day_mm", "wet_day_h", *_OF_RAIN),
    EventKind.STORM: ("storm_mm", "storm_h", *_OF_RAIN),
    EventKind.WEATHER_DAY: ("weather_day", "wet_day_h", *_OF_RAIN),
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


def waters_of(site: Site) -> list[tuple[str, Any]]:
    """Whose water can be followed alone: in words, and as it is kept (by id, so that a new name loses nothing)."""
    owners = [(name_of(site, thing.id), thing.id) for kind in (Tank, Downpipe, Roof) for thing in site.of(kind)]
    asked = site.settings.spills_from
    found = next((thing_id for name, thing_id in owners if asked in (name, thing_id)), "")
    # what the settings name in words of their own keeps them, so that it is shown as chosen
    offered = [(name, asked if thing_id == found else thing_id) for name, thing_id in owners]
    gone = [(f"{asked}, not there", asked)] if asked and not found else []
    return [("the whole site", ""), *offered, *gone]


class DayField(QWidget):
    """A day of the weather. What is no day of it is not taken: it is said why, and what was typed stays there."""

    def __init__(
        self, spec: FieldSpec, take: Callable[[str], GardenwaterError | None], look: Look, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._take = take
        self._field = WordsField(spec, self._typed, look, self, hint="its wettest day")
        self._refusal = Words("", look, self, size=12, role="fails")
        self._refusal.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._field)
        column.addWidget(self._refusal)
        self.setFocusProxy(self._field)

    @property
    def refusal(self) -> str:
        """Why what was typed was not taken; empty when it was."""
        return self._refusal.text()

    def show_value(self, value: str) -> None:
        """Show what the settings have, unless what was typed was not taken."""
        if not self.refusal:
            self._field.show_value(value)

    def _typed(self, words: str) -> None:
        error = self._take(words)
        self._refusal.setText("" if error is None else f"Not taken: {error.what} {error.mend}")
        self._refusal.setVisible(error is not None)


class RainFields(Fold):
    """Each change is one edit of the settings."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("What rain", look, parent)
        self._desk, self._look = desk, look
        self._units = desk.units
        self._fields: dict[str, Field | DayField] = {}
        self._build()

    def _build(self) -> None:
        declared = specs(Settings)
        for name in _FIELDS:
            spec, take = declared[name], self._taker(name)
            made: Field | DayField
            if spec.quantity is not None:
                made = NumberField(spec, self._units, take, self._look, self.body)
            elif name == "spills_from":
                made = ChoiceField(spec, take, self._look, self.body, offer=waters_of)
            elif spec.options is not None:
                made = ChoiceField(spec, take, self._look, self.body)
            elif name in flags(Settings):
                made = FlagField(spec, take, self.body)
            else:
                made = DayField(spec, take, self._look, self.body)
            self._fields[name] = made
            self.rows.addWidget(made)

    def _taker(self, name: str) -> Callable[[Any], GardenwaterError | None]:
        label = f"Change {specs(Settings)[name].label.lower()}"

        def take(value: Any) -> GardenwaterError | None:
            try:
                if name == "weather_day" and value:
                    day_named(self._desk.present, value)
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
                field.hide()
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
