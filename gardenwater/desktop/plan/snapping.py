"""What the pointer snaps to while something is drawn or moved: corners, edges, grid, the square of the last side."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import shapely
from numpy.typing import NDArray

from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.geometry import (
    corners_of,
    distance,
    foot_on_line,
    rounded,
    segments_of,
    touch_shape,
)
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Tank, Thing

REACH_PX = 12.0
_ALIGN_SHARE = 0.7  # lining up with the first corner reaches a little less far than a corner does


class SnapKind(IntEnum):
    """What was snapped to, the stronger first."""

    FIRST = 0
    CORNER = 1
    SPOT = 2
    EDGE = 3
    SQUARE = 4
    GRID = 5
    FREE = 6


@dataclass(frozen=True, slots=True)
class Snap:
    """A place, what it was snapped to, in words, and the id of that thing (empty when it is none).

    along: the direction of the edge that it lies on, where it lies on one.
    """

    at: XY
    kind: SnapKind = SnapKind.FREE
    words: str = ""
    thing: str = ""
    along: XY | None = None


class Snapper:
    """Snaps places to the things of one site.

    leave_out: ids of things that move along, and so are not snapped to. prefer: kinds that are snapped to before all
    others (a roof's edge for a gutter); point things are snapped to only when they are preferred.
    """

    def __init__(
        self,
        site: Site,
        *,
        leave_out: Collection[str] = (),
        prefer: Collection[str] = (),
        grid_m: float = 0.0,
        reach_px: float = REACH_PX,
    ) -> None:
        things = [thing for thing in site if thing.id not in leave_out and not thing.locked]
        self._reach_px = reach_px
        self._grid_m = grid_m
        self._prefer = frozenset(prefer)
        self._areas = [thing for thing in things if thing.geometry != "Point"]
        self._spots = [thing for thing in things if thing.geometry == "Point" and (thing.kind in prefer)]
        corners = [(corner, index) for index, thing in enumerate(self._areas) for corner in corners_of(thing.shape)]
        self._corners = np.array([corner for corner, _ in corners], dtype=np.float64).reshape(-1, 2)
        self._corner_of = [index for _, index in corners]
        edges = [segments_of(thing.shape) for thing in self._areas]
        self._edges = np.concatenate(edges) if edges else np.empty((0, 2, 2))
        self._edge_of = [index for index, pieces in enumerate(edges) for _ in range(len(pieces))]

    def snap(
        self, at: XY, px_per_m: float, *, drawn: Sequence[XY] = (), square: bool = False, closing: bool = False
    ) -> Snap:
        """Where the pointer means to be.

        drawn: points that stand already. square: hold to the square of the last side. closing: the first may be meant.
        """
        reach_m = self._reach_px / px_per_m
        if closing and len(drawn) >= 3 and distance(at, drawn[0]) <= reach_m:
            return Snap(drawn[0], SnapKind.FIRST, "first corner")
        if square and len(drawn) >= 2:
            return _squared(at, drawn, reach_m)
        found = [self._spot(at, reach_m), self._corner(at, reach_m), self._edge(at, reach_m), self._grid(at, reach_m)]
        best = min((snap for snap in found if snap is not None), key=self._order, default=None)
        if best is not None:
            return best
        return _lined_up(at, drawn, reach_m) or Snap(rounded(at))

    def _order(self, snap: Snap) -> tuple[bool, SnapKind]:
        thing = next((one for one in (*self._areas, *self._spots) if one.id == snap.thing), None)
        return (bool(self._prefer) and (thing is None or thing.kind not in self._prefer)), snap.kind

    def _corner(self, at: XY, reach_m: float) -> Snap | None:
        if len(self._corners) == 0:
            return None
        away = np.hypot(self._corners[:, 0] - at[0], self._corners[:, 1] - at[1])
        nearest = int(away.argmin())
        if away[nearest] > reach_m:
            return None
        thing = self._areas[self._corner_of[nearest]]
        x, y = self._corners[nearest].tolist()
        word = "end" if thing.geometry == "LineString" else "corner"
        return Snap((x, y), SnapKind.CORNER, f"{word} of {called(thing)}", thing.id, self._edge_at((x, y), thing.id))

    def _edge_at(self, at: XY, thing_id: str) -> XY | None:
        """Direction of the edge of a thing that begins at a corner."""
        starts = np.hypot(self._edges[:, 0, 0] - at[0], self._edges[:, 0, 1] - at[1]) < 1e-9
        for index in np.flatnonzero(starts).tolist():
            if self._areas[self._edge_of[index]].id == thing_id:
                return _direction(self._edges[index])
        return None

    def _edge(self, at: XY, reach_m: float) -> Snap | None:
        if len(self._edges) == 0:
            return None
        start, step = self._edges[:, 0], self._edges[:, 1] - self._edges[:, 0]
        length2 = np.maximum(np.einsum("ij,ij->i", step, step), 1e-12)
        share = np.clip(np.einsum("ij,ij->i", np.asarray(at) - start, step) / length2, 0.0, 1.0)
        feet = start + step * share[:, None]
        away = np.hypot(feet[:, 0] - at[0], feet[:, 1] - at[1])
        if self._prefer:
            liked = np.array([self._areas[index].kind in self._prefer for index in self._edge_of])
            away = np.where(liked & (away <= reach_m), away - reach_m, away)
        nearest = int(away.argmin())
        if away[nearest] > reach_m:
            return None
        thing = self._areas[self._edge_of[nearest]]
        x, y = feet[nearest].tolist()
        word = "eaves" if thing.kind == "roof" else "edge" if thing.geometry == "Polygon" else "line"
        words = f"{word} of {called(thing)}" if word != "line" else f"on {called(thing)}"
        return Snap((x, y), SnapKind.EDGE, words, thing.id, _direction(self._edges[nearest]))

    def _spot(self, at: XY, reach_m: float) -> Snap | None:
        near = [(distance(at, _spot_of(thing)) - _radius(thing), thing.id, thing) for thing in self._spots]
        away, _, thing = min(near, key=lambda one: one[:2], default=(math.inf, "", None))
        if thing is None or away > reach_m:
            return None
        return Snap(_spot_of(thing), SnapKind.SPOT, f"at {called(thing)}", thing.id)

    def _grid(self, at: XY, reach_m: float) -> Snap | None:
        if self._grid_m <= 0:
            return None
        x, y = (round(value / self._grid_m) * self._grid_m for value in at)
        if distance(at, (x, y)) > min(reach_m * 0.7, self._grid_m / 3):
            return None
        return Snap((x, y), SnapKind.GRID, f"grid {x:g}, {y:g}")


def _spot_of(thing: Thing) -> XY:
    shape = thing.shape
    return shape.centroid.x, shape.centroid.y


def _radius(thing: Thing) -> float:
    return min(thing.width_m, thing.length_m) / 2 if isinstance(thing, Tank) else 0.0


def _direction(piece: NDArray[np.float64]) -> XY | None:
    dx, dy = (piece[1] - piece[0]).tolist()
    return (dx, dy) if (dx, dy) != (0.0, 0.0) else None


def _squared(at: XY, drawn: Sequence[XY], reach_m: float) -> Snap:
    """On the square or the straight of the last side, lined up with the first corner where that is near."""
    last, before, first = drawn[-1], drawn[-2], drawn[0]
    along = last[0] - before[0], last[1] - before[1]
    across = -along[1], along[0]
    options = [(foot_on_line(at, last, direction), direction) for direction in (across, along)]
    foot, direction = min(options, key=lambda option: distance(at, option[0]))
    words = "square to the last side" if direction is across else "straight on"
    if len(drawn) >= 3:
        under_first = foot_on_line(first, last, direction)
        if distance(foot, under_first) <= reach_m:
            return Snap(under_first, SnapKind.SQUARE, "square under the first corner")
    return Snap(foot, SnapKind.SQUARE, words)


def _lined_up(at: XY, drawn: Sequence[XY], reach_m: float) -> Snap | None:
    """Square to the last side without asking, when the pointer is nearly there."""
    if len(drawn) < 2:
        return None
    snap = _squared(at, drawn, reach_m)
    near = distance(at, snap.at) <= reach_m * _ALIGN_SHARE and distance(snap.at, drawn[-1]) > reach_m
    return snap if near else None


def things_at(site: Site, at: XY, kinds: Iterable[str], within_m: float = 0.0) -> list[Thing]:
    """Things of these kinds that cover a point or come within a distance of it, the nearest first."""
    point = shapely.Point(at)
    wanted = set(kinds)
    near = [(touch_shape(thing).distance(point), thing.id, thing) for thing in site if thing.kind in wanted]
    return [thing for away, _, thing in sorted(near, key=lambda one: one[:2]) if away <= within_m + 1e-9]
