"""Signs of what catches: roof, gutter, downpipe, diverter, first-flush device."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import shapely

from gardenwater.findings import Question
from gardenwater.report.drawing import Cap, Fill, Mark, Pen, Points, Shape, Strokes
from gardenwater.report.paths import (
    at_lengths,
    box,
    capsule,
    circle,
    each,
    heads,
    lengths,
    parallel,
    run,
)
from gardenwater.report.signs.context import Drafting, GutterFlow, Order, Sign, under
from gardenwater.report.signs.tanks import tank_outline
from gardenwater.site.things import Diverter, Downpipe, FirstFlush, Gutter, Roof, Tank

if TYPE_CHECKING:
    from gardenwater.catch import RoofLines

RIDGE = Pen("roof_line", 1.0, cap=Cap.ROUND)
_EAVES = Pen("roof_line", 1.5)
_RING = Pen("roof_line", 1.75)
_FEEDER = Pen("water", 2.0, cap=Cap.ROUND)
_FEEDER_HEAD = Pen("water", 1.5, cap=Cap.ROUND)

_ARROW_PX = 12.0
_OUT_PX = 4.5
_DIVERTER_PX = 10.0
_MOST_LITRES = 30_000.0


@lru_cache(maxsize=2048)
def lines_of(roof: Roof) -> RoofLines:
    """Ridges, hips and falls of a roof; a roof is a value, so they are worked out once."""
    from gardenwater.catch import roof_lines

    return roof_lines(roof)


def roof(thing: Roof, on: Drafting) -> Sign:
    """Fill, eaves, ridges and hips, and one arrow down each fall (in Catch the hatch of its parts says that)."""
    shown = lines_of(thing)
    outline = on.outline(thing.shape)
    folds = tuple(piece for line in (*shown.ridges, *shown.hips, *shown.valleys) for piece in on.runs(line))
    sign: Sign = [(Order.ROOF, Shape(outline, Fill("roof_fill")))]
    if folds:
        sign.append((Order.UNDER_ROOF, Shape(folds, pen=RIDGE)))
    sign.append((Order.UNDER_ROOF, Shape(outline, pen=_EAVES)))
    if on.question is not Question.CATCH:
        sign.extend((Order.UNDER_ROOF, mark) for mark in _falls(shown, on))
    return sign


def _falls(shown: RoofLines, on: Drafting) -> list[Mark]:
    """One arrow for each fall, at its middle, as long as there is room for."""
    if not shown.falls:
        return []
    ends = np.array([on.line(line)[[0, -1]] for line in shown.falls])
    step = ends[:, 1] - ends[:, 0]
    length = np.hypot(*step.T)
    seen = length >= _ARROW_PX
    if not seen.any():
        return []
    ends, length = ends[seen], length[seen]
    direction = (ends[:, 1] - ends[:, 0]) / length[:, None]
    middle, half = ends.mean(axis=1), np.clip(length * 0.22, _ARROW_PX / 2, 20.0)[:, None]
    tips = middle + direction * half
    shafts = np.stack((middle - direction * half, tips), axis=1)
    return [Strokes(np.concatenate((shafts, heads(tips, direction, 3.6, 2.8))), RIDGE)]


@lru_cache(maxsize=2048)
def _outside(line: shapely.LineString, shape: shapely.Polygon | None) -> float:
    """+1 where the roof lies at the right hand of the line as drawn on the screen, -1 where at the left; 0 unknown."""
    if shape is None or line.length == 0:
        return 0.0
    middle = line.interpolate(0.5, normalized=True)
    ahead = line.interpolate(min(0.5 + 1e-3, 1.0), normalized=True)
    step = np.array((ahead.x - middle.x, ahead.y - middle.y))
    step = step / max(float(np.hypot(*step)), 1e-12)
    room = 0.02 * max(line.length, 1.0)
    left = shapely.Point(middle.x - step[1] * room, middle.y + step[0] * room)
    return -1.0 if shape.contains(left) else 1.0


def gutter_run(thing: Gutter, on: Drafting) -> Points:
    """The line of a gutter in px: outside the eaves of its roof."""
    owner = on.site.get(thing.roof)
    side = _outside(thing.shape, owner.shape if isinstance(owner, Roof) else None)
    return parallel(on.line(thing.shape), side * _OUT_PX)


def gutter(thing: Gutter, on: Drafting) -> Sign:
    """A line outside the eaves with arrows in the sense of its fall; in Catch as wide as the litres that it carries."""
    points = gutter_run(thing, on)
    flow = on.gutters.get(thing.id)
    if on.question is Question.CATCH and flow is not None:
        return [(Order.GUTTER, mark) for mark in _carrying(points, flow)]
    sign: Sign = [(Order.GUTTER, Shape((run(points),), pen=Pen("roof_line", 1.0)))]
    if on.is_near(thing.id) and lengths(points)[-1] >= 40:
        owner = on.site.get(thing.roof)
        side = _outside(thing.shape, owner.shape if isinstance(owner, Roof) else None) or 1.0
        tips, direction = each(parallel(points, side * 7.5), 60.0)
        middle = np.stack((tips - direction * 8, tips + direction * 8), axis=1)
        ends = np.concatenate((middle, heads(middle[:, 1], direction, 3.8, 3.0)))
        sign.append((Order.GUTTER, Strokes(ends, RIDGE)))
    return sign


def width_for_litres(litres: float) -> float:
    """Width of a gutter or feeder in Catch, px: 1.2 to 4 by litres a year."""
    return 1.2 + 2.8 * float(np.clip(litres / _MOST_LITRES, 0.0, 1.0))


def _carrying(points: Points, flow: GutterFlow) -> list[Mark]:
    """A gutter that widens as it gathers, in pieces, with open heads each 75 px."""
    role = "water" if flow.caught else "spill"
    total = float(lengths(points)[-1])
    pieces = max(1, min(12, int(total / 14)))
    stops = np.linspace(0.0, total, pieces + 1)
    places, _ = at_lengths(points, stops)
    marks: list[Mark] = [Shape((run(points),), pen=Pen("paper", 5.0, cap=Cap.ROUND))]
    for index in range(pieces):
        share = (index + 0.5) / pieces
        width = width_for_litres(flow.start_l + (flow.end_l - flow.start_l) * share)
        between = (lengths(points) > stops[index]) & (lengths(points) < stops[index + 1])
        piece = np.concatenate((places[index : index + 1], points[between], places[index + 1 : index + 2]))
        marks.append(Shape((run(piece),), pen=Pen(role, width, cap=Cap.ROUND)))
    tips, direction = each(points, 75.0, first_px=min(37.0, total / 2))
    marks.append(Strokes(heads(tips, direction, 6.5, 5.5), Pen(role, 1.6, cap=Cap.ROUND)))
    return marks


def downpipe(thing: Downpipe, on: Drafting) -> Sign:
    """A ring with a dot, of the same size at every zoom."""
    x, y = on.spot(thing.shape)
    radius = 5.0 if on.is_near(thing.id) else 4.0
    return [
        (Order.DOWNPIPE, Shape((circle(x, y, radius),), Fill("paper"), _RING)),
        (Order.DOWNPIPE, Shape((circle(x, y, radius * 0.36),), Fill("roof_line"))),
    ]


def diverter_spot(thing: Diverter, on: Drafting) -> Points:
    """Where a diverter's square stands, px: on its spot, or beside the ring of its downpipe when that is too close."""
    spot, pipe = on.spot(thing.shape), on.site.get(thing.downpipe)
    if not isinstance(pipe, Downpipe):
        return spot
    ring = on.spot(pipe.shape)
    away = spot - ring
    if np.hypot(*away) >= _DIVERTER_PX + 1:
        return spot
    if np.hypot(*away) < 2.0:
        tank = on.site.get(thing.tank)
        away = on.spot(tank.shape) - ring if isinstance(tank, Tank) else np.array((0.0, 1.0))
    moved: Points = ring + away / max(float(np.hypot(*away)), 1e-9) * (_DIVERTER_PX + 1)
    return moved


def feeder_run(thing: Diverter, on: Drafting) -> Points | None:
    """The line of a feeder in px, from its diverter to the nearest edge of its tank; None where there is no tank."""
    tank = on.site.get(thing.tank)
    if not isinstance(tank, Tank):
        return None
    start = diverter_spot(thing, on) if on.is_near(thing.id) else on.spot(thing.shape)
    edge = tank_outline(tank, on)
    nearest = edge[np.argmin(np.hypot(*(edge - start).T))]
    return np.stack((start, nearest))


def diverter(thing: Diverter, on: Drafting) -> Sign:
    """A solid square beside the pipe, and the feeder with one open head half way."""
    sign: Sign = []
    feeder = feeder_run(thing, on)
    if feeder is not None:
        flow = on.gutters.get(thing.id)
        pen = _FEEDER if flow is None else replace(_FEEDER, width_px=max(width_for_litres(flow.end_l), 2.0))
        sign.append((Order.DIVERTER, Shape((run(feeder),), pen=pen, casing=under(pen))))
        step = feeder[1] - feeder[0]
        length = float(np.hypot(*step))
        if length >= 24:
            direction = (step / length)[None]
            tip = feeder.mean(axis=0)[None] + direction * 2
            sign.append((Order.DIVERTER, Strokes(heads(tip, direction, 4.0, 3.5), _FEEDER_HEAD)))
    if on.is_near(thing.id):
        x, y = diverter_spot(thing, on)
        square = Shape((box(x, y, _DIVERTER_PX, _DIVERTER_PX),), Fill("roof_line"), casing=Pen("paper", 3.0))
        sign.append((Order.DIVERTER, square))
    return sign


def first_flush(thing: FirstFlush, on: Drafting) -> Sign:
    """An upright capsule below its downpipe, with a level line at two thirds and a ball; from near only."""
    if not on.is_near(thing.id):
        return []
    x, y = on.spot(thing.shape)
    sign: Sign = []
    pipe = on.site.get(thing.downpipe)
    if isinstance(pipe, Downpipe):
        ring = on.spot(pipe.shape)
        if np.hypot(x - ring[0], y - ring[1]) < 20:
            x, y = float(ring[0]), float(ring[1]) + 19.0
        way = np.stack((ring, (x, y - 9.0)))
        sign.append((Order.FIRST_FLUSH, Strokes(way[None], Pen("roof_line", 1.5))))
    level = y + 2.0
    sign += [
        (Order.FIRST_FLUSH, Shape((capsule(x, y, 10, 18),), Fill("paper"), Pen("roof_line", 1.5))),
        (Order.FIRST_FLUSH, Strokes(np.array((((x - 4.4, level), (x + 4.4, level)),)), Pen("roof_line", 1.2))),
        (Order.FIRST_FLUSH, Shape((circle(x, level + 3.4, 1.5),), Fill("roof_line"))),
    ]
    return sign
