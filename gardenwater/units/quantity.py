"""The quantities people read and type, and the two systems of units."""

from __future__ import annotations

from enum import StrEnum


class UnitSystem(StrEnum):
    """The units a person reads and types."""

    METRIC = "metric"
    US = "us"


class Quantity(StrEnum):
    """What a number is; the suffix is the unit it is held in.

    DEPTH_M is the depth of standing water (cm), HEIGHT_M every other height and depth. SMALL_MM is a size of a part,
    BORE_MM the inside of a pipe. ONE_IN is the run for one of fall. PLACE_DEG is a latitude or longitude.
    AIR_C is of the air, WARMING_K a difference of temperatures.
    """

    LEVEL_M = "level_m"
    HEIGHT_M = "height_m"
    LENGTH_M = "length_m"
    AREA_M2 = "area_m2"
    VOLUME_L = "volume_l"
    FLOW_L_MIN = "flow_l_min"
    FLOW_L_S = "flow_l_s"
    DEPTH_M = "depth_m"
    RAIN_MM = "rain_mm"
    BORE_MM = "bore_mm"
    SMALL_MM = "small_mm"
    SOAK_MM_H = "soak_mm_h"
    TIME_S = "time_s"
    HOURS = "hours"
    ANGLE_DEG = "angle_deg"
    PLACE_DEG = "place_deg"
    ONE_IN = "one_in"
    SHARE = "share"
    NUMBER = "number"
    TEMPERATURE_C = "temperature_c"
    AIR_C = "air_c"
    WARMING_K = "warming_k"
    MASS_KG = "mass_kg"
    PRESSURE_KPA = "pressure_kpa"
