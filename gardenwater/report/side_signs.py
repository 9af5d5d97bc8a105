"""What stands in a side view: ground, wall, roof, pipe, diverter, feeder, tank, line, and the head that is left."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.report.drawing import Align, Cap, Fill, Join, Mark, Pen, Rect, Shape, Strokes, Text, TextStyle
from gardenwater.report.paths import box, circle, run
from gardenwater.report.styles import CASING

_HEADROOM_PX, _GROUND_PX = 30.0, 34.0
_LEAST_SPREAD_M = 0.5
_HACHURE_EACH_PX = 25.0
_WALL = Pen("ink", 0.9, join=Join.MITRE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Where the line ends: whose spot, the level there with the lift, the head that is left (negative: missing)."""

    name: str
    level_m: float
    spare_head_m: float


@dataclass(frozen=True, slots=True)
class Scene:
    """Where things stand in the picture, px; to scale in height only.

    wall, pipe, tank, tank_end, spot: from left to right. base_y: of `base_m`, and px_per_m upwards from there.
    """

    area: Rect
    base_m: float
    base_y: float
    px_per_m: float
    wall: float
    pipe: float
    tank: float
    tank_end: float
    spot: float

    def y(self, level_m: float) -> float:
        """Height of a level, px."""
        return self.base_y - (level_m - self.base_m) * self.px_per_m


def scene_of(chain: TankChain, feed: Feed | None, delivery: Delivery | None, area: Rect) -> Scene:
    """The scale that shows all levels, with room for the roof above and the ground below."""
    levels = [chain.ground_level_m, chain.overflow_level_m, chain.inlet_level_m, chain.outlet_level_m]
    if feed is not None:
        levels += [feed.eaves_level_m, feed.diverter_level_m]
    if delivery is not None:
        levels += [delivery.level_m, delivery.level_m + delivery.spare_head_m]
    known = [level for level in levels if math.isfinite(level)]
    low = min(known)
    spread = max(max(known) - low, _LEAST_SPREAD_M)
    shares = (0.13, 0.185, 0.46, 0.82) if delivery is None else (0.1, 0.15, 0.33, 0.55)
    wall, pipe, tank, tank_end = (area.x + share * area.width for share in shares)
    per_m = (area.height - _HEADROOM_PX - _GROUND_PX) / spread
    return Scene(area, low, area.bottom - _GROUND_PX, per_m, wall, pipe, tank, tank_end, area.x + 0.92 * area.width)


def ground_marks(chain: TankChain, delivery: Delivery | None, scene: Scene) -> list[Mark]:
    """The ground from the wall to the spot, with strokes below its line."""
    area = scene.area
    first, last = _way_over_ground(chain, delivery, scene)
    top = [(area.x, first[1]), first, last, (area.right, last[1])]
    along = np.arange(area.x + 12.0, area.right - 2.0, _HACHURE_EACH_PX)
    level = np.interp(along, [point[0] for point in top], [point[1] for point in top])
    strokes = np.stack((np.column_stack((along, level + 2.5)), np.column_stack((along - 7.0, level + 10.0))), axis=1)
    return [
        Shape((run([*top, (area.right, area.bottom), (area.x, area.bottom)], closed=True),), Fill("path_fill")),
        Strokes(strokes, Pen("ink_soft", 0.8)),
        Shape((run(top),), pen=Pen("ink", 1.4)),
    ]


def _way_over_ground(
    chain: TankChain, delivery: Delivery | None, scene: Scene
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the ground leaves the tank, and where it comes to the spot; level where there is no spot."""
    here = scene.y(chain.ground_level_m)
    there = here if delivery is None else scene.y(delivery.level_m) + 4.0
    return (scene.tank_end + 10, here), (scene.spot - 14, there)


def feed_marks(chain: TankChain, feed: Feed, scene: Scene) -> list[Mark]:
    """Wall, roof and gutter, the pipe, the diverter and its feeder; broken where it would have to climb."""
    foot, diverter = scene.y(chain.ground_level_m), scene.y(feed.diverter_level_m)
    eaves = scene.y(feed.eaves_level_m) if math.isfinite(feed.eaves_level_m) else diverter - 18.0
    left, pipe = scene.area.x, scene.pipe
    wall = run([(left, eaves - 4), (scene.wall, eaves - 4), (scene.wall, foot), (left, foot)], closed=True)
    slope = run([(left, eaves - 22), (pipe, eaves - 4), (pipe, eaves + 1), (left, eaves - 17)], closed=True)
    gutter = run([(pipe - 5, eaves - 2), (pipe - 5, eaves + 4), (pipe + 5, eaves + 4), (pipe + 5, eaves - 2)])
    line = Pen("roof_line", 1.3, join=Join.MITRE)
    marks: list[Mark] = [
        Shape((wall,), Fill("building_fill"), _WALL),
        Shape((run([(pipe, eaves + 4), (pipe, foot)]),), pen=Pen("roof_line", 2.4)),
        Shape((slope,), Fill("roof_fill"), line),
        Shape((gutter,), Fill("paper"), line),
    ]
    return [*marks, *_feeder(chain, feed, scene), Shape((box(pipe, diverter, 9, 9),), Fill("roof_line"))]


def _feeder(chain: TankChain, feed: Feed, scene: Scene) -> list[Mark]:
    start, inlet = scene.y(feed.diverter_level_m), scene.y(chain.inlet_level_m)
    way = run([(scene.pipe + 4, start), (scene.tank - 14, inlet), (scene.tank + 7, inlet), (scene.tank + 7, inlet + 6)])
    climbs = math.isfinite(feed.fall_m) and feed.fall_m < 0
    pen = Pen("fails", 2.2, dash=(5.0, 3.0)) if climbs else Pen("water", 2.6, cap=Cap.ROUND)
    return [Shape((way,), pen=pen, casing=Pen("paper", 5.0))]


def tank_marks(chain: TankChain, scene: Scene) -> list[Mark]:
    """The tank on its stand, its water, its overflow and its outlet."""
    ground, floor = scene.y(chain.ground_level_m), scene.y(chain.floor_level_m)
    over, water, outlet = (
        scene.y(level) for level in (chain.overflow_level_m, chain.water_level_m, chain.outlet_level_m)
    )
    rim = min(scene.y(chain.inlet_level_m), over) - 5.0
    left, width = scene.tank, scene.tank_end - scene.tank
    shell = (Rect(left, rim, width, floor - rim).outline(),)
    marks: list[Mark] = []
    if ground - floor > 1:
        marks.append(Shape((Rect(left - 3, floor, width + 6, ground - floor).outline(),), Fill("slip"), _WALL))
    marks += [
        Shape(shell, Fill("paper")),
        Shape((Rect(left, water, width, floor - water).outline(),), Fill("tank_fill")),
        Shape((run([(left, water), (left + width, water)]),), pen=Pen("water", 1.0)),
        Shape(shell, pen=Pen("water", 2.0, join=Join.MITRE)),
        Shape((run([(left - 2, rim), (left + width + 2, rim)]),), pen=Pen("water", 3.0)),
    ]
    elbow = run([(left + width, over), (left + width + 9, over), (left + width + 9, over + 9)])
    mouth = run([(left + width, outlet), (left + width + 8, outlet)])
    return [*marks, Shape((elbow,), pen=Pen("spill", 2.2)), Shape((mouth,), pen=Pen("water", 2.2))]


def line_marks(chain: TankChain, delivery: Delivery, scene: Scene, words: str, style: TextStyle) -> list[Mark]:
    """The watering line, the grade line that falls from the water, and the head that is left over the spot."""
    outlet, spot = scene.y(chain.outlet_level_m), scene.y(delivery.level_m)
    (first_x, first_y), (last_x, last_y) = _way_over_ground(chain, delivery, scene)
    lies = [(first_x + share * (last_x - first_x), first_y + share * (last_y - first_y) - 1.5) for share in (0.25, 1.0)]
    way = [(scene.tank_end + 8, outlet), (scene.tank_end + 15, outlet + 2), *lies, (scene.spot, spot)]
    marks: list[Mark] = [Shape((run(way),), pen=Pen("water", 2.0, cap=Cap.ROUND), casing=Pen("paper", 4.4))]
    if math.isfinite(delivery.spare_head_m):
        role = "mark" if delivery.spare_head_m >= 0 else "fails"
        end = scene.y(delivery.level_m + delivery.spare_head_m)
        grade = run([(scene.tank_end, scene.y(chain.water_level_m)), (scene.spot + 4, end)])
        marks.append(Shape((grade,), pen=Pen("water", 1.2, dash=(4.0, 3.0))))
        marks.append(Shape((run([(scene.spot, spot), (scene.spot, end)]),), pen=Pen(role, 2.0)))
        marks.append(Text(scene.spot - 6, (spot + end) / 2 + 4, words, style, role, Align.RIGHT, CASING))
    ring = Pen("water", 1.75)
    marks.append(Shape((circle(scene.spot, spot, 3.4),), Fill("paper"), ring, casing=Pen("paper", 4.75)))
    return marks
