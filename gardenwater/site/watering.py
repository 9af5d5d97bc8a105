"""Watering lines and the beds that they water."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from shapely import LineString, Polygon

from gardenwater.site.fields import choice, flag, listed, number, option, refer, words
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


@dataclass(frozen=True, kw_only=True)
class LineFields:
    """What a watering line loses and gives; shared by the drawn lines and the site's usual line."""

    bore: str = choice("hose-19", "Bore", "line_bores", "Line", "Of a drawn line with pieces, the bore of its last.")
    end: str = choice("open-hose", "End", "line_ends", "Line")
    wall: str = choice("new-plastic", "Wall", "line_walls", "Line")
    roughness_mm: float = number(
        0.0015, "Roughness", Quantity.NUMBER, 0.0, 0.5, "Line", "Of the bore's wall, mm: goes along with the wall."
    )
    fittings: str = listed(
        "Fittings", "line_fittings", Quantity.NUMBER, 1.0, 50.0, "Line", "What the line has in it, besides its end."
    )
    fittings_k: float = number(
        2.5,
        "Loss of all fittings",
        Quantity.NUMBER,
        0.0,
        200.0,
        "Line",
        "Sum of loss coefficients, entrance and exit included; goes along with end and fittings.",
    )
    emitters: float = number(
        0.0, "Emitters", Quantity.NUMBER, 0.0, 5000.0, "Line", "How many drippers its end has; 0 for an open end."
    )
    emitter_l_h: float = number(
        4.0, "One emitter, L/h", Quantity.NUMBER, 0.1, 100.0, "Line", "At 10 m (1 bar), as makers give it."
    )
    emitter_exponent: float = number(
        0.5, "Emitter exponent", Quantity.NUMBER, 0.1, 1.0, "Line", "How its flow goes with the head; 0.5 most."
    )
    opaque: bool = flag(
        True, "Opaque", "Line", "Light in a line that stands full grows algae (common practice, no source)."
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
    pieces: str = listed(
        "Pieces before the last",
        "line_bores",
        Quantity.LENGTH_M,
        0.1,
        2000.0,
        "Line",
        "Pipes laid from the tank on, with their lengths; where they end, the last piece is carried on from.",
    )
    bucket_tests: str = words(
        "Bucket and stopwatch", "Line", "Tests it was set by: head m, length m, litres, seconds; one after another."
    )


class WateringRule(StrEnum):
    """When a bed is watered, and how much it is given."""

    WHEN_DRY = "when it is dry"
    FIXED_DAYS = "on fixed days"
    FIXED_CANS = "fixed cans"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed(Thing):
    """Ground that wants water.

    sown, second_sown: a day as `calendar.year_day` reads it. Empty: in the first crop's usual month, half a year later
    in the south; the second a week after the first is cleared.
    """

    kind: ClassVar[str] = "bed"
    word: ClassVar[str] = "Bed"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    crop: str = choice("mixed-vegetables", "Crop", "crops", "Bed")
    soil: str = choice("loam", "Soil", "soils", "Bed")
    cover: str = choice("bare", "Cover", "covers", "Bed", "What lies on the soil: mulch keeps water in.")
    cover_share: float = number(0.0, "Share covered", Quantity.SHARE, 0.0, 1.0, "Bed")
    under_cover: bool = flag(
        False, "Under a roof or glass", "Bed", "Gets no rain. Glass takes sun and wind as well: see shade and shelter."
    )
    planted_share: float = number(
        1.0, "Share planted", Quantity.SHARE, 0.05, 1.0, "Bed", "Paths between the rows are not watered."
    )
    raised_m: float = number(0.0, "Raised by", Quantity.HEIGHT_M, 0.0, 1.5, "Bed")
    deliver_x_m: float | None = number(
        None, "Delivery spot, east", Quantity.LENGTH_M, -1e8, 1e8, "Bed", "Its highest ground unless given."
    )
    deliver_y_m: float | None = number(None, "Delivery spot, north", Quantity.LENGTH_M, -1e8, 1e8, "Bed")
    sown: str = words("Sown or planted on", "Crop", "As 12 May, or empty")
    season_days: float | None = number(
        None,
        "Days in the bed",
        Quantity.NUMBER,
        20.0,
        365.0,
        "Crop",
        "From sowing to clearing; the crop's own (FAO-56 Table 11) when empty.",
    )
    second_crop: str = choice("none", "Second crop", "crops", "Crop", "After the first, in the same year.")
    second_sown: str = words("Second sown on", "Crop", "As 1 August, or empty")
    own_kcb: float | None = number(
        None,
        "Crop coefficient, middle",
        Quantity.NUMBER,
        0.1,
        1.4,
        "Crop",
        "Basal, in mid season (FAO-56 Table 17); the first crop's own when empty. With days and roots: any crop.",
    )
    root_m: float | None = number(
        None,
        "Depth of roots",
        Quantity.HEIGHT_M,
        0.05,
        3.0,
        "Crop",
        "Of the first crop, full grown; its own (FAO-56 Table 22) when empty.",
    )
    soil_depth_m: float | None = number(
        None,
        "Depth of its soil",
        Quantity.HEIGHT_M,
        0.05,
        3.0,
        "Soil and place",
        "Down to a pot's or trough's floor, or to rock; empty where soil goes on.",
    )
    used_at_start: float = number(
        0.0,
        "Used at the start",
        Quantity.SHARE,
        0.0,
        1.0,
        "Soil and place",
        "Share of the water that the soil holds for plants, on the first day of the weather.",
    )
    shelter: str = choice(
        "open", "Shelter", "shelters", "Soil and place", "From wind: it takes less from soil and leaves."
    )
    shade: float = number(
        0.0,
        "Shade",
        Quantity.SHARE,
        0.0,
        1.0,
        "Soil and place",
        "Share of the sun's radiation that does not come down to it.",
    )
    watering: WateringRule = option(
        WateringRule.WHEN_DRY,
        "Watered",
        "Watering",
        "When dry: filled up once the readily available water is used (FAO-56 chapter 8).",
    )
    every_days: float = number(
        3.0, "Days between waterings", Quantity.NUMBER, 1.0, 60.0, "Watering", "On fixed days and with fixed cans."
    )
    cans_each: float = number(2.0, "Cans each time", Quantity.NUMBER, 0.0, 1000.0, "Watering", "With fixed cans.")
    wetted_share: float = number(
        1.0,
        "Share wetted by watering",
        Quantity.SHARE,
        0.1,
        1.0,
        "Watering",
        "All by can or hose; 30 to 40 % by dripline (FAO-56 Table 20).",
    )
