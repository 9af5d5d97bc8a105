"""What rain falls on, and what leads it to a tank."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from shapely import LineString, Point, Polygon

from gardenwater.site.fields import choice, flag, number, option, refer
from gardenwater.site.laying import PipeWay
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


class RoofForm(StrEnum):
    """How a roof falls."""

    FLAT = "flat"
    MONO = "one fall"
    GABLE = "gable"
    HIP = "hip"


@dataclass(frozen=True, slots=True, kw_only=True)
class Roof(Thing):
    """A roof, by its eaves outline on the plan (plan area yields water; slope area never does)."""

    kind: ClassVar[str] = "roof"
    word: ClassVar[str] = "Roof"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    form: RoofForm = option(RoofForm.GABLE, "Form", "Roof")
    pitch_deg: float = number(35.0, "Pitch", Quantity.ANGLE_DEG, 0.0, 75.0, "Roof")
    fall_deg: float | None = number(
        None,
        "Falls towards",
        Quantity.ANGLE_DEG,
        0.0,
        360.0,
        "Roof",
        "Compass bearing of the fall, for a roof with one fall.",
    )
    eaves_height_m: float = number(
        2.8,
        "Eaves height",
        Quantity.HEIGHT_M,
        0.3,
        15.0,
        "Roof",
        "Above the ground at the foot of the wall, to the gutter's bottom.",
    )
    surface: str = choice("tiles", "Surface", "surfaces", "Roof")
    filter_share: float = number(
        0.9, "Filter passes", Quantity.SHARE, 0.0, 1.0, "Roof", "Share that leaf guards and filters let through."
    )


class GutterProfile(StrEnum):
    """Section of a gutter."""

    HALF_ROUND = "half round"
    BOX = "box"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gutter(Thing):
    """A gutter, from its high end to its downpipe."""

    kind: ClassVar[str] = "gutter"
    word: ClassVar[str] = "Gutter"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    roof: str = refer("Roof", "roof")
    downpipe: str = refer("Leads to", "downpipe")
    profile: GutterProfile = option(GutterProfile.HALF_ROUND, "Profile", "Gutter")
    width_mm: float = number(112.0, "Width", Quantity.SMALL_MM, 50.0, 400.0, "Gutter")
    fall_mm_m: float = number(3.0, "Fall", Quantity.NUMBER, 0.0, 50.0, "Gutter", "Millimetres for each metre of run.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Downpipe(Thing):
    """A downpipe; without a diverter its water leaves at its foot."""

    kind: ClassVar[str] = "downpipe"
    word: ClassVar[str] = "Downpipe"
    geometry: ClassVar[str] = "Point"

    shape: Point
    roof: str = refer("Roof", "roof")
    bore_mm: float = number(68.0, "Bore", Quantity.BORE_MM, 30.0, 200.0, "Pipe")
    outlet_mm: float | None = number(
        None, "Outlet of the gutter", Quantity.BORE_MM, 20.0, 200.0, "Pipe", "Its bore; that of the pipe when empty."
    )
    strainer: bool = flag(False, "Leaf guard in the outlet", "Pipe", "It halves what the outlet passes.")
    drained: bool = flag(
        False, "Foot leads to a drain", "Pipe", "Water that is not caught goes into a drain and not onto the ground."
    )


class DiverterKind(StrEnum):
    """What a diverter does when its tank is full."""

    STOPS = "stops by itself"
    FEEDS = "keeps feeding"
    WHOLE_PIPE = "whole pipe"


@dataclass(frozen=True, slots=True, kw_only=True)
class Diverter(Thing):
    """Leads water from a downpipe to a tank."""

    kind: ClassVar[str] = "diverter"
    word: ClassVar[str] = "Diverter"
    geometry: ClassVar[str] = "Point"

    shape: Point
    downpipe: str = refer("On downpipe", "downpipe", "Diverter")
    tank: str = refer("Feeds", "tank", "Diverter")
    form: DiverterKind = option(DiverterKind.STOPS, "When the tank is full", "Diverter")
    height_m: float = number(
        2.0, "Height", Quantity.HEIGHT_M, 0.0, 12.0, "Diverter", "Of its side outlet above the ground at the downpipe."
    )
    share: float = number(1.0, "Share led aside", Quantity.SHARE, 0.0, 1.0, "Diverter")
    most_l_min: float = number(54.0, "Leads aside at most", Quantity.FLOW_L_MIN, 1.0, 2000.0, "Diverter")
    feeder_bore_mm: float = number(32.0, "Feeder bore", Quantity.BORE_MM, 8.0, 200.0, "Diverter")
    feeder_way: PipeWay = option(
        PipeWay.STRAIGHT, "Feeder lies", "Diverter", "On the ground it dips, holds water and rises to the tank."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstFlush(Thing):
    """Keeps back the first, dirty water of each rain."""

    kind: ClassVar[str] = "first_flush"
    word: ClassVar[str] = "First-flush device"
    geometry: ClassVar[str] = "Point"

    shape: Point
    downpipe: str = refer("On downpipe", "downpipe")
    keeps_l: float = number(
        20.0, "Keeps back", Quantity.VOLUME_L, 0.0, 2000.0, "Device", "Litres at the start of each rain."
    )
