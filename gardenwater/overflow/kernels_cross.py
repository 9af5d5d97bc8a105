"""Steps over facets: which one holds a point, straight down it to a side, and over the side into the next."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.kernels_facets import Ints, is_cut
from gardenwater.overflow.records import Land
from gardenwater.work import kernel

SIDE_Y, SIDE_X, SLANT = 0, 1, 2
"""Sides of a facet: where u is 0, where v is 0, and where u + v is 1."""

Floats = NDArray[np.float64]


@kernel
def locate(land: Land, x: float, y: float, facet: Ints, at: Floats) -> bool:
    """The facet that holds a point, and u and v in it; False where there is none."""
    left, top = np.floor(x), np.floor(y)
    cell = int(top) * land.stride + int(left)
    u, v = x - left, y - top
    east, south = cell + 1, cell + land.stride
    if is_cut(land.level, cell, south + 1, east, south):
        upper = u > v
        facet[0], facet[1], facet[2] = (east, -1, 1) if upper else (south, 1, -1)
        at[0], at[1] = (1.0 - u, v) if upper else (u, 1.0 - v)
    else:
        upper = u + v < 1.0
        facet[0], facet[1], facet[2] = (cell, 1, 1) if upper else (south + 1, -1, -1)
        at[0], at[1] = (u, v) if upper else (1.0 - u, 1.0 - v)
    corner, sx, sy = facet[0], facet[1], facet[2]
    level = land.level
    return bool(
        np.isfinite(level[corner]) and np.isfinite(level[corner + sx]) and np.isfinite(level[corner + sy * land.stride])
    )


@kernel
def cross(land: Land, facet: Ints, at: Floats, side: int) -> int:
    """Go over a side of a facet into the next one, which is written over it; its third corner."""
    corner, sx, sy = facet[0], facet[1], facet[2]
    u, v = at[0], at[1]
    at_x, at_y = corner + sx, corner + sy * land.stride
    if side == SLANT:
        third = at_x + sy * land.stride
        facet[0], facet[1], facet[2] = third, -sx, -sy
        at[0], at[1] = 1.0 - u, 1.0 - v
        return int(third)
    if side == SIDE_X:
        beyond, end, beyond_end = corner - sy * land.stride, at_x, at_x - sy * land.stride
    else:
        beyond, end, beyond_end = corner - sx, at_y, at_y - sx
    turned = is_cut(land.level, corner, beyond_end, end, beyond)
    third = beyond_end if turned else beyond
    facet[0] = end if turned else corner
    if side == SIDE_X:
        facet[1], facet[2] = (-sx, -sy) if turned else (sx, -sy)
        at[0], at[1] = (1.0 - u, 0.0) if turned else (u, 0.0)
    else:
        facet[1], facet[2] = (-sx, -sy) if turned else (-sx, sy)
        at[0], at[1] = (0.0, 1.0 - v) if turned else (0.0, v)
    return int(third)


@kernel
def fall_on(land: Land, facet: Ints, fall: Floats) -> None:
    """Direction of the steepest way on a facet, in u and v for each unit of m²."""
    corner = np.float64(land.level[facet[0]])
    fall[0] = (corner - np.float64(land.level[facet[0] + facet[1]])) / land.cell_x_m**2
    fall[1] = (corner - np.float64(land.level[facet[0] + facet[2] * land.stride])) / land.cell_y_m**2


@kernel
def level_on(land: Land, facet: Ints, at: Floats, fall: Floats) -> float:
    """Level of the surface at a point of a facet, m."""
    down_m = fall[0] * at[0] * land.cell_x_m**2 + fall[1] * at[1] * land.cell_y_m**2
    return float(np.float64(land.level[facet[0]]) - down_m)


@kernel
def leave(at: Floats, fall: Floats) -> int:
    """Go straight down to where the way leaves the facet; the side, -1 on a level one."""
    du, dv = fall[0], fall[1]
    least, side = np.inf, -1
    if du < 0.0 and at[0] / -du < least:
        least, side = at[0] / -du, SIDE_Y
    if dv < 0.0 and at[1] / -dv < least:
        least, side = at[1] / -dv, SIDE_X
    if du + dv > 0.0 and (1.0 - at[0] - at[1]) / (du + dv) < least:
        least, side = max((1.0 - at[0] - at[1]) / (du + dv), 0.0), SLANT
    if side < 0:
        return side
    at[0] = min(max(at[0] + du * least, 0.0), 1.0)
    at[1] = min(max(at[1] + dv * least, 0.0), 1.0)
    if side == SIDE_Y:
        at[0] = 0.0
    elif side == SIDE_X:
        at[1] = 0.0
    else:
        at[1] = 1.0 - at[0]
    return side


@kernel
def ends_of(land: Land, facet: Ints, side: int, ends: Ints) -> None:
    """The cells at the two ends of a side: where v (on the side along y) or u is 0, and 1."""
    corner, at_x, at_y = facet[0], facet[0] + facet[1], facet[0] + facet[2] * land.stride
    ends[0] = at_y if side == SLANT else corner
    ends[1] = at_y if side == SIDE_Y else at_x


@kernel
def outside(land: Land, facet: Ints, at: Floats, fall: Floats, side: int, spot: Floats) -> bool:
    """Whether water that crosses a side with no facet behind it leaves the ground; where, in cells, half a cell on."""
    corner, sx, sy = facet[0], facet[1], facet[2]
    x = corner % land.stride + sx * at[0]
    y = corner // land.stride + sy * at[1]
    at_x, at_y = corner + sx, corner + sy * land.stride
    if side == SLANT:
        spot[0], spot[1] = x + sx * max(0.0, 0.5 - at[0]), y + sy * max(0.0, 0.5 - at[1])
        return bool(land.level[at_x + sy * land.stride] == -np.inf)
    if side == SIDE_X:
        spot[0] = x + sx * min(max(0.5 * fall[0] / -fall[1], -0.5), 0.5)
        spot[1] = y - 0.5 * sy
        back = sy * land.stride
        return bool(land.level[corner - back] == -np.inf or land.level[at_x - back] == -np.inf)
    spot[0] = x - 0.5 * sx
    spot[1] = y + sy * min(max(0.5 * fall[1] / -fall[0], -0.5), 0.5)
    return bool(land.level[corner - sx] == -np.inf or land.level[at_y - sx] == -np.inf)


@kernel
def goes_on(fall: Floats, side: int) -> bool:
    """Whether the steepest way on a facet leads into it from the side by which it was entered."""
    if side == SLANT:
        return bool(fall[0] + fall[1] < 0.0)
    return bool(fall[1] > 0.0) if side == SIDE_X else bool(fall[0] > 0.0)


@kernel
def lower_of(land: Land, one: int, other: int, along: float) -> int:
    """The lower of two cells at the ends of an edge, of equal ones the nearer."""
    if land.level[one] == land.level[other]:
        return one if along < 0.5 else other
    return one if land.level[one] < land.level[other] else other


@kernel
def lowest_corner(land: Land, facet: Ints, at: Floats) -> int:
    """The lowest corner of the facet, of equal ones the nearest: for facets that are level, or all but."""
    corner = facet[0]
    at_x, at_y = corner + facet[1], corner + facet[2] * land.stride
    return lower_of(land, lower_of(land, corner, at_x, at[0]), at_y, at[1])
