"""A small sample of each sign, for the legend of a printed sheet."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from shapely import LineString, Point, Polygon

from gardenwater.findings import Question
from gardenwater.report.drawing import Fill, Group, Mark, Rect, Shape, Subpath
from gardenwater.report.paths import circle
from gardenwater.report.signs import Drafting, Order, marks_of, sign
from gardenwater.report.signs.answers import RouteEnd, pool, route
from gardenwater.report.view import Margins, View
from gardenwater.site.model import Site
from gardenwater.site.things import (
    Bank,
    Bed,
    Boundary,
    Building,
    Ditch,
    Diverter,
    Door,
    Downpipe,
    Earthwork,
    FirstFlush,
    Gutter,
    KeepDry,
    LevelPeg,
    Link,
    Overflow,
    Path,
    Pond,
    RainGarden,
    Roof,
    RoofForm,
    SlopeArrow,
    Soakaway,
    Swale,
    Tank,
    Tap,
    Thing,
    Tree,
    Wall,
    WateringLine,
)

_PX_PER_M = 18.0
_SIZE_PX = 20_000.0
SAMPLE_WIDTH_PX, SAMPLE_HEIGHT_PX = 46.0, 24.0

Spots = Callable[..., list[tuple[float, float]]]
"""From shares of the sample's box (0 to 1, y down) to the map."""


def _things(kind: str, at: Spots) -> tuple[Thing, ...]:
    """What a sample shows."""

    def ground(*shares: tuple[float, float]) -> Polygon:
        return Polygon(at(*shares))

    def way(*shares: tuple[float, float]) -> LineString:
        return LineString(at(*shares))

    def spot(x: float, y: float) -> Point:
        return Point(at((x, y))[0])

    whole = ground((0.04, 0.08), (0.96, 0.08), (0.96, 0.92), (0.04, 0.92))
    middle = ground((0.22, 0.06), (0.78, 0.06), (0.78, 0.94), (0.22, 0.94))
    wave = way((0.0, 0.75), (0.2, 0.66), (0.42, 0.3), (0.62, 0.36), (0.8, 0.62), (1.0, 0.45))
    level = way((0.02, 0.5), (0.35, 0.4), (0.65, 0.58), (0.98, 0.46))
    made: dict[str, Callable[[], tuple[Thing, ...]]] = {
        "roof": lambda: (Roof(id="a", shape=whole, form=RoofForm.HIP),),
        "gutter": lambda: (Gutter(id="a", shape=way((0.0, 0.45), (1.0, 0.45))),),
        "downpipe": lambda: (Downpipe(id="a", shape=spot(0.5, 0.5)),),
        "diverter": lambda: (Diverter(id="a", shape=spot(0.5, 0.5)),),
        "first_flush": lambda: (FirstFlush(id="a", shape=spot(0.5, 0.5)),),
        "tank": lambda: (Tank(id="a", shape=spot(0.5, 0.5), width_m=0.95),),
        "tap": lambda: (Tap(id="a", shape=spot(0.5, 0.72)),),
        "link": lambda: (Link(id="a", shape=way((0.08, 0.5), (0.92, 0.5))),),
        "watering_line": lambda: (WateringLine(id="a", shape=wave),),
        "bed": lambda: (Bed(id="a", shape=whole),),
        "overflow": lambda: (Overflow(id="a", shape=way((0.05, 0.3), (0.5, 0.4), (0.95, 0.7))),),
        "pond": lambda: (Pond(id="a", shape=spot(0.5, 0.5).buffer(0.55)),),
        "soakaway": lambda: (Soakaway(id="a", shape=middle),),
        "rain_garden": lambda: (RainGarden(id="a", shape=spot(0.5, 0.5).buffer(0.55)),),
        "swale": lambda: (Swale(id="a", shape=level, width_m=0.45),),
        "ditch": lambda: (Ditch(id="a", shape=level, width_m=0.6),),
        "bank": lambda: (Bank(id="a", shape=level, width_m=1.0),),
        "earthwork": lambda: (Earthwork(id="a", shape=whole),),
        "building": lambda: (Building(id="a", shape=whole),),
        "door": lambda: (Door(id="a", shape=spot(0.5, 0.25), width_m=0.8),),
        "wall": lambda: (Wall(id="a", shape=way((0.0, 0.65), (0.5, 0.4), (1.0, 0.4)), thickness_m=0.22),),
        "tree": lambda: (Tree(id="a", shape=spot(0.5, 0.5).buffer(0.58)),),
        "path": lambda: (Path(id="a", shape=wave, width_m=0.55),),
        "keep_dry": lambda: (KeepDry(id="a", shape=whole),),
        "boundary": lambda: (Boundary(id="a", shape=whole),),
        "level_peg": lambda: (LevelPeg(id="a", shape=spot(0.5, 0.85)),),
        "slope_arrow": lambda: (SlopeArrow(id="a", shape=way((0.05, 0.25), (0.95, 0.75))),),
    }
    return made[kind]()


def sample(kind: str, left: float, top: float, height_px: float = SAMPLE_HEIGHT_PX) -> list[Mark]:
    """The sample of a kind of thing with its upper left corner at a place, px; almost twice as wide as high."""
    factor = height_px / SAMPLE_HEIGHT_PX
    box, scale = Rect(left, top, SAMPLE_WIDTH_PX * factor, height_px), _PX_PER_M * factor
    view = View(_SIZE_PX / 2 / scale, -_SIZE_PX / 2 / scale, 1.0 / scale, _SIZE_PX, _SIZE_PX, Margins(0, 0, 0, 0))

    def at(*shares: tuple[float, float]) -> list[tuple[float, float]]:
        return [view.to_map(box.x + x * box.width, box.y + y * box.height) for x, y in shares]

    things = _things(kind, at)
    near = frozenset(thing.id for thing in things)
    on = Drafting(
        view=view, site=Site(things=things), question=Question.OVERFLOW, in_print=kind == "boundary", near=near
    )
    drawn = [pair for thing in things for pair in sign(thing, on)]
    if kind == "bed":
        drawn.append((Order.BOUNDARY, Shape(on.outline(things[0].shape), Fill("bed_fill"))))
    return [Group(marks_of(drawn), (box.grown(3.5).outline(),))]


def spill_sample(left: float, top: float, height_px: float = SAMPLE_HEIGHT_PX) -> list[Mark]:
    """The sample of an overflow route that ends in a pool."""
    factor = height_px / SAMPLE_HEIGHT_PX
    way = np.array(((0.0, 5.0), (14.0, 7.0), (26.0, 14.0))) * factor + (left, top)
    shore = circle(SAMPLE_WIDTH_PX - 12.0, SAMPLE_HEIGHT_PX - 8.0, 1.0)
    middle = np.array((SAMPLE_WIDTH_PX - 12.0, SAMPLE_HEIGHT_PX - 8.0))
    oval = ((shore.points - middle) * (10.5, 6.5) + middle) * factor + (left, top)
    ground = Shape((Subpath(oval, closed=True),), Fill("pool_3"))
    return [*route(way, 0.3, RouteEnd.PLAIN), ground, *pool([oval], _PX_PER_M)]
