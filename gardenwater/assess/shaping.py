"""What stands up from the ground: buildings, walls, and banks and earthworks, which shape it.

What is drawn is done to the levels as they were measured: a bank that a raster already shows is not drawn again.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.grids import burn
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import Bank, Building, Earthwork, EarthworkForm, Wall

Shapes = tuple[BaseGeometry, ...]
Walls = tuple[tuple[BaseGeometry, float], ...]
"""Outlines, each with how high it stands, m."""
Banks = tuple[tuple[BaseGeometry, float, float], ...]
"""Crests, each with its height and its width at the foot, m."""
Works = tuple[tuple[BaseGeometry, EarthworkForm, float, float | None], ...]
"""Outlines, each with what is done there, the depth of a cut and the level that is given, m."""


def buildings_of(site: Site) -> Shapes:
    """The outlines that stand up from the ground: nothing runs through them."""
    return tuple(building.shape for building in site.of(Building))


def walls_of(site: Site) -> Walls:
    """The walls, each by its outline and its height, m."""
    return tuple((_outline(wall), wall.height_m) for wall in site.of(Wall))


def banks_of(site: Site) -> Banks:
    """The banks, each by its crest, its height and its width at the foot, m."""
    return tuple((bank.shape, bank.height_m, bank.width_m) for bank in site.of(Bank))


def works_of(site: Site) -> Works:
    """The earthworks, in the site's order: a later one works on the ground that an earlier one left."""
    return tuple((work.shape, work.form, work.depth_m, work.level_m) for work in site.of(Earthwork))


def with_works(ground: Ground, works: Works) -> Ground:
    """The ground with its earthworks: in the cells whose centre lies within (all that are touched where none does).

    A cut lowers by its depth. A terrace lies at its level, without one at the mean of its ground, so that what is dug
    fills the rest. A filled hollow is raised to its level, without one to the lowest ground at its rim. The ground
    itself when no cell changes.
    """
    level_m = ground.level_m.copy()
    for shape, form, depth_m, given_m in works:
        inside = burn([shape], ground.transform, ground.shape, leakless=False)
        if not inside.any():
            inside = burn([shape], ground.transform, ground.shape)
        inside &= ~np.isnan(level_m)
        if not inside.any():
            continue
        if form is EarthworkForm.CUT:
            level_m[inside] -= np.float32(depth_m)
        elif form is EarthworkForm.TERRACE:
            level_m[inside] = level_m[inside].mean(dtype=np.float64) if given_m is None else given_m
        else:
            level_m[inside] = np.maximum(
                level_m[inside], _lowest_rim_m(level_m, inside) if given_m is None else given_m
            )
    same = np.array_equal(level_m, ground.level_m, equal_nan=True)
    return ground if same else Ground(level_m, ground.transform, ground.crs)


def _lowest_rim_m(level_m: NDArray[np.float32], inside: NDArray[np.bool_]) -> float:
    """The lowest level beside some cells; -inf where there is none."""
    padded = np.pad(inside, 1)
    beside = np.zeros_like(inside)
    for down in range(3):
        for right in range(3):
            beside |= padded[down : down + inside.shape[0], right : right + inside.shape[1]]
    rim = level_m[beside & ~inside]
    return float(np.nanmin(rim)) if not np.isnan(rim).all() else -np.inf


def _outline(wall: Wall) -> BaseGeometry:
    return wall.shape.buffer(wall.thickness_m / 2, cap_style="flat", join_style="mitre")


def with_banks(ground: Ground, banks: Banks) -> Ground:
    """The ground raised under banks: by the full height along the crest, evenly down to nothing at the foot.

    Where banks overlap the higher counts. The ground itself when there are none on it.
    """
    raised = np.zeros(ground.shape, dtype=np.float32)
    for crest, height_m, width_m in banks:
        _raise_side(raised, ground, crest, height_m, width_m / 2)
        on_crest = burn([crest], ground.transform, ground.shape)
        raised[on_crest] = np.maximum(raised[on_crest], np.float32(height_m))
    return Ground(ground.level_m + raised, ground.transform, ground.crs) if raised.any() else ground


def _raise_side(
    raised: NDArray[np.float32], ground: Ground, crest: BaseGeometry, height_m: float, half_m: float
) -> None:
    """Raise the cells whose centre lies within half the width of a crest."""
    rows, cols = ground.shape
    west, south, east, north = crest.bounds
    left = max(int((west - half_m - ground.transform.c) / ground.cell_x_m), 0)
    right = min(int((east + half_m - ground.transform.c) / ground.cell_x_m) + 1, cols)
    top = max(int((ground.transform.f - north - half_m) / ground.cell_y_m), 0)
    bottom = min(int((ground.transform.f - south + half_m) / ground.cell_y_m) + 1, rows)
    if left >= right or top >= bottom:
        return
    x = ground.transform.c + (np.arange(left, right) + 0.5) * ground.cell_x_m
    y = ground.transform.f - (np.arange(top, bottom) + 0.5) * ground.cell_y_m
    away = shapely.distance(shapely.points(*np.meshgrid(x, y)), crest)
    side = (height_m * np.clip(1.0 - away / half_m, 0.0, 1.0)).astype(np.float32)
    raised[top:bottom, left:right] = np.maximum(raised[top:bottom, left:right], side)
