"""What else stands on the site."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from shapely import LineString, Point, Polygon

from gardenwater.site.fields import flag, number, option, words
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Building(Thing):
    """A building: it stands up from the ground; water and lines go round it."""

    kind: ClassVar[str] = "building"
    word: ClassVar[str] = "Building"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    height_m: float = number(3.0, "Height", Quantity.HEIGHT_M, 0.2, 60.0, "Building")


@dataclass(frozen=True, slots=True, kw_only=True)
class Door(Thing):
    """A door or low window, whose sill must stay dry."""

    kind: ClassVar[str] = "door"
    word: ClassVar[str] = "Door"
    geometry: ClassVar[str] = "Point"

    shape: Point
    width_m: float = number(0.9, "Width", Quantity.LENGTH_M, 0.3, 6.0, "Door")
    bearing_deg: float = number(180.0, "Opens towards", Quantity.ANGLE_DEG, 0.0, 360.0, "Door")
    sill_height_m: float = number(
        0.15,
        "Sill height",
        Quantity.HEIGHT_M,
        -3.0,
        3.0,
        "Door",
        "Above the ground outside; below it for a basement window.",
    )
    keep_dry: bool = flag(True, "Keep dry", "Door")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall(Thing):
    """A wall: it turns water up to its height, and lines go round it."""

    kind: ClassVar[str] = "wall"
    word: ClassVar[str] = "Wall"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    thickness_m: float = number(0.25, "Thickness", Quantity.LENGTH_M, 0.02, 3.0, "Wall")
    height_m: float = number(1.2, "Height", Quantity.HEIGHT_M, 0.02, 10.0, "Wall")


class TreeForm(StrEnum):
    """Whether it is one tree or a row."""

    TREE = "tree"
    HEDGE = "hedge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree(Thing):
    """A tree by its crown, or a hedge by its outline."""

    kind: ClassVar[str] = "tree"
    word: ClassVar[str] = "Tree or hedge"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    form: TreeForm = option(TreeForm.TREE, "Form", "Tree or hedge")
    height_m: float = number(4.0, "Height", Quantity.HEIGHT_M, 0.2, 60.0, "Tree or hedge")


@dataclass(frozen=True, slots=True, kw_only=True)
class Path(Thing):
    """A path by its middle line."""

    kind: ClassVar[str] = "path"
    word: ClassVar[str] = "Path"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    width_m: float = number(1.2, "Width", Quantity.LENGTH_M, 0.2, 20.0, "Path")

    @property
    def band(self) -> Polygon:
        """The path's ground, m."""
        return self.shape.buffer(self.width_m / 2, cap_style="flat", join_style="round")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepDry(Thing):
    """Ground where water must not go."""

    kind: ClassVar[str] = "keep_dry"
    word: ClassVar[str] = "Keep-dry ground"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    reason: str = words("Reason", "Keep-dry ground", "Door, path, neighbour ...")


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundary(Thing):
    """The edge of the site."""

    kind: ClassVar[str] = "boundary"
    word: ClassVar[str] = "Boundary"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
