"""All kinds of things on the plan: frozen values, one class for each kind.

Geometry is a shapely geometry in `shape`, in metres of the site's CRS (x east, y north). Heights are above the ground
beneath, levels above the site's datum. Each field's label, unit, range and help stand in its `FieldSpec` (`fields`).
"""

from __future__ import annotations

from gardenwater.site.laying import PipeWay
from gardenwater.site.measured import LevelPeg, SlopeArrow
from gardenwater.site.roofs import Diverter, DiverterKind, Downpipe, FirstFlush, Gutter, GutterProfile, Roof, RoofForm
from gardenwater.site.surroundings import Boundary, Building, Door, KeepDry, Path, Tree, TreeForm, Wall
from gardenwater.site.tanks import Link, Tank, TankForm, Tap
from gardenwater.site.thing import Thing
from gardenwater.site.watering import Bed, LineFields, WateringLine, WateringRule
from gardenwater.site.waterways import (
    Bank,
    Ditch,
    Earthwork,
    EarthworkForm,
    Overflow,
    Pond,
    RainGarden,
    Soakaway,
    Swale,
)

__all__ = [
    "BY_KIND",
    "KINDS",
    "TAKERS",
    "TRAY_GROUPS",
    "Bank",
    "Bed",
    "Boundary",
    "Building",
    "Ditch",
    "Diverter",
    "DiverterKind",
    "Door",
    "Downpipe",
    "Earthwork",
    "EarthworkForm",
    "FirstFlush",
    "Gutter",
    "GutterProfile",
    "KeepDry",
    "LevelPeg",
    "LineFields",
    "Link",
    "Overflow",
    "Path",
    "PipeWay",
    "Pond",
    "RainGarden",
    "Roof",
    "RoofForm",
    "SlopeArrow",
    "Soakaway",
    "Swale",
    "Tank",
    "TankForm",
    "Tap",
    "Thing",
    "Tree",
    "TreeForm",
    "Wall",
    "WateringLine",
    "WateringRule",
]

KINDS: tuple[type[Thing], ...] = (
    Roof, Gutter, Downpipe, Diverter, FirstFlush,
    Tank, Tap, Link,
    WateringLine, Bed,
    Overflow, Pond, Soakaway, RainGarden, Swale, Ditch, Bank, Earthwork,
    Building, Door, Wall, Tree, Path, KeepDry, Boundary,
    LevelPeg, SlopeArrow,
)  # fmt: skip
"""All kinds, in the order and groups of the drawing tray."""

TRAY_GROUPS: tuple[tuple[str, ...], ...] = (
    ("roof", "gutter", "downpipe", "diverter", "first_flush"),
    ("tank", "tap", "link"),
    ("watering_line", "bed"),
    ("overflow", "pond", "soakaway", "rain_garden", "swale", "ditch", "bank", "earthwork"),
    ("building", "door", "wall", "tree", "path", "keep_dry", "boundary"),
    ("level_peg", "slope_arrow"),
)
TAKERS: tuple[str, ...] = ("pond", "soakaway", "rain_garden", "swale", "ditch")
BY_KIND: dict[str, type[Thing]] = {kind.kind: kind for kind in KINDS}
