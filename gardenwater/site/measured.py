"""What was measured in the field."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from shapely import LineString, Point

from gardenwater.site.fields import number
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelPeg(Thing):
    """A spot whose level was measured."""

    kind: ClassVar[str] = "level_peg"
    word: ClassVar[str] = "Level peg"
    geometry: ClassVar[str] = "Point"

    shape: Point
    level_m: float = number(100.0, "Level", Quantity.LEVEL_M, -500.0, 9000.0, "Peg")


@dataclass(frozen=True, slots=True, kw_only=True)
class SlopeArrow(Thing):
    """A fall that was measured, from its upper to its lower end."""

    kind: ClassVar[str] = "slope_arrow"
    word: ClassVar[str] = "Slope arrow"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    one_in: float = number(20.0, "Falls 1 in", Quantity.ONE_IN, 1.0, 10_000.0, "Slope")
