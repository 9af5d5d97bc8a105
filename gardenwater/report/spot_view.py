"""Two proposed spots side by side, from the side: feed, tank on its stand, and the level that the beds need."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from gardenwater.assess import ProposedTank, StandAnswer
from gardenwater.assess.stand_edit import serving_height_m
from gardenwater.report.drawing import Align, Fill, Group, Mark, Measure, Pen, Rect, Shape, Text, TextStyle
from gardenwater.report.paths import box, circle, run
from gardenwater.report.styles import CASING
from gardenwater.units import Quantity, UnitSystem, text

_WORD, _FIRM = TextStyle(12.0), TextStyle(12.0, semibold=True)
_HEAD_PX, _FOOT_PX, _UNDER_PX = 26.0, 22.0, 14.0
_LEAST_STAND_M = 0.005
_LEAST_SPREAD_M = 1.0
_EDGE = Pen("rule", 1.0)


@dataclass(frozen=True, slots=True)
class _Frame:
    """One spot's part of the picture, and the common scale of levels."""

    area: Rect
    low_m: float
    px_per_m: float

    def y(self, level_m: float) -> float:
        return self.area.bottom - _FOOT_PX - _UNDER_PX - (level_m - self.low_m) * self.px_per_m


def spot_view(
    answer: StandAnswer,
    shown: Sequence[ProposedTank],
    *,
    width_px: float,
    height_px: float,
    units: UnitSystem,
    name_of: Callable[[str], str],
    measure: Measure,
    factor: float = 1.0,
) -> list[Mark]:
    """The spots side by side at one scale of levels, `width_px` by `height_px`; nothing without a spot.

    The tank is drawn with the water that is left when the asked share has been drawn: it stands at or over the level
    that the hardest of the beds needs. factor: the user's text size.
    """
    if not shown:
        return []
    levels = [level for each in shown for level in _levels(answer, each)]
    low, high = min(levels), max(levels)
    wide = width_px / len(shown)
    room = height_px - (_HEAD_PX + _FOOT_PX) * factor - _UNDER_PX
    scale = room / max(high - low, _LEAST_SPREAD_M)
    marks: list[Mark] = [Shape((Rect(0, 0, width_px, height_px).outline(),), Fill("paper"))]
    for number, each in enumerate(shown):
        area = Rect(number * wide, 0.0, wide, height_px)
        frame = _Frame(area, low, scale)
        marks.append(Group(tuple(_spot(answer, each, frame, units, name_of, measure, factor)), (area.outline(),)))
        if number:
            marks.append(Shape((run([(area.x, 0), (area.x, height_px)]),), pen=_EDGE))
    return [*marks, Shape((Rect(0.5, 0.5, width_px - 1, height_px - 1).outline(),), pen=_EDGE)]


def _base_m(answer: StandAnswer, proposed: ProposedTank) -> float:
    cell = answer.map.ground.cell_at(*proposed.spot.at)
    return math.nan if cell is None else float(answer.map.base_m[cell])


def _levels(answer: StandAnswer, proposed: ProposedTank) -> list[float]:
    base = _base_m(answer, proposed)
    top = base + proposed.stand_m + proposed.tank.depth_m
    return [base, top, proposed.spot.feed_level_m, proposed.needed_level_m]


def _spot(
    answer: StandAnswer,
    proposed: ProposedTank,
    frame: _Frame,
    units: UnitSystem,
    name_of: Callable[[str], str],
    measure: Measure,
    factor: float,
) -> list[Mark]:
    area, tank = frame.area, proposed.tank
    base, floor = _base_m(answer, proposed), _base_m(answer, proposed) + proposed.stand_m
    ground, pipe = frame.y(base), area.x + 0.12 * area.width
    left, right = area.x + 0.34 * area.width, area.x + 0.58 * area.width
    water = floor + serving_height_m(tank, answer.ask.share)
    marks = _ground(frame, ground)
    marks += _feed(frame, proposed, pipe, (left, floor + tank.inlet_height_m), ground)
    marks += _tank(frame, proposed, (left, right), (floor, water, ground))
    marks += _needed(frame, proposed, right)
    word, firm = _WORD.scaled(factor), _FIRM.scaled(factor)
    feed_y, need_y = frame.y(proposed.spot.feed_level_m), frame.y(proposed.needed_level_m)
    stand = "no stand" if proposed.stand_m < _LEAST_STAND_M else f"stand {_height(proposed.stand_m, units)}"
    bed = name_of(proposed.hardest)
    edge = area.right - 8.0
    marks += [
        Text(area.x + area.width / 2, 17.0 * factor, proposed.name, firm, "mark_over", Align.MIDDLE, CASING),
        Text(edge, feed_y - 4.0, "feed", word, "roof_line", Align.RIGHT, CASING),
        Text(edge, need_y - 4.0, "needed level", word, "water", Align.RIGHT, CASING),
    ]
    base_y = area.bottom - 7.0
    foot, half = area.right - 4.0, measure(stand, word)[0] / 2
    middle = max(min((left + right) / 2, foot - measure(bed, firm)[0] - 10.0 - half), area.x + half + 4.0)
    marks.append(Text(middle, base_y, stand, word, "ink_soft", Align.MIDDLE))
    marks.append(Text(foot, base_y, bed, firm, "leaf", Align.RIGHT))
    return marks


def _height(value_m: float, units: UnitSystem) -> str:
    return text(value_m, Quantity.HEIGHT_M, units)


def _ground(frame: _Frame, ground: float) -> list[Mark]:
    area = frame.area
    top = [(area.x, ground), (area.right, ground)]
    under = run([*top, (area.right, area.bottom), (area.x, area.bottom)], closed=True)
    return [Shape((under,), Fill("path_fill")), Shape((run(top),), pen=Pen("ink", 1.3))]


def _feed(frame: _Frame, proposed: ProposedTank, pipe: float, inlet: tuple[float, float], ground: float) -> list[Mark]:
    """Wall and pipe, the diverter, and its feeder to the inlet."""
    diverter, at_inlet = frame.y(proposed.spot.feed_level_m), frame.y(inlet[1])
    wall = Rect(frame.area.x, diverter - 14.0, pipe - 6.0 - frame.area.x, ground - diverter + 14.0)
    way = run([(pipe, diverter), (inlet[0] - 8.0, at_inlet), (inlet[0] + 4.0, at_inlet)])
    level = run([(pipe, diverter), (frame.area.right - 6.0, diverter)])
    return [
        Shape((wall.outline(),), Fill("building_fill"), Pen("ink", 0.9)),
        Shape((run([(pipe, diverter - 14.0), (pipe, ground)]),), pen=Pen("roof_line", 2.2)),
        Shape((level,), pen=Pen("roof_line", 1.2, dash=(5.0, 4.0))),
        Shape((way,), pen=Pen("mark_over", 1.8, dash=(5.0, 3.0))),
        Shape((box(pipe, diverter, 9, 9),), Fill("roof_line")),
    ]


def _tank(
    frame: _Frame,
    proposed: ProposedTank,
    across: tuple[float, float],
    heights: tuple[float, float, float],
) -> list[Mark]:
    """The tank as proposed, with the water that is left, on its stand. heights: floor, water (m), ground (px)."""
    (left, right), (floor, water, ground) = across, heights
    top, bottom = frame.y(floor + proposed.tank.depth_m), frame.y(floor)
    shell = Rect(left, top, right - left, bottom - top)
    wet = Rect(left, frame.y(water), right - left, bottom - frame.y(water))
    marks: list[Mark] = [
        Shape((shell.outline(),), Fill("mark_wash")),
        Shape((wet.outline(),), Fill("tank_fill")),
        Shape((shell.outline(),), pen=Pen("mark_over", 1.8, dash=(4.0, 2.4))),
    ]
    if ground - bottom > 1.0:
        stand = Rect(left - 3.0, bottom, right - left + 6.0, ground - bottom)
        marks.insert(0, Shape((stand.outline(),), Fill("slip"), Pen("ink", 0.9)))
    return marks


def _needed(frame: _Frame, proposed: ProposedTank, right: float) -> list[Mark]:
    """The needed level, across the tank to the bed's spot."""
    y = frame.y(proposed.needed_level_m)
    end = frame.area.right - 12.0
    return [
        Shape((run([(right - 22.0, y), (frame.area.right - 6.0, y)]),), pen=Pen("water", 1.2, dash=(4.0, 3.0))),
        Shape((circle(end, y + 8.0, 3.2),), Fill("paper"), Pen("water", 1.75)),
    ]
