"""What labels keep clear of, and what they may lie on at a cost."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from gardenwater.report.drawing import Points, Rect
from gardenwater.report.labels import Hurdle
from gardenwater.report.signs.built import band_of, free_of_roofs, roofs_over
from gardenwater.report.signs.context import Drafting
from gardenwater.report.signs.roofs import feeder_run, gutter_run, lines_of
from gardenwater.report.signs.states import box_of
from gardenwater.report.signs.tanks import tank_outline
from gardenwater.site.things import (
    Building,
    Diverter,
    Gutter,
    Path,
    Roof,
    Tank,
    Thing,
    Tree,
    TreeForm,
)

ROUTE_COST, EDGE_COST, ROOF_EDGE_COST, ROOF_COST = 3.0, 3.0, 4.0, 2.5
_SOFT_COST, _TREE_COST = 2.0, 1.0
_LINES = frozenset({"watering_line", "overflow", "swale", "ditch", "bank", "wall", "link"})
_EDGES = {
    **dict.fromkeys(("bed", "pond", "soakaway", "rain_garden"), EDGE_COST),
    **dict.fromkeys(("path", "boundary", "earthwork"), _SOFT_COST),
}
_POINTS = frozenset({"downpipe", "diverter", "first_flush", "tap", "door", "level_peg"})


def hurdles_of(things: Iterable[Thing], on: Drafting) -> list[Hurdle]:
    """What labels may lie on: roofs with their ridges, edges, lines, trees."""
    return [hurdle for thing in things for hurdle in _of(thing, on)]


def _of(thing: Thing, on: Drafting) -> list[Hurdle]:
    if thing.kind in _LINES:
        return [Hurdle(on.line(thing.shape), ROUTE_COST, thing.id)]
    if thing.kind in _EDGES:
        rings = on.rings(band_of(thing) if isinstance(thing, Path) else thing.shape)
        edges = [Hurdle(ring, _EDGES[thing.kind], thing.id, closed=True) for ring in rings]
        return [*edges, Hurdle(rings[0], ROOF_COST, thing.id, ground=True)] if thing.kind == "bed" else edges
    match thing:
        case Roof():
            return _of_roof(thing, on)
        case Building():
            return _of_building(thing, on)
        case Tree():
            cost = _TREE_COST if thing.form is TreeForm.TREE else _SOFT_COST
            return [Hurdle(on.rings(thing.shape)[0], cost, thing.id, ground=True)]
        case Gutter():
            return [Hurdle(gutter_run(thing, on), ROUTE_COST, thing.id)]
        case Diverter():
            feeder = feeder_run(thing, on)
            return [] if feeder is None else [Hurdle(feeder, ROUTE_COST, thing.id)]
    return []


def _of_building(thing: Building, on: Drafting) -> list[Hurdle]:
    """A building as far as no roof covers it: under one, the roof is what counts."""
    if free_of_roofs(thing.shape, roofs_over(thing.shape, on)).is_empty:
        return []
    outer = on.rings(thing.shape)[0]
    return [Hurdle(outer, EDGE_COST, thing.id, closed=True), Hurdle(outer, ROOF_COST, thing.id, ground=True)]


def _of_roof(thing: Roof, on: Drafting) -> list[Hurdle]:
    outer = on.rings(thing.shape)[0]
    shown = lines_of(thing)
    folds = [*shown.ridges, *shown.hips]
    inner = [Hurdle(on.line(line), _SOFT_COST, thing.id) for line in folds]
    arrows = [Hurdle(_arrow(on.line(line)), _SOFT_COST, thing.id) for line in shown.falls]
    edge = Hurdle(outer, ROOF_EDGE_COST, thing.id, closed=True)
    return [edge, Hurdle(outer, ROOF_COST, thing.id, ground=True), *inner, *arrows]


def _arrow(points: Points) -> Points:
    """About where the arrow of a fall is drawn: its middle."""
    middle = points[[0, -1]].mean(axis=0)
    step = points[-1] - points[0]
    half = step / max(float(np.hypot(*step)), 1e-9) * min(float(np.hypot(*step)) * 0.22, 20.0)
    return np.stack((middle - half, middle + half))


def never_on(things: Iterable[Thing], on: Drafting) -> list[Rect]:
    """Boxes of point signs, on which no label lies."""
    boxes: list[Rect] = []
    for thing in things:
        if isinstance(thing, Tank):
            low, high = tank_outline(thing, on).min(axis=0), tank_outline(thing, on).max(axis=0)
            boxes.append(
                Rect(float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1])).grown(2.0)
            )
        elif thing.kind in _POINTS:
            boxes.append(box_of(thing, on))
    return boxes
