"""The one continuous surface that water runs down, and the steepest way down from a cell's centre.

Levels stand at the cells' centres. Four of them make a square, cut along one diagonal into two facets, the planes of
Tarboton's D-infinity (1997, doi 10.1029/96WR03137). His facets of neighbouring cells overlap and differ; here each
square has one cut, along the diagonal whose higher end is the lower (then, the lower sum): so a channel or a gap that
runs diagonally stays open, the facets make one surface without a seam, and what can flow together below some level is
just what eight-neighbour flooding joins. The hollows of the tree are therefore the hollows of this surface.

Cells without water (+inf) and openings (-inf) have no facets. A facet is written by its right-angled corner and the
steps sx, sy (1 or -1, in columns and rows) to its other two: u and v go from 0 at the corner to 1 there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.records import Land, Records, Surface
from gardenwater.work import kernel_part

NOWHERE, ALONG, ACROSS, OUT = 0, 1, 2, 3
"""Kinds of the way on from a cell's centre: none, along an edge to another, across a facet, off the ground."""

ALL_WAYS = 255

Levels = NDArray[np.float32]


@kernel_part
def is_cut(level: Levels, one: int, other: int, left: int, right: int) -> bool:
    """Whether a square is cut from corner `one` to the opposite corner `other`; on a plane (all ties) either way."""
    a, b, c, d = np.float64(level[one]), np.float64(level[other]), np.float64(level[left]), np.float64(level[right])
    a, b = np.float64(np.inf if a == -np.inf else a), np.float64(np.inf if b == -np.inf else b)
    c, d = np.float64(np.inf if c == -np.inf else c), np.float64(np.inf if d == -np.inf else d)
    along, across = max(a, b), max(c, d)
    return bool(a + b <= c + d if along == across else along < across)


@kernel_part
def step_between(sx: int, sy: int) -> int:
    """Number of a step, 0 to 7 by rows from the north-west; the step back is 7 less it."""
    at = (sy + 1) * 3 + sx + 1
    return at - 1 if at > 4 else at


@kernel_part
def beside(stride: int, cell: int, step: int) -> int:
    """The cell that a step leads to."""
    at = step + 1 if step > 3 else step
    return cell + at % 3 - 1 + (at // 3 - 1) * stride


@kernel_part
def is_whole(surface: Surface, corner: int, sx: int, sy: int) -> bool:
    """Whether a facet has a level at each of its corners."""
    level = surface.level
    return bool(
        np.isfinite(level[corner])
        and np.isfinite(level[corner + sx])
        and np.isfinite(level[corner + sy * surface.stride])
    )


@kernel_part
def weigh_edge(surface: Surface, walk: Records, best: float, step: int) -> float:
    """Take the edge that a step from the walk's cell leads along when it is steeper than the best; the best slope."""
    cell, other = walk.cell, beside(surface.stride, walk.cell, step)
    if not np.isfinite(surface.level[other]):
        return best
    at = step + 1 if step > 3 else step
    sx, sy = at % 3 - 1, at // 3 - 1
    if sx * sy != 0:
        at_x, at_y = cell + sx, cell + sy * surface.stride
        if not is_cut(surface.level, cell, other, at_x, at_y):
            return best
    run_m = np.hypot(sx * surface.cell_x_m, sy * surface.cell_y_m)
    slope = (np.float64(surface.level[cell]) - np.float64(surface.level[other])) / run_m
    if slope > best:
        walk.kind, walk.corner = ALONG, other
        return float(slope)
    return best


@kernel_part
def weigh_facet(surface: Surface, walk: Records, best: float, corner: int, sx: int, sy: int, ways: int) -> float:
    """Take a facet at the walk's cell when its steepest way lies inside it there and is steeper than the best."""
    level, cell = surface.level, walk.cell
    at_x, at_y = corner + sx, corner + sy * surface.stride
    if not is_whole(surface, corner, sx, sy):
        return best
    along_x = np.float64(level[at_x]) - np.float64(level[corner])
    along_y = np.float64(level[at_y]) - np.float64(level[corner])
    du, dv = -along_x / surface.cell_x_m**2, -along_y / surface.cell_y_m**2
    # from the corner the facet lies in u > 0, v > 0; from its other two, to the left or right of the slanting side
    inside = (dv > 0.0 or cell == at_y) and (du > 0.0 or cell == at_x) and (cell == corner or du + dv < 0.0)
    slope = np.hypot(along_x / surface.cell_x_m, along_y / surface.cell_y_m)
    if not inside or slope <= best:
        return best
    lowest = at_x if level[at_x] <= level[at_y] else at_y
    if level[corner] < level[lowest]:
        lowest = corner
    row_step = (lowest - cell + surface.stride + 1) // surface.stride - 1
    if not (ways >> step_between(lowest - cell - row_step * surface.stride, row_step)) & 1:
        return best
    walk.kind, walk.corner, walk.sx, walk.sy = ACROSS, corner, sx, sy
    return float(slope)


@kernel_part
def steepest(surface: Surface, walk: Records, ways: int) -> None:
    """The steepest way down from the walk's cell, as its kind and facet; along an edge, corner is the other end.

    ways: bits of the steps that are allowed, ALL_WAYS for all.
    """
    best, cell = 0.0, walk.cell
    for step in range(8):
        if (ways >> step) & 1:
            best = weigh_edge(surface, walk, best, step)
    for turn in range(12):
        sx, sy = 1 - 2 * (turn & 1), 1 - (turn & 2)
        at_x, at_y = cell + sx, cell + sy * surface.stride
        # the facets of a square at this cell: two beside the cut from it, or one in its corner
        place = turn // 4
        if is_cut(surface.level, cell, at_y + sx, at_x, at_y) != (place == 0):
            corner = cell if place == 0 else (at_x if place == 1 else at_y)
            turn_x, turn_y = (-sx if place == 1 else sx), (-sy if place == 2 else sy)
            best = weigh_facet(surface, walk, best, corner, turn_x, turn_y, ways)


@kernel_part
def opens(surface: Surface, walk: Records, ways: int) -> bool:
    """Whether water leaves the ground beside the walk's cell; if so that is the way on, across a side first."""
    for turn in range(8):
        at = (1, 3, 5, 7, 0, 2, 6, 8)[turn]
        sx, sy = at % 3 - 1, at // 3 - 1
        allowed = (ways >> step_between(sx, sy)) & 1
        if allowed and surface.level[walk.cell + sx + sy * surface.stride] == -np.inf:
            walk.kind, walk.sx, walk.sy = OUT, sx, sy
            return True
    return False


@kernel_part
def flat_way(surface: Surface, walk: Records, ways: int) -> None:
    """The way on over the flat on the other side of a sill, when nothing goes down there."""
    for step in range(8):
        other = beside(surface.stride, walk.cell, step)
        if (ways >> step) & 1 and surface.level[other] == surface.level[walk.cell]:
            walk.kind, walk.corner = ALONG, other
            return


@kernel_part
def way_on(land: Land, walk: Records, at_sill: bool) -> None:
    """How water goes on from the walk's cell: its kind, and its facet as in `steepest`.

    From a sill it leaves by one of the ways: off the ground where it can, else down, else over the flat that it has
    reached. Elsewhere it goes down, else out of the flat, else off the ground; NOWHERE from the bottom of a hollow.
    """
    ways = walk.ways if at_sill else walk.ways | ALL_WAYS
    walk.kind = NOWHERE
    if at_sill and opens(land.surface, walk, ways):
        return
    steepest(land.surface, walk, ways)
    if walk.kind != NOWHERE:
        return
    if at_sill:
        flat_way(land.surface, walk, ways)
    elif land.way[walk.cell] > 0:
        step = int(np.int64(land.way[walk.cell])) - 1
        walk.kind, walk.corner = ALONG, beside(land.surface.stride, walk.cell, step)
    else:
        opens(land.surface, walk, ways)
