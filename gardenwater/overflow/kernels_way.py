"""The way that water takes from a spot, a sill or the rim of a taker to what ends it: a streamline of the surface.

Across a facet it runs straight down; where two facets fall towards each other it follows their edge, a channel, to the
next cell's centre; from a centre it takes the steepest of all edges and facets there. The position is carried on, so
no direction is preferred. Every step goes down, but over flats, where it takes the way back that the sweep kept.
"""

from __future__ import annotations

import numpy as np

from gardenwater.overflow.kernels_cross import (
    SIDE_Y,
    SLANT,
    cross,
    goes_on,
    leave,
    level_on,
    locate,
    lower_of,
    lowest_corner,
    outside,
    tilt,
)
from gardenwater.overflow.kernels_facets import ACROSS, ALONG, OUT, way_on
from gardenwater.overflow.kernels_width import thirst
from gardenwater.overflow.records import Flow, Land, Records
from gardenwater.work import kernel_part

BOTTOM, OFF, INTO_TAKER, MEETS, NO_ROOM = 0, 1, 2, 3, 4
"""How a way ends: at the bottom of a hollow, off the ground, in a taker, at a point of another way; or the points ran
out, and it must be traced again with room for more."""

POINTS, REACHES, STORES, WAITING, LAID, LOOKED = 0, 1, 2, 3, 4, 5
"""What stands in the counts of a flow: how many points, stretches and stores it has, how many stores wait, how many
sources are laid, and 1 when it was looked from them when each store will be full."""

_HAIR = 1e-9
"""Share of an edge within which a point counts as its end."""

_SPARE = 4
_MOST_STALLED = 32


@kernel_part
def put(land: Land, flow: Flow, walk: Records, x: float, y: float, level_m: float) -> None:
    """Add a point to the way. A point twice is one; no point lies higher than the one before it."""
    points, count, thirst_here = flow.net.points, walk.count, 0.0
    if count > walk.begin:
        before = points[count - 1]
        run_m = np.hypot((x - before.x) * land.surface.cell_x_m, (y - before.y) * land.surface.cell_y_m)
        if run_m == 0.0:
            return
        level_m = min(level_m, before.level_m)
        thirst_here = before.thirst + thirst(before.level_m - level_m, run_m)
    this = points[count]
    this.x, this.y, this.level_m, this.thirst = x, y, level_m, thirst_here
    walk.count = count + 1


@kernel_part
def cell_of(stride: int, x: float, y: float) -> int:
    """The cell that a point lies in."""
    return int(np.floor(y + 0.5)) * stride + int(np.floor(x + 0.5))


@kernel_part
def takes(flow: Flow, cell: int) -> int:
    """The taker that takes water in a cell; -1 when none does, or it is full."""
    taker = flow.taker_of[cell] - 1
    return taker if taker >= 0 and flow.net.stores[taker].full == 0 else -1


@kernel_part
def into_taker(land: Land, flow: Flow, walk: Records, to_x: float, to_y: float) -> bool:
    """End the way in the first taker that lies on a straight step from its last point, if one does.

    A step stays within one square of cells' centres, so it crosses at most one border of cells each way.
    """
    if flow.taker_of.size == 1:
        return False
    last = flow.net.points[walk.count - 1]
    x, y = last.x, last.y
    border_x, border_y = np.floor(min(x, to_x) + 0.5) + 0.5, np.floor(min(y, to_y) + 0.5) + 0.5
    over_x = (border_x - x) / (to_x - x) if border_x < max(x, to_x) else 1.0
    over_y = (border_y - y) / (to_y - y) if border_y < max(y, to_y) else 1.0
    at = 0.0
    for until in (min(over_x, over_y), max(over_x, over_y), 1.0):
        middle_x, middle_y = x + (at + until) / 2.0 * (to_x - x), y + (at + until) / 2.0 * (to_y - y)
        taker = takes(flow, cell_of(land.surface.stride, middle_x, middle_y))
        if taker >= 0:
            put(land, flow, walk, middle_x, middle_y, last.level_m)
            walk.how, walk.which = INTO_TAKER, taker
            return True
        at = until
    return False


@kernel_part
def leads_into_full(flow: Flow, point: int) -> bool:
    """Whether the way through a point ends in a taker that is full: other water then runs on over it."""
    store = flow.net.stores[flow.net.reaches[flow.net.points[point].reach].store]
    return bool(store.taker >= 0 and store.full == 1)


@kernel_part
def arrives(land: Land, flow: Flow, walk: Records) -> bool:
    """Whether the way ends at the walk's cell: at the bottom of a hollow, or at a point of another way."""
    number, level = land.label[walk.cell], land.surface.level
    # the first own cell of a hollow that holds no others is its bottom
    bottom = land.cells[land.hollows[number].start] if number > 0 and land.hollows[number].first == number else -1
    if bottom >= 0 and level[walk.cell] == level[bottom]:
        walk.how, walk.which = BOTTOM, number
        return True
    point = flow.mark[walk.cell] - 1
    if 0 <= point < walk.begin and not leads_into_full(flow, point):
        walk.how, walk.which = MEETS, point
        return True
    return False


@kernel_part
def from_cell(land: Land, flow: Flow, walk: Records) -> bool:
    """Go on from a cell's centre; True when the way ends."""
    surface, cell = land.surface, walk.cell
    x, y, level_m = float(cell % surface.stride), float(cell // surface.stride), np.float64(surface.level[cell])
    if walk.count > walk.begin and into_taker(land, flow, walk, x, y):
        return True
    put(land, flow, walk, x, y, level_m)
    walk.stalled = 0
    at_sill = cell == walk.sill and walk.count == walk.begin + 1
    if not at_sill:
        if arrives(land, flow, walk):
            return True
        flow.mark[cell] = walk.count
    way_on(land, walk, at_sill)
    if walk.kind == ALONG:
        walk.cell = walk.corner
        return False
    if walk.kind == ACROSS:
        walk.u = 1.0 if cell == walk.corner + walk.sx else 0.0
        walk.v = 1.0 if cell == walk.corner + walk.sy * surface.stride else 0.0
        walk.cell = -1
        return False
    if walk.kind == OUT:
        put(land, flow, walk, x + 0.5 * walk.sx, y + 0.5 * walk.sy, level_m)
        walk.how, walk.which = OFF, -1
        return True
    walk.how, walk.which = BOTTOM, land.label[cell]
    return True


@kernel_part
def over_facet(land: Land, flow: Flow, walk: Records) -> bool:
    """Go straight down a facet to its side and over it, or along it; True when the way ends."""
    surface = land.surface
    tilt(surface, walk)
    side = leave(walk)
    if side < 0 or walk.stalled > _MOST_STALLED:
        walk.cell = lowest_corner(surface, walk)
        return False
    at_x, at_y = walk.corner + walk.sx, walk.corner + walk.sy * surface.stride
    x, y = walk.corner % surface.stride + walk.sx * walk.u, walk.corner // surface.stride + walk.sy * walk.v
    if into_taker(land, flow, walk, x, y):
        return True
    along = walk.v if side == SIDE_Y else walk.u
    one, other = (at_y if side == SLANT else walk.corner), (at_y if side == SIDE_Y else at_x)
    if along < _HAIR or along > 1.0 - _HAIR:
        walk.cell = one if along < _HAIR else other
        return False
    before_m = flow.net.points[walk.count - 1].level_m
    level_m = level_on(surface, walk)
    put(land, flow, walk, x, y, level_m)
    walk.stalled = 0 if level_m < before_m else walk.stalled + 1
    goes_out = outside(surface, walk, side)
    third = cross(surface, walk, side)
    if np.isfinite(surface.level[third]):
        tilt(surface, walk)
        if goes_on(walk, side):
            return False
    elif goes_out:
        put(land, flow, walk, walk.out_x, walk.out_y, level_m)
        walk.how, walk.which = OFF, -1
        return True
    walk.cell = lower_of(surface, one, other, along)
    return False


@kernel_part
def set_out(land: Land, flow: Flow, walk: Records) -> bool:
    """Begin the way at a point: on its facet, or at its cell's centre where there is none; True when it ends there."""
    surface = land.surface
    cell = cell_of(surface.stride, walk.x, walk.y)
    level_m = float(np.float64(surface.level[cell]))
    if locate(surface, walk):
        tilt(surface, walk)
        level_m = level_on(surface, walk)
        cell = -1
    walk.cell = cell
    put(land, flow, walk, walk.x, walk.y, level_m)
    return into_taker(land, flow, walk, walk.x, walk.y)


@kernel_part
def trace(land: Land, flow: Flow, walk: Records) -> None:
    """Trace a way from where the walk begins to what ends it: a hollow, a taker, a point, or NO_ROOM for more points.

    Its points follow those that the flow has, whose count is left as it is.
    """
    walk.begin = walk.count = flow.counts[POINTS]
    walk.cell, walk.stalled = walk.sill, 0
    room = flow.net.points.size - _SPARE
    ended = walk.sill < 0 and walk.count <= room and set_out(land, flow, walk)
    while not ended:
        if walk.count > room:
            walk.how = NO_ROOM
            ended = True
        elif walk.cell >= 0:
            ended = from_cell(land, flow, walk)
        else:
            ended = over_facet(land, flow, walk)
