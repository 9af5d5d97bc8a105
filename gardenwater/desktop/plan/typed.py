"""What may be typed while drawing: which quantities the small field at the pointer asks for."""

from __future__ import annotations

from enum import Enum

from gardenwater.errors import InputError
from gardenwater.units import Quantity, UnitSystem, parse


class FieldKind(Enum):
    """What the small field asks for: names and quantities of one or two values."""

    LENGTH_BEARING = (("Length", Quantity.LENGTH_M), ("Bearing", Quantity.ANGLE_DEG))
    DISTANCE = (("True distance", Quantity.LENGTH_M),)
    LEVEL = (("Level", Quantity.LEVEL_M),)

    @property
    def parts(self) -> tuple[tuple[str, Quantity], ...]:
        """Name and quantity of each value."""
        parts: tuple[tuple[str, Quantity], ...] = self.value
        return parts


def read(words: str, quantity: Quantity, system: UnitSystem) -> float | None:
    """The value of what was typed, SI; None when it is empty or no number yet."""
    try:
        return parse(words, quantity, system) if words.strip() else None
    except InputError:
        return None
