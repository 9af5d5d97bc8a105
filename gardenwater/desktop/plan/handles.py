"""Handles of the selected thing: corners to drag, half-way handles that add a corner, and the size of a tank."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from typing import Any

import numpy as np

from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.geometry import corners_of, distance, is_closed, middle, polar, with_corners
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import Tank, TankForm, Thing

REACH_PX = 8.0
_LEAST_SIDE_PX = 28.0  # a shorter side has no half-way handle: it would lie on the corners'
_RING_OUT_PX = 9.0
_LEAST_TANK_M, _MOST_TANK_M = 0.2, 10.0


class HandleKind(Enum):
    """What a handle does."""

    CORNER = auto()
    HALF_WAY = auto()
    SIZE = auto()


@dataclass(frozen=True, slots=True)
class Handle:
    """One handle. at: on the site, m; index: of the corner, of the corner before it, or of the side of a tank."""

    thing: str
    kind: HandleKind
    index: int
    at: XY


def handles_of(thing: Thing, px_per_m: float) -> list[Handle]:
    """The handles of one selected thing; none for what is locked or has no size to change."""
    if thing.locked or (thing.geometry == "Point" and not isinstance(thing, Tank)):
        return []
    if isinstance(thing, Tank):
        return [Handle(thing.id, HandleKind.SIZE, side, at) for side, at in enumerate(_size_spots(thing, px_per_m))]
    corners = corners_of(thing.shape)
    made = [Handle(thing.id, HandleKind.CORNER, index, at) for index, at in enumerate(corners)]
    ends = corners[1:] + corners[:1] if is_closed(thing.shape) else corners[1:]
    for index, (start, end) in enumerate(zip(corners, ends, strict=False)):
        if distance(start, end) * px_per_m >= _LEAST_SIDE_PX:
            made.append(Handle(thing.id, HandleKind.HALF_WAY, index, middle(start, end)))
    return made


def handle_at(handles: Sequence[Handle], at: XY, px_per_m: float) -> Handle | None:
    """The handle under a point; a corner before a half-way one."""
    near = [
        (handle.kind is HandleKind.HALF_WAY, away, number, handle)
        for number, handle in enumerate(handles)
        if (away := distance(at, handle.at) * px_per_m) <= REACH_PX
    ]
    return min(near, key=lambda one: one[:3])[3] if near else None


def _size_spots(tank: Tank, px_per_m: float) -> list[XY]:
    """Where the four handles of a tank are: on the ring of its selection, along its own axes."""
    out_m = _RING_OUT_PX / px_per_m
    middle_at = tank.shape.x, tank.shape.y
    if tank.form is TankForm.UPRIGHT:
        return [polar(middle_at, tank.width_m / 2 + out_m, turn) for turn in (0.0, 90.0, 180.0, 270.0)]
    half = (tank.length_m / 2, tank.width_m / 2)
    turns = [(tank.bearing_deg + 90.0 * side) % 360.0 for side in range(4)]
    return [polar(middle_at, half[side % 2] + out_m, turn) for side, turn in enumerate(turns)]


def dragged(site: Site, handle: Handle, to: XY, px_per_m: float) -> Site:
    """The site after a handle was dragged to a place. Raises EditError for a shape that cannot be."""
    thing = site.get(handle.thing)
    if thing is None:
        return site
    if isinstance(thing, Tank):
        return edits.put(site, _resized(thing, handle.index, to, px_per_m))
    corners = corners_of(thing.shape)
    if handle.kind is HandleKind.HALF_WAY:
        corners.insert(handle.index + 1, to)
    else:
        corners[handle.index] = to
    return edits.reshape(site, thing.id, with_corners(thing.shape, corners))


def without_corner(site: Site, thing_id: str, index: int) -> Site:
    """The site with one corner of a thing taken away. Raises EditError when too few would be left."""
    thing = site.get(thing_id)
    if thing is None:
        return site
    corners = corners_of(thing.shape)
    del corners[index]
    return edits.reshape(site, thing.id, with_corners(thing.shape, corners))


def _resized(tank: Tank, side: int, to: XY, px_per_m: float) -> Tank:
    """The tank with one measure changed: its litres follow its floor, its heights stay."""
    out_m = _RING_OUT_PX / px_per_m
    away = max(distance((tank.shape.x, tank.shape.y), to) - out_m, 0.0)
    measure = round(float(np.clip(2 * away, _LEAST_TANK_M, _MOST_TANK_M)), 2)
    changes: dict[str, Any] = {
        "length_m" if tank.form is not TankForm.UPRIGHT and side % 2 == 0 else "width_m": measure
    }
    grown = dataclasses.replace(tank, **changes)
    share = grown.footprint.area / tank.footprint.area
    if tank.form is TankForm.UPRIGHT:
        share = (measure / tank.width_m) ** 2
    capacity_l = max(round(tank.capacity_l * share), 10)
    water_l = min(tank.water_l * share, float(capacity_l))
    return dataclasses.replace(grown, capacity_l=float(capacity_l), water_l=math.floor(water_l * 10) / 10)
