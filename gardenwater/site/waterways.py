"""Where spilled water is led and what takes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from shapely import LineString, Polygon

from gardenwater.site.fields import flag, number, refer
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Overflow(Thing):
    """The pipe that takes a tank's overflow, or what runs out at a downpipe's foot, from there to its mouth."""

    kind: ClassVar[str] = "overflow"
    word: ClassVar[str] = "Overflow"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    tank: str = refer("From tank", "tank", "Overflow")
    downpipe: str = refer(
        "From downpipe", "downpipe", "Overflow", "Takes what runs out at its foot, in a tank's place."
    )
    bore_mm: float = number(50.0, "Bore", Quantity.BORE_MM, 10.0, 300.0, "Overflow")
    taker: str = refer(
        "Ends in", "taker", "Overflow", "A pond, soakaway, swale or ditch; empty when it ends on the ground."
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
        "By a trial pit; the soil's when empty.",
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
    """A bank, by its crest."""

    kind: ClassVar[str] = "bank"
    word: ClassVar[str] = "Bank"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    height_m: float = number(0.4, "Height", Quantity.HEIGHT_M, 0.05, 5.0, "Bank")
    width_m: float = number(1.6, "Width at the foot", Quantity.LENGTH_M, 0.2, 20.0, "Bank")
