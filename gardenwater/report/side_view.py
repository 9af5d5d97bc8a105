"""The side view of a tank: its chain of levels, to scale in height and not in length, with its words in a column."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.report.drawing import Align, Fill, Group, Mark, Measure, Pen, Rect, Shape, Text, TextStyle
from gardenwater.report.paths import run
from gardenwater.report.side_signs import (
    Delivery,
    Scene,
    feed_marks,
    ground_marks,
    line_marks,
    scene_of,
    tank_marks,
)
from gardenwater.report.styles import CASING
from gardenwater.units import Quantity, UnitSystem, text

_WORD = TextStyle(12.0)
_FIRM = TextStyle(12.0, semibold=True)
_ROW_PX, _EDGE_PX = 15.5, 11.0
_LEAD_PX = 10.0
_LEAST_STAND_M = 0.005
_DASHED = Pen("rule", 0.9, dash=(4.0, 3.0))
_LEAD = Pen("rule", 0.9)


@dataclass(frozen=True, slots=True)
class _Level:
    """One level with its words. x: where it stands in the picture. short_m: by how much it is too high for its feed."""

    name: str
    level_m: float
    role: str
    x: float
    short_m: float = 0.0


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

    The first feed is shown. Where the chain is broken, because a level lies over the one that it should be fed from,
    its link and its words are in the colour of what fails, with the gap. Drops from level to level are written between
    the words where the height leaves room for them. factor: the user's text size.
    """
    staged = _staged(chain, delivery, width_px, height_px, units, measure, factor)
    if staged is None:
        return []
    scene, feed, at_spot = staged
    area = scene.area
    levels = _levels(chain, feed, scene)
    marks = [*ground_marks(chain, at_spot, scene), *_dashes(levels, scene)]
    if feed is not None:
        marks += feed_marks(chain, feed, scene)
    marks += tank_marks(chain, scene)
    if at_spot is not None:
        marks += line_marks(chain, at_spot, scene, _spare_words(at_spot, units), _FIRM.scaled(factor))
    marks += _names(chain, at_spot, scene, units, measure, factor)
    marks += _gaps(levels, scene, units, measure, factor)
    return [
        Shape((Rect(0, 0, width_px, height_px).outline(),), Fill("paper")),
        Group(tuple(marks), (area.outline(),)),
        *_column(levels, scene, width_px, units, factor),
        Shape((Rect(0.5, 0.5, width_px - 1, height_px - 1).outline(),), pen=Pen("rule", 1.0)),
    ]


def _staged(
    chain: TankChain,
    delivery: Delivery | None,
    width_px: float,
    height_px: float,
    units: UnitSystem,
    measure: Measure,
    factor: float,
) -> tuple[Scene, Feed | None, Delivery | None] | None:
    """Where things stand, the feed and the delivery that are shown; None where the ground has no level."""
    if not math.isfinite(chain.ground_level_m):
        return None
    feed = chain.feeds[0] if chain.feeds else None
    if feed is not None and not math.isfinite(feed.diverter_level_m):
        feed = None
    at_spot = delivery if delivery is not None and math.isfinite(delivery.level_m) else None
    area = Rect(0.0, 0.0, width_px - _column_width(chain, units, measure, factor), height_px)
    return scene_of(chain, feed, at_spot, area), feed, at_spot


@dataclass(frozen=True, slots=True)
class LevelGrip:
    """Where a level can be taken hold of: at its line in the picture (y), and at its words in the column (row_y), px.

    name: as in the column, or "stand". from_x: where its line begins. px_per_m: how far a metre is upwards.
    """

    name: str
    y: float
    row_y: float
    from_x: float
    column_x: float
    px_per_m: float


def level_grips(
    chain: TankChain,
    delivery: Delivery | None,
    *,
    width_px: float,
    height_px: float,
    units: UnitSystem,
    measure: Measure,
    factor: float = 1.0,
) -> tuple[LevelGrip, ...]:
    """What of the side view can be dragged, for a picture of this size: each level, and the top of the stand."""
    staged = _staged(chain, delivery, width_px, height_px, units, measure, factor)
    if staged is None:
        return ()
    scene, feed, _ = staged
    ordered = sorted(_levels(chain, feed, scene), key=lambda level: -level.level_m)
    wanted = [scene.y(level.level_m) for level in ordered]
    rows, column = _rows(ordered, wanted, scene, factor), scene.area.right
    grips = [
        LevelGrip(level.name, y, row, level.x, column, scene.px_per_m)
        for level, y, row in zip(ordered, wanted, rows, strict=True)
    ]
    floor = scene.y(chain.floor_level_m)
    return (*grips, LevelGrip("stand", floor, floor, scene.tank - 6.0, scene.tank_end, scene.px_per_m))


def _spare_words(delivery: Delivery, units: UnitSystem) -> str:
    head = text(abs(delivery.spare_head_m), Quantity.HEIGHT_M, units)
    return f"spare {head}" if delivery.spare_head_m >= 0 else f"{head} missing"


def _levels(chain: TankChain, feed: Feed | None, scene: Scene) -> list[_Level]:
    """The levels of the column, from the top of the chain down."""
    levels: list[_Level] = []
    climb_m = 0.0
    if feed is not None:
        over_eaves = feed.diverter_level_m - feed.eaves_level_m
        climb_m = max(-feed.fall_m, 0.0) if math.isfinite(feed.fall_m) else 0.0
        levels.append(_Level("eaves", feed.eaves_level_m, "ink_soft", scene.pipe + 6))
        short_m = max(over_eaves, 0.0) if math.isfinite(over_eaves) else 0.0
        levels.append(_Level("diverter", feed.diverter_level_m, "roof_line", scene.pipe + 6, short_m))
    levels += [
        _Level("inlet", chain.inlet_level_m, "ink_soft", scene.tank + 10, climb_m),
        _Level("overflow", chain.overflow_level_m, "spill", scene.tank_end + 11),
        _Level("water level", chain.water_level_m, "water", scene.tank_end + 3),
        _Level("outlet", chain.outlet_level_m, "water", scene.tank_end + 9),
    ]
    return [level for level in levels if math.isfinite(level.level_m)]


def _dashes(levels: list[_Level], scene: Scene) -> list[Mark]:
    """From each level a dashed line to the column."""
    lines = tuple(
        run([(level.x, scene.y(level.level_m)), (scene.area.right, scene.y(level.level_m))]) for level in levels
    )
    return [Shape(lines, pen=_DASHED)]


def _names(
    chain: TankChain, delivery: Delivery | None, scene: Scene, units: UnitSystem, measure: Measure, factor: float
) -> list[Mark]:
    """The stand's height below the tank, the bed's name below its spot."""
    base, right = scene.area.bottom - 8.0, scene.area.right - 8.0
    word, firm = _WORD.scaled(factor), _FIRM.scaled(factor)
    stand_m = chain.floor_level_m - chain.ground_level_m
    words = f"stand {text(stand_m, Quantity.HEIGHT_M, units)}" if stand_m > _LEAST_STAND_M else "no stand"
    middle, half = (scene.tank + scene.tank_end) / 2, measure(words, word)[0] / 2
    if delivery is None:
        return [Text(middle, base, words, word, "ink_soft", Align.MIDDLE)]
    free = right - measure(delivery.name, firm)[0] - 10.0
    return [
        Text(min(middle, free - half), base, words, word, "ink_soft", Align.MIDDLE),
        Text(right, base, delivery.name, firm, "leaf", Align.RIGHT),
    ]


def _gaps(levels: list[_Level], scene: Scene, units: UnitSystem, measure: Measure, factor: float) -> list[Mark]:
    """Each break of the chain: a line as high as the gap, with its words."""
    marks: list[Mark] = []
    for above, level in pairwise(levels):
        if level.short_m > 0:
            x, top, bottom = (scene.pipe + scene.tank) / 2, scene.y(level.level_m), scene.y(above.level_m)
            words = f"{text(level.short_m, Quantity.HEIGHT_M, units)} too high"
            marks.append(Shape((run([(x, top), (x, bottom)]),), pen=Pen("fails", 1.8), casing=Pen("paper", 4.8)))
            middle = max(x, scene.area.x + measure(words, _FIRM.scaled(factor))[0] / 2 + 4.0)
            marks.append(Text(middle, min(top, bottom) - 6, words, _FIRM.scaled(factor), "fails", Align.MIDDLE, CASING))
    return marks


def _column_width(chain: TankChain, units: UnitSystem, measure: Measure, factor: float) -> float:
    """Room for the longest word, a level, and the leads."""
    name = measure("water level", _FIRM.scaled(factor))[0]
    number = measure(text(chain.inlet_level_m, Quantity.LEVEL_M, units, unit=False), _FIRM.scaled(factor))[0]
    return name + number + _LEAD_PX + 29.0


def _column(levels: list[_Level], scene: Scene, width_px: float, units: UnitSystem, factor: float) -> list[Mark]:
    """Each level's word and number in a row of its own, led from its height; drops between where there is room."""
    area = scene.area
    ordered = sorted(levels, key=lambda level: -level.level_m)
    with_drops = _has_drops(ordered, scene, factor)
    wanted = [scene.y(level.level_m) for level in ordered]
    at = _rows(ordered, wanted, scene, factor)
    left, right = area.right + _LEAD_PX + 5.0, width_px - 10.0
    marks: list[Mark] = [
        Shape((Rect(area.right, 0, width_px - area.right, area.height).outline(),), Fill("slip")),
        Shape((run([(area.right, 0), (area.right, area.height)]),), pen=Pen("rule", 0.9)),
    ]
    leads = tuple(run([(area.right, y), (area.right + _LEAD_PX, place)]) for y, place in zip(wanted, at, strict=True))
    marks.append(Shape(leads, pen=_LEAD))
    for level, place in zip(ordered, at, strict=True):
        role = "fails" if level.short_m > 0 else level.role
        style = (_FIRM if level.short_m > 0 or level.name == "water level" else _WORD).scaled(factor)
        shown = text(level.level_m, Quantity.LEVEL_M, units, unit=False)
        marks.append(Text(left, place + 4 * factor, level.name, style, role))
        marks.append(Text(right, place + 4 * factor, shown, style, role, Align.RIGHT))
    return marks + (_drops(ordered, at, right, units, factor) if with_drops else [])


def _has_drops(levels: list[_Level], scene: Scene, factor: float) -> bool:
    """Whether the height leaves room for the drops between the words."""
    return (2 * len(levels) - 1) * _ROW_PX * factor <= scene.area.height - 2 * _EDGE_PX


def _rows(levels: list[_Level], wanted: list[float], scene: Scene, factor: float) -> list[float]:
    """Where the words of each level stand in the column."""
    row = _ROW_PX * factor
    step = 2 * row if _has_drops(levels, scene, factor) else row
    return spread(wanted, step, scene.area.y + _EDGE_PX, scene.area.bottom - _EDGE_PX)


def _drops(levels: list[_Level], at: list[float], right: float, units: UnitSystem, factor: float) -> list[Mark]:
    """Between two rows how far the lower level lies below the upper one."""
    return [
        Text(
            right,
            (first + second) / 2 + 4 * factor,
            f"{text(upper.level_m - lower.level_m, Quantity.HEIGHT_M, units)} down",
            _WORD.scaled(factor),
            "ink_soft",
            Align.RIGHT,
        )
        for (upper, lower), (first, second) in zip(pairwise(levels), pairwise(at), strict=True)
    ]


def spread(wanted: list[float], least_px: float, top: float, bottom: float) -> list[float]:
    """Places at least so far apart, in the order given, each near where it is wanted; pressed together where they must.

    Raises nothing: when all do not fit, they stand evenly from top to bottom.
    """
    if not wanted:
        return []
    least = min(least_px, (bottom - top) / max(len(wanted) - 1, 1))
    placed: list[float] = []
    for y in wanted:
        placed.append(max(y, placed[-1] + least) if placed else max(y, top))
    limit = bottom
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], limit)
        limit = placed[index] - least
    return placed


__all__ = ["Delivery", "LevelGrip", "level_grips", "side_view", "spread"]
