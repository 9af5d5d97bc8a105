"""The names of units that people may type, by dimension, and what each quantity is called and held in."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from gardenwater.units.quantity import Quantity
from gardenwater.units.scales import FOOT_M, POUND_KG, POUND_SQ_FT_KPA, US_GALLON_L

IMPERIAL_GALLON_L = 4.54609
_INCH_M = 0.0254
_POUND_SQ_IN_KPA = POUND_SQ_FT_KPA * 144.0

_SIZES: dict[str, dict[float, str]] = {
    "length": {
        1.0: "m|metre|metres|meter|meters",
        0.01: "cm|centimetre|centimetres|centimeter|centimeters",
        0.001: "mm|millimetre|millimetres|millimeter|millimeters",
        1000.0: "km",
        FOOT_M: "ft|foot|feet|'",
        _INCH_M: 'in|inch|inches|"',
        0.9144: "yd|yard|yards",
    },
    "area": {
        1.0: "m²|m2|m^2|sq m|square metre|square metres|square meter|square meters",
        FOOT_M**2: "sq ft|ft²|ft2|ft^2|square foot|square feet",
        0.9144**2: "sq yd|yd²|yd2|square yard|square yards",
        10_000.0: "ha|hectare|hectares",
        4046.8564224: "acre|acres",
    },
    "volume": {
        1.0: "l|litre|litres|liter|liters",
        0.001: "ml",
        1000.0: "m³|m3|m^3|cubic metre|cubic metres|cubic meter|cubic meters",
        US_GALLON_L: "gal|us gal|gallon|gallons|us gallon|us gallons",
        IMPERIAL_GALLON_L: "imp gal|uk gal|imperial gallon|imperial gallons",
        FOOT_M**3 * 1000.0: "cu ft|ft³|ft3|cubic foot|cubic feet",
    },
    "flow": {
        1.0: "l/min|litres/min|liters/min|lpm",
        60.0: "l/s|litres/s|liters/s",
        1.0 / 60.0: "l/h|litres/h|liters/h",
        1000.0 / 60.0: "m³/h|m3/h",
        US_GALLON_L: "gal/min|us gal/min|gpm",
        US_GALLON_L / 60.0: "gal/h|us gal/h|gph",
    },
    "soak": {
        1.0: "mm/h|mm/hr",
        10.0: "cm/h|cm/hr",
        25.4: "in/h|in/hr",
        1.0 / 24.0: "mm/d|mm/day",
        1000.0 / 24.0: "m/d|m/day",
        3.6e6: "m/s",
    },
    "time": {
        1.0: "s|sec|second|seconds",
        60.0: "min|minute|minutes",
        3600.0: "h|hr|hour|hours",
        86_400.0: "d|day|days",
    },
    "angle": {1.0: "°|deg|degree|degrees", 1.0 / 60.0: "'", 1.0 / 3600.0: '"'},
    "share": {0.01: "%|percent|per cent"},
    "number": {},
    "temperature": {1.0: "°c|c|°f|f"},
    "warming": {1.0: "°c|c|k", 5.0 / 9.0: "°f|f"},
    "mass": {1.0: "kg", 0.001: "g", 1000.0: "t|tonne|tonnes", POUND_KG: "lb|lbs|pound|pounds"},
    "pressure": {
        1.0: "kpa",
        0.001: "pa",
        100.0: "bar",
        0.1: "mbar",
        _POUND_SQ_IN_KPA: "psi|lb/sq in",
        POUND_SQ_FT_KPA: "psf|lb/sq ft",
    },
}


@dataclass(frozen=True, slots=True)
class Held:
    """What a quantity is held in: its dimension, that unit's size in the dimension's base unit, and a sample value."""

    dimension: str
    size: float
    sample: float


HELD: dict[Quantity, Held] = {
    Quantity.LEVEL_M: Held("length", 1.0, 98.31),
    Quantity.HEIGHT_M: Held("length", 1.0, 0.45),
    Quantity.LENGTH_M: Held("length", 1.0, 2.4),
    Quantity.AREA_M2: Held("area", 1.0, 12.0),
    Quantity.VOLUME_L: Held("volume", 1.0, 720.0),
    Quantity.FLOW_L_MIN: Held("flow", 1.0, 4.0),
    Quantity.FLOW_L_S: Held("flow", 60.0, 1.4),
    Quantity.DEPTH_M: Held("length", 1.0, 0.1),
    Quantity.RAIN_MM: Held("length", 0.001, 24.0),
    Quantity.BORE_MM: Held("length", 0.001, 25.4),
    Quantity.SMALL_MM: Held("length", 0.001, 112.0),
    Quantity.SOAK_MM_H: Held("soak", 1.0, 12.0),
    Quantity.TIME_S: Held("time", 1.0, 160.0),
    Quantity.HOURS: Held("time", 3600.0, 9.0),
    Quantity.ANGLE_DEG: Held("angle", 1.0, 35.0),
    Quantity.PLACE_DEG: Held("angle", 1.0, 47.5),
    Quantity.ONE_IN: Held("number", 1.0, 40.0),
    Quantity.SHARE: Held("share", 1.0, 0.35),
    Quantity.NUMBER: Held("number", 1.0, 2.5),
    Quantity.TEMPERATURE_C: Held("temperature", 1.0, 15.0),
    Quantity.AIR_C: Held("temperature", 1.0, 15.0),
    Quantity.WARMING_K: Held("warming", 1.0, 2.0),
    Quantity.MASS_KG: Held("mass", 1.0, 60.0),
    Quantity.PRESSURE_KPA: Held("pressure", 1.0, 8.7),
}

NOUNS: dict[Quantity, str] = {
    Quantity.LEVEL_M: "level",
    Quantity.HEIGHT_M: "height",
    Quantity.LENGTH_M: "length",
    Quantity.AREA_M2: "area",
    Quantity.VOLUME_L: "volume",
    Quantity.FLOW_L_MIN: "flow",
    Quantity.FLOW_L_S: "flow",
    Quantity.DEPTH_M: "depth of water",
    Quantity.RAIN_MM: "depth of rain",
    Quantity.BORE_MM: "bore",
    Quantity.SMALL_MM: "size",
    Quantity.SOAK_MM_H: "soak rate",
    Quantity.TIME_S: "time",
    Quantity.HOURS: "time",
    Quantity.ANGLE_DEG: "angle",
    Quantity.PLACE_DEG: "latitude or longitude",
    Quantity.ONE_IN: "slope",
    Quantity.SHARE: "share",
    Quantity.NUMBER: "number",
    Quantity.TEMPERATURE_C: "temperature",
    Quantity.AIR_C: "temperature",
    Quantity.WARMING_K: "difference of temperatures",
    Quantity.MASS_KG: "weight",
    Quantity.PRESSURE_KPA: "pressure",
}


@cache
def names_of(dimension: str) -> dict[str, float]:
    """Names of the units of a dimension, each with its size in the base unit; longer names first, so that they win."""
    names = {name: size for size, listed in _SIZES[dimension].items() for name in listed.split("|")}
    return dict(sorted(names.items(), key=lambda pair: -len(pair[0])))
