"""The units that figures of weather are written in, and how headings tell them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

import numpy as np

from gardenwater.weather.air import wind_2m_m_s
from gardenwater.weather.model import Days

_CALORIE_CM2_MJ_M2 = 0.041868  # the langley, one calorie of 4.1868 J on a square centimetre
_WATT_DAY_MJ = 0.0864
_STATION_WIND_M = 10.0  # where stations measure wind (WMO-No. 8)


@dataclass(frozen=True, slots=True)
class DayUnit:
    """A unit: its key, the words for it, and value = figure * factor + offset in the unit of the column's name."""

    key: str
    words: str
    factor: float
    offset: float = 0.0

    def held(self, figures: Days) -> Days:
        """Figures in the unit of the column's name."""
        return figures * self.factor + self.offset if self.factor != 1.0 or self.offset else figures


def _winds() -> tuple[DayUnit, ...]:
    """Winds of 10 m are lowered to 2 m by the profile over grass (FAO-56 equation 47)."""
    lowered = float(np.asarray(wind_2m_m_s(1.0, _STATION_WIND_M)))
    speeds = (("m/s", 1.0), ("tenths of m/s", 0.1), ("km/h", 1 / 3.6), ("mph", 0.44704), ("knots", 0.514444))
    return tuple(
        DayUnit(f"{name} at {height} m", f"{name} at {height} m", size * share)
        for height, share in ((10, lowered), (2, 1.0))
        for name, size in speeds
    )


_RAINS = (
    DayUnit("mm", "millimetres", 1.0),
    DayUnit("0.1 mm", "tenths of a millimetre", 0.1),
    DayUnit("in", "inches", 25.4),
    DayUnit("0.01 in", "hundredths of an inch", 0.254),
    DayUnit("cm", "centimetres", 10.0),
)
_TEMPERATURES = (
    DayUnit("C", "°C", 1.0),
    DayUnit("0.1 C", "tenths of °C", 0.1),
    DayUnit("F", "°F", 1 / 1.8, -32 / 1.8),
    DayUnit("K", "K", 1.0, -273.15),
)
UNITS: Final[dict[str, tuple[DayUnit, ...]]] = {
    "rain_mm": _RAINS,
    "t_min_c": _TEMPERATURES,
    "t_max_c": _TEMPERATURES,
    "dew_point_c": _TEMPERATURES,
    "radiation_mj_m2": (
        DayUnit("MJ/m2", "MJ/m²", 1.0),
        DayUnit("J/cm2", "J/cm²", 0.01),
        DayUnit("kJ/m2", "kJ/m²", 0.001),
        DayUnit("W/m2", "W/m²", _WATT_DAY_MJ),
        DayUnit("kWh/m2", "kWh/m²", 3.6),
        DayUnit("cal/cm2", "cal/cm²", _CALORIE_CM2_MJ_M2),
    ),
    "wind_m_s": _winds(),
    "humidity_mean_pct": (DayUnit("%", "per cent", 1.0), DayUnit("share", "share, 0 to 1", 100.0)),
}
"""The units that each column is taken in; the first is the usual one."""


def unit_called(column: str, key: str) -> DayUnit | None:
    """The unit of a column by its key or its words."""
    wanted = key.strip().lower().replace("°", "")
    for unit in UNITS[column]:
        if wanted in (unit.key.lower(), unit.words.lower().replace("°", "")):
            return unit
    return None


_TENTHS = re.compile(r"(^|_)(0_1|tenths?|1_10|10ths?)(_|$)")
_HUNDREDTHS = re.compile(r"(^|_)(0_01|hundredths?|1_100)(_|$)")
_TOLD: Final[dict[str, tuple[tuple[str, str], ...]]] = {
    "rain": (
        (r"mm|millimet\w+|millimeters?|l_m2|kg_m2", "mm"),
        (r"in|inch|inches", "in"),
        (r"cm|centimet\w+", "cm"),
    ),
    "temperature": (
        (r"c|degc|celsius|celcius|centigrade|grad", "C"),
        (r"f|degf|fahrenheit", "F"),
        (r"k|kelvin", "K"),
    ),
    "radiation": (
        (r"mj\w*", "MJ/m2"),
        (r"kj\w*", "kJ/m2"),
        (r"j_?cm\w*|j_cm2", "J/cm2"),
        (r"kwh\w*", "kWh/m2"),
        (r"w_m2|wm2|w_m_2|watts?\w*", "W/m2"),
        (r"cal\w*|ly|langleys?", "cal/cm2"),
    ),
    "wind": (
        (r"m_s|ms|mps|m_sec|m_s_1", "m/s"),
        (r"km_h|kmh|kph|km_hr", "km/h"),
        (r"mph|mi_h|miles\w*", "mph"),
        (r"kn|kt|kts|knots?", "knots"),
    ),
}
_FAMILY: Final = {
    "rain_mm": "rain",
    "t_min_c": "temperature",
    "t_max_c": "temperature",
    "dew_point_c": "temperature",
    "radiation_mj_m2": "radiation",
    "wind_m_s": "wind",
}


def told_unit(column: str, heading: str) -> DayUnit | None:
    """The unit that a heading tells (a plain one: lower case, underscores); None where it tells none.

    column: what the figures are. Wind is at 10 m unless the heading says 2 m.
    """
    told = next((key for pattern, key in _TOLD.get(_FAMILY.get(column, ""), ()) if _has(heading, pattern)), "")
    if not told:
        return None
    if column == "wind_m_s":
        height = "2 m" if re.search(r"(^|_)2_?m(_|$)|u2(_|$)|wind_?2(_|$|m)", heading) else "10 m"
        tenths = "tenths of " if told == "m/s" and _TENTHS.search(heading) else ""
        return unit_called(column, f"{tenths}{told} at {height}")
    if _TENTHS.search(heading):
        return unit_called(column, f"0.1 {told}") or unit_called(column, told)
    if _HUNDREDTHS.search(heading):
        return unit_called(column, f"0.01 {told}") or unit_called(column, told)
    return unit_called(column, told)


def _has(heading: str, pattern: str) -> bool:
    """Whether the unit stands in a heading as a word of its own, at its end or behind the name."""
    return re.search(rf"(^|_)(?:{pattern})(_|$)", heading) is not None


def guessed_unit(column: str, figures: Days) -> tuple[DayUnit, bool]:
    """The likeliest unit of figures whose heading tells none, and whether it is beyond doubt."""
    known = figures[~np.isnan(figures)]
    usual = UNITS[column][0]
    if not known.size:
        return usual, True
    if column == "rain_mm":
        return _guessed_rain(known)
    if _FAMILY.get(column) == "temperature":
        return _guessed_temperature(known)
    if column == "humidity_mean_pct":
        return (unit_called(column, "share") or usual, True) if known.max() <= 1.0 else (usual, True)
    return usual, False


def _guessed_rain(known: Days) -> tuple[DayUnit, bool]:
    """Rain could be anything: a wet place's millimetres are a dry one's tenths. It is never beyond doubt."""
    year = float(known.mean()) * 365.25
    whole = bool((known == np.round(known)).all())
    if whole and (year > 2500.0 or known.max() > 254.0):
        return _RAINS[1], False
    if not whole and year < 130.0 and known.max() < 16.0:
        return _RAINS[2], False
    return _RAINS[0], False


def _guessed_temperature(known: Days) -> tuple[DayUnit, bool]:
    """Fahrenheit where it is warmer than any day on Earth in °C, tenths where it is warmer than any in °F."""
    top = float(np.abs(known).max())
    if known.min() > 180.0 and top < 340.0:
        return _TEMPERATURES[3], True
    if top > 140.0:
        return _TEMPERATURES[1], True
    if top > 57.0:
        return _TEMPERATURES[2], True
    return _TEMPERATURES[0], True
