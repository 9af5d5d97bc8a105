"""The one continuous surface that water runs down, and the steepest way down from a point of it.

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

from gardenwater.overflow.records import Land
from gardenwater.work import kernel

NOWHERE, ALONG, ACROSS, OUT = 0, 1, 2, 3
"""The steepest way down from a cell's centre: none, along an edge to another centre, across a facet, off the ground."""

ALL_WAYS = 255

Ints = NDArray[np.int64]


@kernel
def solid(level: NDArray[np.float32], cell: int) -> float:
    """Level of a cell, +inf where there is no surface."""
    value = np.float64(level[cell])
    return value if np.isfinite(value) else np.inf


@kernel
def is_cut(level: NDArray[np.float32], one: int, other: int, left: int, right: int) -> bool:
    """Whether a square is cut from corner `one` to the opposite corner `other`; on a plane (all ties) either way."""
    a, b = solid(level, one), solid(level, other)
    c, d = solid(level, left), solid(level, right)
    along, across = max(a, b), max(c, d)
    return a + b <= c + d if along == across else along < across


@kernel
def step_between(sx: int, sy: int) -> int:
    """Number of a step, 0 to 7 by rows from the north-west; the step back is 7 less it."""
    at = (sy + 1) * 3 + sx + 1
    return at - 1 if at > 4 else at


@kernel
def _better(pick: Ints, best: float, slope: float, kind: int, corner: int, sx: int, sy: int) -> float:
    if slope <= best:
        return best
    pick[0], pick[1], pick[2], pick[3] = kind, corner, sx, sy
    return slope


@kernel
def _edge(
    land: Land, cell: int, beside: int, run_m: float, ways: int, sx: int, sy: int, pick: Ints, best: float
) -> float:
    """Weigh the edge to a neighbour."""
    if not np.isfinite(land.level[beside]) or not (ways >> step_between(sx, sy)) & 1:
        return best
    slope = (np.float64(land.level[cell]) - np.float64(land.level[beside])) / run_m
    return _better(pick, best, slope, ALONG, beside, sx, sy)


@kernel
def _facet(land: Land, cell: int, corner: int, sx: int, sy: int, ways: int, pick: Ints, best: float) -> float:
    """Weigh a facet at a cell, when its steepest way lies inside it there."""
    level = land.level
    at_x, at_y = corner + sx, corner + sy * land.stride
    if not (np.isfinite(level[corner]) and np.isfinite(level[at_x]) and np.isfinite(level[at_y])):
        return best
    along_x = np.float64(level[at_x]) - np.float64(level[corner])
    along_y = np.float64(level[at_y]) - np.float64(level[corner])
    du, dv = -along_x / land.cell_x_m**2, -along_y / land.cell_y_m**2
    if cell == corner:
        inside = du > 0.0 and dv > 0.0
    elif cell == at_x:
        inside = dv > 0.0 and du + dv < 0.0
    else:
        inside = du > 0.0 and du + dv < 0.0
    if not inside:
        return best
    lowest = at_x if level[at_x] <= level[at_y] else at_y
    if level[corner] < level[lowest]:
        lowest = corner
    row_step = (lowest - cell + land.stride + 1) // land.stride - 1
    if not (ways >> step_between(lowest - cell - row_step * land.stride, row_step)) & 1:
        return best
    slope = np.hypot(along_x / land.cell_x_m, along_y / land.cell_y_m)
    return _better(pick, best, slope, ACROSS, corner, sx, sy)


@kernel
def steepest(land: Land, cell: int, ways: int, pick: Ints) -> float:
    """The steepest way down from a cell's centre, into pick: kind, corner (or the cell at the other end), sx, sy.

    ways: bits of the steps that are allowed, 255 for all. The slope; 0 when the way is NOWHERE.
    """
    best = 0.0
    pick[0] = NOWHERE
    diagonal_m = np.hypot(land.cell_x_m, land.cell_y_m)
    for quarter in range(4):
        sx, sy = 1 - 2 * (quarter & 1), 1 - (quarter & 2)
        at_x, at_y = cell + sx, cell + sy * land.stride
        across = at_x + sy * land.stride
        best = _edge(land, cell, at_x, land.cell_x_m, ways, sx, 0, pick, best)
        best = _edge(land, cell, at_y, land.cell_y_m, ways, 0, sy, pick, best)
        if is_cut(land.level, cell, across, at_x, at_y):
            best = _edge(land, cell, across, diagonal_m, ways, sx, sy, pick, best)
            best = _facet(land, cell, at_x, -sx, sy, ways, pick, best)
            best = _facet(land, cell, at_y, sx, -sy, ways, pick, best)
        else:
            best = _facet(land, cell, cell, sx, sy, ways, pick, best)
    return best


@kernel
def way_on(land: Land, steps: Ints, cell: int, ways: int, from_sill: bool, pick: Ints) -> None:
    """How water goes on from a cell's centre, into pick as in `steepest`.

    From a sill it leaves by one of `ways`: off the ground where it can, else down, else over the flat that it has
    reached. Elsewhere it goes down, else out of the flat, else off the ground; NOWHERE from the bottom of a hollow.
    """
    pick[0] = NOWHERE
    if from_sill and _opening(land, steps, cell, ways, pick):
        return
    if steepest(land, cell, ways, pick) > 0.0:
        return
    if from_sill:
        for step in range(8):
            beside = cell + steps[step]
            if (ways >> step) & 1 and land.level[beside] == land.level[cell]:
                pick[0], pick[1] = ALONG, beside
                return
    elif land.way[cell] > 0:
        pick[0], pick[1] = ALONG, cell + steps[land.way[cell] - 1]
    else:
        _opening(land, steps, cell, ways, pick)


@kernel
def _opening(land: Land, steps: Ints, cell: int, ways: int, pick: Ints) -> bool:
    """Find a neighbour where water leaves the ground, one across a side before one across a corner."""
    for step in (1, 3, 4, 6, 0, 2, 5, 7):
        if (ways >> step) & 1 and land.level[cell + steps[step]] == -np.inf:
            at = step + 1 if step > 3 else step
            pick[0], pick[1], pick[2], pick[3] = OUT, cell + steps[step], at % 3 - 1, at // 3 - 1
            return True
    return False
