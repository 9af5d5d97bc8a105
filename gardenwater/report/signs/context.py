"""What a sign is drawn with: the view, the site, the question, and the order in which signs lie over one another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.report.drawing import Mark, Pen, Points, Rect, Subpath
from gardenwater.report.paths import lines, points_of, rings
from gardenwater.report.view import View
from gardenwater.site.model import Site
from gardenwater.site.things import Roof


class Order(IntEnum):
    """Order of drawing, bottom first."""

    BOUNDARY = 0
    KEEP_DRY_FILL = 1
    SOAKAWAY = 2
    PATH = 3
    SWALE = 4
    DITCH = 5
    BANK = 6
    POND = 7
    KEEP_DRY_LINE = 8
    TREE = 9
    BED = 10
    WALL = 11
    LIMIT = 12
    BUILDING = 13
    ROOF = 14
    UNDER_ROOF = 15
    DOOR = 16
    WATERING_LINE = 17
    POOL = 18
    PROPOSED = 19
    ROUTE = 20
    GUTTER = 21
    DOWNPIPE = 22
    FIRST_FLUSH = 23
    DIVERTER = 24
    LINK = 25
    TAP = 26
    TANK = 27
    SLOPE_ARROW = 28
    LEVEL_PEG = 29


Sign: TypeAlias = list[tuple[Order, Mark]]
"""Marks of one thing, each with its place in the order of drawing."""

FROM_NEAR_PX_PER_M = 16.0
"""From this scale on small signs are drawn in full: diverters, arrows beside gutters."""


@dataclass(frozen=True, slots=True)
class GutterFlow:
    """What a gutter carries in a year: at its high end, at its low end, and whether a tank gets it."""

    start_l: float
    end_l: float
    caught: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafting:
    """What signs are drawn with.

    bed_roles: colour of each bed by how dry it is, by id, on a plan that shows one day. running: ids of the tanks that
    run over that day; None where no day is shown.
    washed: a wash lies under the plan. store_l: litres shown in each tank, by id. boxes: boxes of words, px, that rows
    of dots keep clear of. gutters: what gutters and feeders carry, by id, in Catch. ground: for the upper side of a
    swale. in_print: boundary rings are drawn. near: ids of things that are selected or pointed at, drawn in full at any
    scale. roofs: outlines of all roofs and their bounds, m.
    """

    view: View
    site: Site
    question: Question = Question.GROUND
    washed: bool = False
    store_l: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    boxes: tuple[Rect, ...] = ()
    gutters: Mapping[str, GutterFlow] = field(default_factory=lambda: MappingProxyType({}))
    ground: Ground | None = None
    in_print: bool = False
    near: frozenset[str] = frozenset()
    bed_roles: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    running: frozenset[str] | None = None
    roofs: tuple[tuple[shapely.Polygon, tuple[float, float, float, float]], ...] = field(init=False, compare=False)
    _scale: float = field(init=False, default=1.0)
    _to_px: tuple[Points, Points] = field(init=False, compare=False, default=(np.ones(2), np.zeros(2)))

    def __post_init__(self) -> None:
        scale, _, left, _, _, top = self.view.transform
        shapes = tuple(roof.shape for roof in self.site.of(Roof))
        roofs = tuple(zip(shapes, map(tuple, shapely.bounds(shapes).tolist()), strict=True)) if shapes else ()
        object.__setattr__(self, "roofs", roofs)
        object.__setattr__(self, "_scale", scale)
        object.__setattr__(self, "_to_px", (np.array((scale, -scale)), np.array((left, top))))

    @property
    def px_per_m(self) -> float:
        """How many px a metre takes."""
        return self._scale

    @property
    def offset(self) -> Points:
        """What is added to points at the scale to put them in their place, px; float64 (2,)."""
        return self._to_px[1]

    def px(self, points: ArrayLike) -> Points:
        """Points of the map (..., 2), m, in px."""
        factor, offset = self._to_px
        moved: Points = np.asarray(points, dtype=np.float64) * factor + offset
        return moved

    def spot(self, point: shapely.Point) -> Points:
        """A point of the map in px; float64 (2,)."""
        return self.px(points_of(point)[0])

    def line(self, shape: BaseGeometry) -> Points:
        """All points of a shape in px, in their order."""
        return self.px(points_of(shape))

    def rings(self, shape: BaseGeometry) -> list[Points]:
        """Rings of a polygon in px, without the repeated last point."""
        return [self.px(ring) for ring in rings(shape)]

    def outline(self, shape: BaseGeometry) -> tuple[Subpath, ...]:
        """A polygon in px."""
        return tuple(Subpath(ring, closed=True) for ring in self.rings(shape))

    def runs(self, shape: BaseGeometry) -> tuple[Subpath, ...]:
        """A line, or several, in px."""
        return tuple(Subpath(self.px(points)) for points in lines(shape))

    def is_near(self, thing_id: str) -> bool:
        """Whether small signs are drawn in full."""
        return self._scale >= FROM_NEAR_PX_PER_M or thing_id in self.near


def under(pen: Pen) -> Pen:
    """The paper casing of a line that carries water: 1.5 px wider on each side."""
    return Pen("paper", pen.width_px + 3.0, cap=pen.cap, join=pen.join)
