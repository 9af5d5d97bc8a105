"""The way that water takes from a spot, a sill or the rim of a taker to what ends it: a streamline of the surface.

Across a facet it runs straight down; where two facets fall towards each other it follows their edge, a channel, to the
next cell's centre; from a centre it takes the steepest of all edges and facets there. The position is carried on, so
no direction is preferred. Every step goes down, but over flats, where it takes the way back that the sweep kept.
"""

from __future__ import annotations

import numpy as np

from gardenwater.overflow.kernels_cross import (
    SIDE_Y,
    cross,
    ends_of,
    fall_on,
    goes_on,
    leave,
    level_on,
    locate,
    lower_of,
    lowest_corner,
    outside,
)
from gardenwater.overflow.kernels_facets import ACROSS, ALL_WAYS, ALONG, OUT, Ints, way_on
from gardenwater.overflow.kernels_width import thirst
from gardenwater.overflow.records import Flow, Land, Walk
from gardenwater.work import kernel

BOTTOM, OFF, INTO_TAKER, MEETS, NO_ROOM = 0, 1, 2, 3, 4
"""How a way ends: at the bottom of a hollow, off the ground, in a taker, at a point of another way; or the points ran
out, and it must be traced again with room for more."""

POINTS = 0
"""Where in the counts of a flow the number of its points stands."""

X, Y, LEVEL, THIRST = 0, 1, 2, 3

BEGIN, COUNT, CELL, STALLED = 0, 1, 2, 3
"""Of a walk: its first point, the number of points with it, the cell at whose centre it is (-1: on a facet), steps over
facets that did not go down (rounding, on ground that is all but level)."""

_HAIR = 1e-9
"""Share of an edge within which a point counts as its end."""

_SPARE = 4
_MOST_STALLED = 32


@kernel
def put(land: Land, flow: Flow, walk: Walk, x: float, y: float, level_m: float) -> None:
    """Add a point to the way. A point twice is one; no point lies higher than the one before it."""
    points, count = flow.points, walk.now[COUNT]
    thirst_here = 0.0
    if count > walk.now[BEGIN]:
        before = points[count - 1]
        run_m = np.hypot((x - before[X]) * land.cell_x_m, (y - before[Y]) * land.cell_y_m)
        if run_m == 0.0:
            return
        level_m = min(level_m, before[LEVEL])
        thirst_here = before[THIRST] + thirst(before[LEVEL] - level_m, run_m)
    points[count, X], points[count, Y], points[count, LEVEL], points[count, THIRST] = x, y, level_m, thirst_here
    walk.now[COUNT] = count + 1


@kernel
def stop(walk: Walk, how: int, which: int) -> bool:
    """Say how the way ends. True."""
    walk.ending[0], walk.ending[1] = how, which
    return True


@kernel
def enters(flow: Flow, stride: int, x: float, y: float, to_x: float, to_y: float) -> float:
    """How far along a straight step water first lies in the middle of a taker's cell (0 to 1); -1 when in none.

    A step stays within one square of cells' centres, so it crosses at most one border of cells each way.
    """
    if flow.taker_of.size == 1:
        return -1.0
    first, second = 1.0, 1.0
    border_x, border_y = np.floor(min(x, to_x) + 0.5) + 0.5, np.floor(min(y, to_y) + 0.5) + 0.5
    if border_x < max(x, to_x):
        first = (border_x - x) / (to_x - x)
    if border_y < max(y, to_y):
        second = (border_y - y) / (to_y - y)
    if first > second:
        first, second = second, first
    at = 0.0
    for until in (first, second, 1.0):
        middle = (at + until) / 2.0
        if until > at or at == 0.0:
            col, row = (
                np.int64(np.floor(x + middle * (to_x - x) + 0.5)),
                np.int64(np.floor(y + middle * (to_y - y) + 0.5)),
            )
            taker = flow.taker_of[row * stride + col]
            if taker > 0 and flow.closed[taker - 1] == 0:
                return middle
        at = until
    return -1.0


@kernel
def into_taker(land: Land, flow: Flow, walk: Walk, to_x: float, to_y: float) -> bool:
    """End the way in the first taker that lies on a straight step from its last point, if one does."""
    last = flow.points[walk.now[COUNT] - 1]
    x, y, level_m = last[X], last[Y], last[LEVEL]
    part = enters(flow, land.stride, x, y, to_x, to_y)
    if part < 0.0:
        return False
    x += part * (to_x - x)
    y += part * (to_y - y)
    put(land, flow, walk, x, y, level_m)
    cell = np.int64(np.floor(y + 0.5)) * land.stride + np.int64(np.floor(x + 0.5))
    return stop(walk, INTO_TAKER, flow.taker_of[cell] - 1)


@kernel
def leads_into_full(flow: Flow, point: int) -> bool:
    """Whether the way through a point ends in a taker that is full: other water then runs on over it."""
    taker = flow.stores[flow.reaches[flow.owner[point]].store].taker
    return bool(taker >= 0 and flow.closed[taker] == 1)


@kernel
def arrives(land: Land, flow: Flow, walk: Walk, cell: int) -> bool:
    """Whether the way ends at a cell's centre: at the bottom of a hollow, or at a point of another way."""
    number = land.label[cell]
    # the first own cell of a hollow that holds no others is its bottom
    bottom = land.cells[land.starts[number]] if number > 0 and land.hollows[number].first == number else -1
    if bottom >= 0 and land.level[cell] == land.level[bottom]:
        return stop(walk, BOTTOM, number)
    point = flow.mark[cell] - 1
    if 0 <= point < walk.now[BEGIN] and not leads_into_full(flow, point):
        return stop(walk, MEETS, point)
    return False


@kernel
def from_cell(land: Land, flow: Flow, steps: Ints, walk: Walk, sill: int, ways: int) -> bool:
    """Go on from a cell's centre; True when the way ends."""
    cell = walk.now[CELL]
    x, y = np.float64(cell % land.stride), np.float64(cell // land.stride)
    if walk.now[COUNT] > walk.now[BEGIN] and into_taker(land, flow, walk, x, y):
        return True
    put(land, flow, walk, x, y, land.level[cell])
    walk.now[STALLED] = 0
    at_sill = cell == sill and walk.now[COUNT] == walk.now[BEGIN] + 1
    if not at_sill:
        if arrives(land, flow, walk, cell):
            return True
        flow.mark[cell] = walk.now[COUNT]
    way_on(land, steps, cell, ways if at_sill else ALL_WAYS, at_sill, walk.pick)
    if walk.pick[0] == ALONG:
        walk.now[CELL] = walk.pick[1]
        return False
    if walk.pick[0] == ACROSS:
        walk.facet[0], walk.facet[1], walk.facet[2] = walk.pick[1], walk.pick[2], walk.pick[3]
        walk.at[0] = 1.0 if cell == walk.facet[0] + walk.facet[1] else 0.0
        walk.at[1] = 1.0 if cell == walk.facet[0] + walk.facet[2] * land.stride else 0.0
        walk.now[CELL] = -1
        return False
    if walk.pick[0] == OUT:
        put(land, flow, walk, x + 0.5 * walk.pick[2], y + 0.5 * walk.pick[3], land.level[cell])
        return stop(walk, OFF, -1)
    return stop(walk, BOTTOM, land.label[cell])


@kernel
def over_facet(land: Land, flow: Flow, walk: Walk) -> bool:
    """Go straight down a facet to its side and over it, or along it; True when the way ends."""
    facet, at, fall = walk.facet, walk.at, walk.fall
    fall_on(land, facet, fall)
    side = leave(at, fall)
    if side < 0 or walk.now[STALLED] > _MOST_STALLED:
        walk.now[CELL] = lowest_corner(land, facet, at)
        return False
    ends_of(land, facet, side, walk.ends)
    x, y = facet[0] % land.stride + facet[1] * at[0], facet[0] // land.stride + facet[2] * at[1]
    if into_taker(land, flow, walk, x, y):
        return True
    along = at[1] if side == SIDE_Y else at[0]
    if along < _HAIR or along > 1.0 - _HAIR:
        walk.now[CELL] = walk.ends[0] if along < _HAIR else walk.ends[1]
        return False
    before_m = flow.points[walk.now[COUNT] - 1, LEVEL]
    level_m = level_on(land, facet, at, fall)
    put(land, flow, walk, x, y, level_m)
    walk.now[STALLED] = 0 if level_m < before_m else walk.now[STALLED] + 1
    goes_out = outside(land, facet, at, fall, side, walk.spot)
    third = cross(land, facet, at, side)
    if np.isfinite(land.level[third]):
        fall_on(land, facet, fall)
        if goes_on(fall, side):
            return False
    elif goes_out:
        put(land, flow, walk, walk.spot[0], walk.spot[1], level_m)
        return stop(walk, OFF, -1)
    walk.now[CELL] = lower_of(land, walk.ends[0], walk.ends[1], along)
    return False


@kernel
def set_out(land: Land, flow: Flow, walk: Walk, x: float, y: float) -> bool:
    """Begin the way at a point: on its facet, or at its cell's centre where there is none; True when it ends there."""
    cell = np.int64(np.floor(y + 0.5)) * land.stride + np.int64(np.floor(x + 0.5))
    if locate(land, x, y, walk.facet, walk.at):
        fall_on(land, walk.facet, walk.fall)
        put(land, flow, walk, x, y, level_on(land, walk.facet, walk.at, walk.fall))
        walk.now[CELL] = -1
    else:
        put(land, flow, walk, x, y, land.level[cell])
        walk.now[CELL] = cell
    return into_taker(land, flow, walk, x, y)


@kernel
def trace(land: Land, flow: Flow, steps: Ints, walk: Walk, x: float, y: float, sill: int, ways: int) -> None:
    """Trace a way from a point in cells, or from the centre of the cell `sill` (-1: none) by one of `ways`.

    Its points follow those that the flow has, whose count is left as it is. How it ends is in walk.ending: how, and the
    hollow, taker or point; NO_ROOM when the points ran out.
    """
    walk.now[BEGIN] = walk.now[COUNT] = flow.counts[POINTS]
    walk.now[CELL], walk.now[STALLED] = sill, 0
    room = flow.points.shape[0] - _SPARE
    if walk.now[COUNT] > room:
        stop(walk, NO_ROOM, -1)
        return
    ended = set_out(land, flow, walk, x, y) if sill < 0 else False
    while not ended:
        if walk.now[COUNT] > room:
            ended = stop(walk, NO_ROOM, -1)
        elif walk.now[CELL] >= 0:
            ended = from_cell(land, flow, steps, walk, sill, ways)
        else:
            ended = over_facet(land, flow, walk)
