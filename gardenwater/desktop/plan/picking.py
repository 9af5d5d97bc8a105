"""Which thing is under the pointer, and which lie in a band."""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.geometry import distance, touch_shape
from gardenwater.findings import Question
from gardenwater.site.model import Site, kind_order
from gardenwater.site.things import Tank, Thing

REACH_PX = 6.0
_POINT_SIGN_PX = 9.0
_LEAST_TANK_PX = 11.0
_EDGE_ONLY = ("boundary", "keep_dry")
"""Kinds whose inside belongs to what lies in it: they are picked by their edge."""


MEASURED = frozenset(("level_peg", "slope_arrow"))
"""Kinds that the plan shows in Ground and from near only."""

_MEASURED_FROM_PX_PER_M = 24.0


def hidden_kinds(question: Question, px_per_m: float) -> frozenset[str]:
    """Kinds that the plan does not show now, and that are passed through therefore."""
    return frozenset() if question is Question.GROUND or px_per_m >= _MEASURED_FROM_PX_PER_M else MEASURED


class Picker:
    """Finds things of one site by place. Locked things are passed through, and kinds that are hidden."""

    def __init__(self, site: Site, hidden: frozenset[str] = frozenset()) -> None:
        self._things = [thing for thing in site if not thing.locked and thing.kind not in hidden]
        self._shapes = [_picked_shape(thing) for thing in self._things]
        self._tree = shapely.STRtree(self._shapes)

    def at(self, at: XY, px_per_m: float) -> Thing | None:
        """The thing under a point: a sign before a line, a line before an area, the smaller area first."""
        room_m = max(REACH_PX, _POINT_SIGN_PX, _LEAST_TANK_PX) / px_per_m
        found = self._tree.query(shapely.box(at[0] - room_m, at[1] - room_m, at[0] + room_m, at[1] + room_m))
        ranks = [(rank, index) for index in found.tolist() if (rank := self._rank(index, at, px_per_m)) is not None]
        return self._things[min(ranks)[1]] if ranks else None

    def _rank(self, index: int, at: XY, px_per_m: float) -> tuple[int, float, int] | None:
        """Lower is nearer to what was meant; None where the pointer is not on it."""
        thing, shape = self._things[index], self._shapes[index]
        over = -kind_order(thing)
        if thing.geometry == "Point":
            sign_px = _sign_px(thing, px_per_m)
            away_px = distance(at, (shape.centroid.x, shape.centroid.y)) * px_per_m
            on_it = away_px <= sign_px or (isinstance(thing, Tank) and shape.contains(shapely.Point(at)))
            return (0, away_px, over) if on_it else None
        away_px = shape.distance(shapely.Point(at)) * px_per_m
        if away_px > (REACH_PX if shape.area == 0.0 else 2.0):
            return None
        return (1, away_px, over) if shape.area == 0.0 else (2, shape.area, over)

    def within(self, corner: XY, other: XY, *, touching: bool) -> tuple[str, ...]:
        """Ids of the things inside a box, in their order; with `touching` also those that reach into it."""
        band = shapely.box(
            min(corner[0], other[0]), min(corner[1], other[1]), max(corner[0], other[0]), max(corner[1], other[1])
        )
        found = sorted(self._tree.query(band, predicate="intersects" if touching else "contains").tolist())
        return tuple(self._things[index].id for index in found)


def _picked_shape(thing: Thing) -> BaseGeometry:
    shape = touch_shape(thing)
    return shape.boundary if thing.kind in _EDGE_ONLY else shape


def _sign_px(thing: Thing, px_per_m: float) -> float:
    """How far from its middle the sign of a point thing reaches, px."""
    if isinstance(thing, Tank):
        return max(min(thing.width_m, thing.length_m) / 2 * px_per_m, _LEAST_TANK_PX / 2) + 2.0
    return _POINT_SIGN_PX


def in_plan_order(things: Iterable[Thing]) -> list[Thing]:
    """Things in the order of the drawing tray, then from west to east: the order of the Tab key."""
    return sorted(things, key=lambda thing: (kind_order(thing), touch_shape(thing).centroid.x, thing.id))
