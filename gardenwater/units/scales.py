"""How each quantity is shown in each system: unit, size of the unit, and the last place shown."""

from __future__ import annotations

from dataclasses import dataclass

from gardenwater.units.quantity import Quantity, UnitSystem

NO_BREAK_SPACE = "\u00a0"
INF = float("inf")

FOOT_M = 0.3048
INCH_MM = 25.4
US_GALLON_L = 3.785411784
POUND_KG = 0.45359237
POUND_SQ_FT_KPA = POUND_KG * 9.80665 / FOOT_M**2 / 1000.0

Places = tuple[tuple[float, str], ...]
"""Pairs of (up to this size as shown, the step that is then shown), the sizes rising, the last infinite."""


@dataclass(frozen=True, slots=True)
class Scale:
    """How a quantity is shown.

    word: the unit. size: how much of the unit the quantity is held in makes one of the unit shown.
    places: see `Places`. trim: zeros after the point are left out. offset: what the held value is more at zero shown.
    gap: what stands between number and unit. grown: a larger unit, taken from a size (as shown) on.
    """

    word: str
    size: float
    places: Places
    trim: bool = False
    offset: float = 0.0
    gap: str = NO_BREAK_SPACE
    grown: tuple[float, Scale] | None = None


_HUNDREDTH: Places = ((INF, "0.01"),)
_TENTH: Places = ((INF, "0.1"),)
_WHOLE: Places = ((INF, "1"),)
_TENTH_TO_10: Places = ((10.0, "0.1"), (INF, "1"))
_TENTH_TO_100: Places = ((100.0, "0.1"), (INF, "1"))
_FINE_FLOW: Places = ((1.0, "0.01"), (INF, "0.1"))

_TONNE = Scale("t", 1000.0, _TENTH)
_SAME: dict[Quantity, Scale] = {
    Quantity.TIME_S: Scale("s", 1.0, _WHOLE),
    Quantity.HOURS: Scale("h", 1.0, _TENTH_TO_10, trim=True),
    Quantity.ANGLE_DEG: Scale("°", 1.0, _TENTH, trim=True, gap=""),
    Quantity.PLACE_DEG: Scale("°", 1.0, ((INF, "0.0001"),), trim=True, gap=""),
    Quantity.ONE_IN: Scale("", 1.0, _TENTH_TO_10, trim=True),
    Quantity.SHARE: Scale("%", 0.01, _WHOLE),
    Quantity.NUMBER: Scale("", 1.0, ((INF, "0.0001"),), trim=True),
}
_METRIC: dict[Quantity, Scale] = {
    Quantity.LEVEL_M: Scale("m", 1.0, _HUNDREDTH),
    Quantity.HEIGHT_M: Scale("m", 1.0, _HUNDREDTH),
    Quantity.LENGTH_M: Scale("m", 1.0, ((10.0, "0.01"), (INF, "0.1"))),
    Quantity.AREA_M2: Scale("m²", 1.0, _TENTH_TO_100),
    Quantity.VOLUME_L: Scale("L", 1.0, ((100.0, "1"), (10_000.0, "10"), (INF, "100"))),
    Quantity.FLOW_L_MIN: Scale("L/min", 1.0, _TENTH),
    Quantity.FLOW_L_S: Scale("L/s", 1.0, _FINE_FLOW),
    Quantity.DEPTH_M: Scale("cm", 0.01, _WHOLE),
    Quantity.RAIN_MM: Scale("mm", 1.0, _TENTH_TO_10),
    Quantity.BORE_MM: Scale("mm", 1.0, _TENTH, trim=True),
    Quantity.SMALL_MM: Scale("mm", 1.0, _WHOLE),
    Quantity.SOAK_MM_H: Scale("mm/h", 1.0, ((1.0, "0.01"), (10.0, "0.1"), (INF, "1"))),
    Quantity.TEMPERATURE_C: Scale("°C", 1.0, _WHOLE),
    Quantity.AIR_C: Scale("°C", 1.0, _TENTH),
    Quantity.WARMING_K: Scale("°C", 1.0, _TENTH),
    Quantity.MASS_KG: Scale("kg", 1.0, _WHOLE, grown=(1000.0, _TONNE)),
    Quantity.PRESSURE_KPA: Scale("kPa", 1.0, _TENTH),
}
_US: dict[Quantity, Scale] = {
    Quantity.LEVEL_M: Scale("ft", FOOT_M, _HUNDREDTH),
    Quantity.HEIGHT_M: Scale("ft", FOOT_M, _HUNDREDTH),
    Quantity.LENGTH_M: Scale("ft", FOOT_M, _TENTH),
    Quantity.AREA_M2: Scale("sq ft", FOOT_M**2, _WHOLE),
    Quantity.VOLUME_L: Scale("US gal", US_GALLON_L, _TENTH_TO_100),
    Quantity.FLOW_L_MIN: Scale("US gal/min", US_GALLON_L, _HUNDREDTH),
    Quantity.FLOW_L_S: Scale("US gal/min", US_GALLON_L / 60.0, _HUNDREDTH),
    Quantity.DEPTH_M: Scale("in", INCH_MM / 1000.0, _TENTH),
    Quantity.RAIN_MM: Scale("in", INCH_MM, _HUNDREDTH),
    Quantity.BORE_MM: Scale("in", INCH_MM, _HUNDREDTH),
    Quantity.SMALL_MM: Scale("in", INCH_MM, _TENTH),
    Quantity.SOAK_MM_H: Scale("in/h", INCH_MM, _HUNDREDTH),
    Quantity.TEMPERATURE_C: Scale("°F", 5.0 / 9.0, _WHOLE, offset=-160.0 / 9.0),
    Quantity.AIR_C: Scale("°F", 5.0 / 9.0, _WHOLE, offset=-160.0 / 9.0),
    Quantity.WARMING_K: Scale("°F", 5.0 / 9.0, _TENTH),
    Quantity.MASS_KG: Scale("lb", POUND_KG, ((1000.0, "1"), (INF, "10"))),
    Quantity.PRESSURE_KPA: Scale("lb/sq ft", POUND_SQ_FT_KPA, ((100.0, "1"), (INF, "10"))),
}


def scale(quantity: Quantity, system: UnitSystem) -> Scale:
    """How a quantity is shown in a system of units."""
    return _SAME.get(quantity) or (_US if system is UnitSystem.US else _METRIC)[quantity]
