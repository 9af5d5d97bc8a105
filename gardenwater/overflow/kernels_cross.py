"""Steps over facets: which one holds a point, straight down it to a side, and over the side into the next."""

from __future__ import annotations

import numpy as np

from gardenwater.overflow.kernels_facets import is_cut, is_whole
from gardenwater.overflow.records import Records, Surface
from gardenwater.work import kernel_part

SIDE_Y, SIDE_X, SLANT = 0, 1, 2
"""Sides of a facet: where u is 0, where v is 0, and where u + v is 1."""


@kernel_part
def set_facet(walk: Records, corner: int, sx: int, sy: int, u: float, v: float) -> None:
    """Put the walk on a point of a facet."""
    walk.corner, walk.sx, walk.sy, walk.u, walk.v = corner, sx, sy, u, v


@kernel_part
def locate(surface: Surface, walk: Records) -> bool:
    """Put the walk on the facet that holds the point where it begins; False where there is none."""
    left, top = np.floor(walk.x), np.floor(walk.y)
    cell = int(top) * surface.stride + int(left)
    u, v = walk.x - left, walk.y - top
    east, south = cell + 1, cell + surface.stride
    along = is_cut(surface.level, cell, south + 1, east, south)
    on_right = u > v if along else u + v >= 1.0
    # the right-angled corner: north-east or south-west of a square cut from its north-west, else south-east or itself
    to_east, to_south = on_right, on_right != along
    corner = cell + (1 if to_east else 0) + (surface.stride if to_south else 0)
    sx, sy = (-1 if to_east else 1), (-1 if to_south else 1)
    set_facet(walk, corner, sx, sy, 1.0 - u if to_east else u, 1.0 - v if to_south else v)
    return is_whole(surface, corner, sx, sy)


@kernel_part
def cross(surface: Surface, walk: Records, side: int) -> int:
    """Go over a side of the walk's facet into the next one; its third corner."""
    corner, sx, sy, u, v = walk.corner, walk.sx, walk.sy, walk.u, walk.v
    at_x, at_y = corner + sx, corner + sy * surface.stride
    if side == SLANT:
        set_facet(walk, at_y + sx, -sx, -sy, 1.0 - u, 1.0 - v)
        return int(at_y + sx)
    if side == SIDE_X:
        beyond, end, beyond_end = corner - sy * surface.stride, at_x, at_x - sy * surface.stride
    else:
        beyond, end, beyond_end = corner - sx, at_y, at_y - sx
    if is_cut(surface.level, corner, beyond_end, end, beyond):
        set_facet(walk, end, -sx, -sy, 1.0 - u if side == SIDE_X else 0.0, 1.0 - v if side == SIDE_Y else 0.0)
        return int(beyond_end)
    if side == SIDE_X:
        set_facet(walk, corner, sx, -sy, u, 0.0)
    else:
        set_facet(walk, corner, -sx, sy, 0.0, v)
    return int(beyond)


@kernel_part
def tilt(surface: Surface, walk: Records) -> None:
    """Work out the steepest way on the walk's facet, in u and v for each unit of m²."""
    corner_m = np.float64(surface.level[walk.corner])
    walk.fall_u = (corner_m - np.float64(surface.level[walk.corner + walk.sx])) / surface.cell_x_m**2
    walk.fall_v = (corner_m - np.float64(surface.level[walk.corner + walk.sy * surface.stride])) / surface.cell_y_m**2


@kernel_part
def level_on(surface: Surface, walk: Records) -> float:
    """Level of the surface where the walk is on its facet, m."""
    down_m = walk.fall_u * walk.u * surface.cell_x_m**2 + walk.fall_v * walk.v * surface.cell_y_m**2
    return float(np.float64(surface.level[walk.corner]) - down_m)


@kernel_part
def within(share: float) -> float:
    """A share, kept from 0 to 1."""
    return min(max(share, 0.0), 1.0)


@kernel_part
def leave(walk: Records) -> int:
    """Go straight down to where the way leaves the facet; the side, -1 on a level one."""
    du, dv, u, v = walk.fall_u, walk.fall_v, walk.u, walk.v
    least, side = np.inf, -1
    if du < 0.0 and u / -du < least:
        least, side = u / -du, SIDE_Y
    if dv < 0.0 and v / -dv < least:
        least, side = v / -dv, SIDE_X
    if du + dv > 0.0 and (1.0 - u - v) / (du + dv) < least:
        least, side = (1.0 - u - v) / (du + dv), SLANT
    if side < 0:
        return side
    u, v = within(u + du * least), within(v + dv * least)
    walk.u = 0.0 if side == SIDE_Y else u
    walk.v = 0.0 if side == SIDE_X else (1.0 - u if side == SLANT else v)
    return side


@kernel_part
def outside(surface: Surface, walk: Records, side: int) -> bool:
    """Whether water that crosses a side with no facet behind it leaves the ground; out_x and out_y, half a cell on."""
    level, corner, sx, sy, u, v = surface.level, walk.corner, walk.sx, walk.sy, walk.u, walk.v
    x, y = corner % surface.stride + sx * u, corner // surface.stride + sy * v
    at_x, at_y = corner + sx, corner + sy * surface.stride
    if side == SLANT:
        walk.out_x, walk.out_y = x + sx * max(0.0, 0.5 - u), y + sy * max(0.0, 0.5 - v)
        return bool(level[at_y + sx] == -np.inf)
    if side == SIDE_X:
        walk.out_x = x + sx * min(max(0.5 * walk.fall_u / -walk.fall_v, -0.5), 0.5)
        walk.out_y = y - 0.5 * sy
        back = sy * surface.stride
    else:
        walk.out_x = x - 0.5 * sx
        walk.out_y = y + sy * min(max(0.5 * walk.fall_v / -walk.fall_u, -0.5), 0.5)
        back = sx
    end = at_x if side == SIDE_X else at_y
    return bool(level[corner - back] == -np.inf or level[end - back] == -np.inf)


@kernel_part
def goes_on(walk: Records, side: int) -> bool:
    """Whether the steepest way on the walk's facet leads into it from the side by which it was entered.

    Entered by a slanting side it is one of the new facet too; entered by one along u or v, it is that one again.
    """
    if side == SLANT:
        return bool(walk.fall_u + walk.fall_v < 0.0)
    return bool(walk.fall_v > 0.0) if side == SIDE_X else bool(walk.fall_u > 0.0)


@kernel_part
def lower_of(surface: Surface, one: int, other: int, along: float) -> int:
    """The lower of two cells at the ends of an edge, of equal ones the nearer."""
    if surface.level[one] == surface.level[other]:
        return one if along < 0.5 else other
    return one if surface.level[one] < surface.level[other] else other


@kernel_part
def lowest_corner(surface: Surface, walk: Records) -> int:
    """The lowest corner of the walk's facet, of equal ones the nearest: for facets that are level, or all but."""
    corner = walk.corner
    at_x, at_y = corner + walk.sx, corner + walk.sy * surface.stride
    return lower_of(surface, lower_of(surface, corner, at_x, walk.u), at_y, walk.v)
