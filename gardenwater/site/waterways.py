"""Where spilled water is led and what takes it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from shapely import LineString, Polygon

from gardenwater.site.fields import flag, number, option, refer
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Overflow(Thing):
    """The pipe that takes the overflow of a tank or a pond, or what runs out at a downpipe's foot, to its mouth."""

    kind: ClassVar[str] = "overflow"
    word: ClassVar[str] = "Overflow"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    tank: str = refer("From tank", "tank", "Overflow")
    downpipe: str = refer(
        "From downpipe", "downpipe", "Overflow", "Takes what runs out at its foot, in a tank's place."
    )
    bore_mm: float = number(50.0, "Bore", Quantity.BORE_MM, 10.0, 300.0, "Overflow")
    from_taker: str = refer("From taker", "taker", "Overflow", "A pond or rain garden whose own overflow it is.")
    taker: str = refer(
        "Ends in", "taker", "Overflow", "A pond, soakaway, swale or ditch; empty when it ends on the ground."
    )
    back_to: str = refer(
        "Back into downpipe", "downpipe", "Overflow", "A tank's overflow that is led back into the pipe that fed it."
    )
    tank_below: str = refer("Fills tank", "tank", "Overflow", "A lower tank that takes this tank's overflow.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pond(Thing):
    """A pond. Open water: children can drown in a few centimetres."""

    kind: ClassVar[str] = "pond"
    word: ClassVar[str] = "Pond"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    depth_m: float = number(0.6, "Depth", Quantity.HEIGHT_M, 0.05, 5.0, "Pond")
    freeboard_m: float = number(
        0.05, "Room above the water", Quantity.HEIGHT_M, 0.0, 2.0, "Pond", "From today's water to where it spills."
    )
    lined: bool = flag(True, "Lined", "Pond")
    spillway_width_m: float | None = number(
        None, "Width of the spillway", Quantity.LENGTH_M, 0.05, 10.0, "Pond", "Where it spills; not checked when empty."
    )
    spillway_depth_m: float = number(0.1, "Depth of the spillway", Quantity.HEIGHT_M, 0.02, 1.0, "Pond")
    seeps_mm_day: float | None = number(
        None, "Seeps in a day", Quantity.RAIN_MM, 0.0, 1000.0, "Pond", "By the soil when empty; nothing when lined."
    )
    evaporates_mm_day: float = number(
        4.0, "Evaporates in a day", Quantity.RAIN_MM, 0.0, 20.0, "Pond", "1.05 times reference evapotranspiration."
    )
    children_about: bool = flag(False, "Children can reach it", "Pond")


@dataclass(frozen=True, slots=True, kw_only=True)
class Soakaway(Thing):
    """A pit filled with stone or crates, from which water soaks into the ground."""

    kind: ClassVar[str] = "soakaway"
    word: ClassVar[str] = "Soakaway"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    depth_m: float = number(1.0, "Depth", Quantity.HEIGHT_M, 0.2, 4.0, "Soakaway", "Effective depth below its inlet.")
    void_share: float = number(
        0.3, "Void share", Quantity.SHARE, 0.05, 1.0, "Soakaway", "0.3 stone, 0.95 crates (common practice, no source)."
    )
    soak_mm_h: float | None = number(
        None,
        "Soak rate measured",
        Quantity.SOAK_MM_H,
        0.01,
        2000.0,
        "Soakaway",
        "Where it is known; the trial pit's when that is given, the soil's when both are empty.",
    )
    pit_length_m: float | None = number(None, "Length", Quantity.LENGTH_M, 0.2, 5.0, "Trial pit")
    pit_width_m: float | None = number(None, "Width", Quantity.LENGTH_M, 0.2, 5.0, "Trial pit")
    pit_depth_m: float | None = number(
        None, "Depth of the water", Quantity.HEIGHT_M, 0.1, 4.0, "Trial pit", "When it is filled."
    )
    pit_fall_min: float | None = number(
        None,
        "Minutes to fall",
        Quantity.NUMBER,
        0.1,
        20_000.0,
        "Trial pit",
        "From three quarters full to a quarter: the longest of three fills, one after the other.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RainGarden(Thing):
    """A planted hollow that takes water for some hours and lets it soak."""

    kind: ClassVar[str] = "rain_garden"
    word: ClassVar[str] = "Rain garden"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    depth_m: float = number(
        0.15, "Depth", Quantity.HEIGHT_M, 0.02, 0.6, "Rain garden", "From its soil to where it spills."
    )
    soil_depth_m: float = number(
        0.4, "Loose soil", Quantity.HEIGHT_M, 0.0, 2.0, "Rain garden", "Depth of the open soil that was filled in."
    )
    void_share: float = number(
        0.2, "Its void share", Quantity.SHARE, 0.0, 0.6, "Rain garden", "0.2 sandy compost mix (common practice)."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Swale(Thing):
    """A shallow, level, grassed hollow along the contour."""

    kind: ClassVar[str] = "swale"
    word: ClassVar[str] = "Swale"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    width_m: float = number(0.9, "Width", Quantity.LENGTH_M, 0.2, 10.0, "Swale")
    depth_m: float = number(0.2, "Depth", Quantity.HEIGHT_M, 0.02, 1.5, "Swale")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ditch(Thing):
    """A ditch that leads water along its fall, from its high end."""

    kind: ClassVar[str] = "ditch"
    word: ClassVar[str] = "Ditch"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    width_m: float = number(0.6, "Width", Quantity.LENGTH_M, 0.1, 10.0, "Ditch")
    depth_m: float = number(0.3, "Depth", Quantity.HEIGHT_M, 0.02, 3.0, "Ditch")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bank(Thing):
    """A bank, by its crest: it raises the ground, most along its crest."""

    kind: ClassVar[str] = "bank"
    word: ClassVar[str] = "Bank"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    height_m: float = number(0.4, "Height", Quantity.HEIGHT_M, 0.05, 5.0, "Bank")
    width_m: float = number(1.6, "Width at the foot", Quantity.LENGTH_M, 0.2, 20.0, "Bank")


class EarthworkForm(StrEnum):
    """What is done with the ground."""

    CUT = "cut"
    TERRACE = "terrace"
    FILLED = "filled hollow"


@dataclass(frozen=True, slots=True, kw_only=True)
class Earthwork(Thing):
    """Ground that is dug or filled. It is kept as its outline: the levels themselves stay as they were measured."""

    kind: ClassVar[str] = "earthwork"
    word: ClassVar[str] = "Earthwork"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    form: EarthworkForm = option(
        EarthworkForm.TERRACE, "Form", "Earthwork", "A cut lowers, a terrace levels, a filled hollow only raises."
    )
    depth_m: float = number(0.3, "Depth of the cut", Quantity.HEIGHT_M, 0.02, 3.0, "Earthwork", "Of a cut alone.")
    level_m: float | None = number(
        None,
        "Level",
        Quantity.LEVEL_M,
        -500.0,
        9000.0,
        "Earthwork",
        "Of a terrace: the mean of its ground when empty. Of a filled hollow: its lowest rim.",
    )
