"""Watering lines and the beds that they water."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from shapely import LineString, Polygon

from gardenwater.site.fields import choice, flag, number, refer
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


@dataclass(frozen=True, kw_only=True)
class LineFields:
    """What a watering line loses and gives; shared by the drawn lines and the site's usual line."""

    bore: str = choice("hose-19", "Bore", "line_bores", "Line")
    end: str = choice("open-hose", "End", "line_ends", "Line")
    roughness_mm: float = number(
        0.0015, "Roughness", Quantity.NUMBER, 0.0, 0.5, "Line", "Of the bore's wall, mm: 0.0015 new plastic."
    )
    fittings_k: float = number(
        2.5, "Fittings", Quantity.NUMBER, 0.0, 200.0, "Line", "Sum of loss coefficients, entrance and exit included."
    )
    lift_m: float = number(
        0.0, "Lift at the end", Quantity.HEIGHT_M, 0.0, 3.0, "Line", "How far above the ground the water is delivered."
    )
    line_height_m: float = number(
        0.0, "Line height", Quantity.HEIGHT_M, 0.0, 3.0, "Line", "How far above the ground the line lies on its way."
    )
    wanted_l_min: float = number(
        1.0, "Wanted flow", Quantity.FLOW_L_MIN, 0.1, 100.0, "Line", "The least worth waiting for."
    )
    least_head_m: float = number(0.0, "Least head at the end", Quantity.HEIGHT_M, 0.0, 20.0, "Line")


@dataclass(frozen=True, slots=True, kw_only=True)
class WateringLine(Thing, LineFields):
    """A watering line as it is laid, from a tank to where it delivers."""

    kind: ClassVar[str] = "watering_line"
    word: ClassVar[str] = "Watering line"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    tank: str = refer("From tank", "tank", "Line")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed(Thing):
    """Ground that wants water."""

    kind: ClassVar[str] = "bed"
    word: ClassVar[str] = "Bed"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    crop: str = choice("mixed-vegetables", "Crop", "crops", "Bed")
    soil: str = choice("loam", "Soil", "soils", "Bed")
    cover: str = choice("bare", "Cover", "covers", "Bed", "What lies on the soil: mulch keeps water in.")
    cover_share: float = number(0.0, "Share covered", Quantity.SHARE, 0.0, 1.0, "Bed")
    under_cover: bool = flag(False, "Under a roof or glass", "Bed", "Gets no rain.")
    raised_m: float = number(0.0, "Raised by", Quantity.HEIGHT_M, 0.0, 1.5, "Bed")
    deliver_x_m: float | None = number(
        None, "Delivery spot, east", Quantity.LENGTH_M, -1e8, 1e8, "Bed", "Its highest ground unless given."
    )
    deliver_y_m: float | None = number(None, "Delivery spot, north", Quantity.LENGTH_M, -1e8, 1e8, "Bed")
