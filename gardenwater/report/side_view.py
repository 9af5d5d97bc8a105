"""The side view of a tank: its chain of levels, to scale in height and not in length, with its words in a column."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.report.drawing import Align, Fill, Mark, Measure, Pen, Rect, Shape, Strokes, Subpath, Text, TextStyle
from gardenwater.report.paths import box, run
from gardenwater.units import Quantity, UnitSystem, text

_WORDS = TextStyle(11.5)
_LINE_PX, _COLUMN_PX, _EDGE_PX = 15.0, 118.0, 12.0
_THIN = Pen("ink_soft", 0.8, dash=(3.0, 2.4))
_LEAD = Pen("ink_soft", 0.8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Where the line ends: whose spot, the level there with the lift, the head that is left (negative: missing)."""

    name: str
    level_m: float
    spare_head_m: float


@dataclass(frozen=True, slots=True)
class _Level:
    """One level with its words. broken: the gap (m) to what should lie over it, 0 when all is in order."""

    name: str
    level_m: float
    role: str
    x: float
    broken: float = 0.0


class _Scale:
    """Levels to px."""

    def __init__(self, levels: list[float], area: Rect) -> None:
        known = [level for level in levels if math.isfinite(level)]
        self.low, self.high = min(known), max(known)
        spread = max(self.high - self.low, 0.5)
        self._top, self._per_m = area.y + 14.0, (area.height - 44.0) / spread
        self._base = self.low + spread

    def y(self, level_m: float) -> float:
        """Height of a level, px."""
        return self._top + (self._base - level_m) * self._per_m


def side_view(
    chain: TankChain,
    delivery: Delivery | None,
    *,
    width_px: float,
    height_px: float,
    units: UnitSystem,
    measure: Measure,
    factor: float = 1.0,
) -> list[Mark]:
    """The side view as a drawing list of its own, `width_px` by `height_px`; empty where the ground has no level.

    The first feed is shown. A level that lies over the one it should lie under is drawn in the colour of what fails,
    with its gap.
    """
    if not math.isfinite(chain.ground_level_m):
        return []
    feed = chain.feeds[0] if chain.feeds else None
    column = _COLUMN_PX * factor
    area = Rect(0.0, 0.0, width_px - column, height_px)
    scale = _Scale(_all_levels(chain, feed, delivery), area)
    x = _Places(area.width)
    marks: list[Mark] = [Shape((box(0, 0, width_px, height_px),), fill=Fill("paper"))]
    marks += _ground(chain, delivery, scale, area, x)
    if feed is not None and math.isfinite(feed.diverter_level_m):
        marks += _feed(chain, feed, scale, x)
    marks += _tank(chain, scale, x)
    if delivery is not None and math.isfinite(delivery.level_m):
        marks += _line(chain, delivery, scale, x)
    marks += _words(_levels(chain, feed, delivery, x), scale, area, width_px, units, measure, factor)
    frame = Pen("rule", 1.0)
    marks.append(Shape((box(0.5, 0.5, width_px - 1, height_px - 1),), pen=frame))
    return marks


class _Places:
    """Where things stand from left to right; not to scale."""

    def __init__(self, width: float) -> None:
        self.wall = 0.0
        self.wall_end = width * 0.11
        self.pipe = width * 0.155
        self.tank = width * 0.36
        self.tank_end = width * 0.60
        self.spot = width * 0.93


def _all_levels(chain: TankChain, feed: Feed | None, delivery: Delivery | None) -> list[float]:
    levels = [chain.ground_level_m, chain.overflow_level_m, chain.inlet_level_m, chain.outlet_level_m]
    if feed is not None:
        levels += [feed.eaves_level_m, feed.diverter_level_m]
    return levels + ([delivery.level_m] if delivery is not None else [])


def _levels(chain: TankChain, feed: Feed | None, delivery: Delivery | None, x: _Places) -> list[_Level]:
    """The words of the column, from the top of the chain."""
    levels = []
    if feed is not None:
        over_inlet = max(-feed.fall_m, 0.0) if math.isfinite(feed.fall_m) else 0.0
        levels.append(_Level("eaves", feed.eaves_level_m, "roof_line", x.pipe + 4))
        levels.append(_Level("diverter", feed.diverter_level_m, "roof_line", x.pipe + 6, over_inlet))
    levels += [
        _Level("inlet", chain.inlet_level_m, "ink", x.tank_end),
        _Level("overflow", chain.overflow_level_m, "spill", x.tank_end + 10),
        _Level("water", chain.water_level_m, "water", x.tank_end),
        _Level("outlet", chain.outlet_level_m, "water", x.tank_end),
    ]
    if delivery is not None:
        levels.append(_Level(delivery.name, delivery.level_m, "leaf", x.spot))
    return [level for level in levels if math.isfinite(level.level_m)]


def _ground(chain: TankChain, delivery: Delivery | None, scale: _Scale, area: Rect, x: _Places) -> list[Mark]:
    here = scale.y(chain.ground_level_m)
    there = here if delivery is None or not math.isfinite(delivery.level_m) else scale.y(delivery.level_m)
    there = min(max(there, 4.0), area.height - 6.0)
    top = [(0.0, here), (x.tank_end + 8, here), (x.spot - 6, there), (area.width, there)]
    ground = Shape((run([*top, (area.width, area.height), (0.0, area.height)], closed=True),), fill=Fill("path_fill"))
    along = np.arange(10.0, area.width, 22.0)
    ys = np.interp(along, [p[0] for p in top], [p[1] for p in top])
    ticks = np.stack((np.column_stack((along, ys + 2)), np.column_stack((along - 6, ys + 9))), axis=1)
    return [ground, Strokes(ticks, Pen("ink_soft", 0.7)), Shape((run(top),), pen=Pen("ink", 1.4))]


def _feed(chain: TankChain, feed: Feed, scale: _Scale, x: _Places) -> list[Mark]:
    """Wall, eaves, pipe, diverter, and the feeder to the inlet."""
    foot, diverter, inlet = scale.y(chain.ground_level_m), scale.y(feed.diverter_level_m), scale.y(chain.inlet_level_m)
    eaves = scale.y(feed.eaves_level_m) if math.isfinite(feed.eaves_level_m) else diverter - 20
    broken = math.isfinite(feed.fall_m) and feed.fall_m < 0
    role = "fails" if broken else "water"
    wall = Shape(
        (box(x.wall, eaves + 6, x.wall_end, foot - eaves - 6),), fill=Fill("building_fill"), pen=Pen("ink", 1.0)
    )
    roof = Shape(
        (run([(0.0, eaves - 12), (x.pipe + 3, eaves - 1), (x.pipe + 3, eaves + 4)]),), pen=Pen("roof_line", 2.0)
    )
    pipe = Shape((run([(x.pipe, eaves), (x.pipe, foot - 2)]),), pen=Pen("roof_line", 2.4))
    square = Shape((box(x.pipe - 4, diverter - 4, 8, 8),), fill=Fill("roof_line"))
    way = [(x.pipe + 4, diverter), (x.tank + 8, inlet - 2), (x.tank + 8, inlet + 5)]
    dash = (4.0, 3.0) if broken else ()
    return [wall, roof, pipe, Shape((run(way),), pen=Pen(role, 2.2, dash=dash), casing=Pen("paper", 5.0)), square]


def _tank(chain: TankChain, scale: _Scale, x: _Places) -> list[Mark]:
    ground, floor = scale.y(chain.ground_level_m), scale.y(chain.floor_level_m)
    rim = min(scale.y(chain.inlet_level_m), scale.y(chain.overflow_level_m)) - 4
    water, over = scale.y(chain.water_level_m), scale.y(chain.overflow_level_m)
    width = x.tank_end - x.tank
    marks: list[Mark] = []
    if ground - floor > 1:
        stand = box(x.tank - 3, floor, width + 6, ground - floor)
        marks.append(Shape((stand,), fill=Fill("building_fill"), pen=Pen("ink", 1.0)))
    marks.append(Shape((box(x.tank, rim, width, floor - rim),), fill=Fill("well")))
    marks.append(Shape((box(x.tank, water, width, floor - water),), fill=Fill("tank_fill")))
    marks.append(Shape((run([(x.tank, water), (x.tank_end, water)]),), pen=Pen("water", 1.0)))
    marks.append(Shape((box(x.tank, rim, width, floor - rim),), pen=Pen("water", 2.0)))
    elbow = [(x.tank_end, over), (x.tank_end + 9, over), (x.tank_end + 9, over + 9)]
    marks.append(Shape((run(elbow),), pen=Pen("spill", 2.0)))
    return marks


def _line(chain: TankChain, delivery: Delivery, scale: _Scale, x: _Places) -> list[Mark]:
    """The watering line, the falling grade line, and the head that is left over the spot."""
    outlet, spot = scale.y(chain.outlet_level_m), scale.y(delivery.level_m)
    ground = scale.y(chain.ground_level_m)
    way = [(x.tank_end, outlet), (x.tank_end + 5, outlet), (x.tank_end + 12, ground - 2), (x.spot, spot)]
    marks: list[Mark] = [Shape((run(way),), pen=Pen("water", 2.0), casing=Pen("paper", 5.0))]
    if math.isfinite(delivery.spare_head_m):
        end = scale.y(delivery.level_m + delivery.spare_head_m)
        role = "mark" if delivery.spare_head_m >= 0 else "fails"
        grade = run([(x.tank_end, scale.y(chain.water_level_m)), (x.spot, end)])
        marks.append(Shape((grade,), pen=Pen("water", 1.0, dash=(4.0, 3.0))))
        marks.append(Shape((run([(x.spot, spot), (x.spot, end)]),), pen=Pen(role, 1.8)))
    ring = np.linspace(0, 2 * math.pi, 25)[:-1]
    outline = Subpath(np.column_stack((x.spot + 3.6 * np.cos(ring), spot + 3.6 * np.sin(ring))), closed=True)
    marks.append(Shape((outline,), fill=Fill("paper"), pen=Pen("water", 1.6)))
    return marks


def _spread(wanted: list[float], least_px: float, top: float, bottom: float) -> list[float]:
    """Places at least so far apart, each as near as can be to where it is wanted; the order is kept."""
    placed: list[float] = []
    for y in wanted:
        placed.append(max(y, placed[-1] + least_px) if placed else max(y, top))
    over = placed[-1] - bottom if placed else 0.0
    if over > 0:
        placed[-1] = bottom
        for place in range(len(placed) - 2, -1, -1):
            placed[place] = min(placed[place], placed[place + 1] - least_px)
    return placed


def _words(
    levels: list[_Level],
    scale: _Scale,
    area: Rect,
    width_px: float,
    units: UnitSystem,
    measure: Measure,
    factor: float,
) -> list[Mark]:
    """The column at the right: each level's word and number, led by a dashed line from its height."""
    style = _WORDS.scaled(factor)
    ordered = sorted(levels, key=lambda level: -level.level_m)
    at = _spread([scale.y(level.level_m) for level in ordered], _LINE_PX * factor, 12.0, area.height - 8.0)
    marks: list[Mark] = [Shape((box(area.width, 0, width_px - area.width, area.height),), fill=Fill("slip"))]
    marks.append(Shape((run([(area.width, 0), (area.width, area.height)]),), pen=Pen("rule", 0.8)))
    for level, y in zip(ordered, at, strict=True):
        role = "fails" if level.broken else level.role
        height = scale.y(level.level_m)
        marks.append(Shape((run([(level.x, height), (area.width, height)]),), pen=replace(_THIN, role=role)))
        marks.append(Shape((run([(area.width, height), (area.width + 9, y)]),), pen=_LEAD))
        shown = text(level.level_m, Quantity.LEVEL_M, units, unit=False)
        room = width_px - area.width - 16 - measure(shown, style)[0] - 10
        marks.append(Text(area.width + 12, y + 4, _cut(level.name, room, style, measure), style, role))
        marks.append(Text(width_px - 7, y + 4, shown, style, role, align=Align.RIGHT))
        if level.broken:
            gap = f"{text(level.broken, Quantity.HEIGHT_M, units)} short"
            marks.append(Text(level.x + 8, height - 5, gap, style, "fails", casing=Pen("paper", 3.0)))
    return marks


def _cut(words: str, room_px: float, style: TextStyle, measure: Measure) -> str:
    """Words that fit, with dots where they are cut."""
    if measure(words, style)[0] <= room_px:
        return words
    while words and measure(words + "…", style)[0] > room_px:
        words = words[:-1]
    return words.rstrip() + "…"
