"""The ground as a trench sees it: what a metre costs where, what is barred, and where new things may stand."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.findings.safety import SOAKAWAY_M
from gardenwater.grids import Trench, Ways, burn, ways_from
from gardenwater.ground import Ground, Keep, thin
from gardenwater.site.model import Site
from gardenwater.site.things import (
    Bed,
    Boundary,
    Building,
    Ditch,
    KeepDry,
    Path,
    Pond,
    Roof,
    Soakaway,
    Swale,
    Tank,
    Tree,
    Wall,
)
from gardenwater.work import Cancel

PIPE = Trench(fall=1 / 80, cover_m=0.3, deepest_m=1.2)
"""Fall: 1 in 80, the least of a 100 mm drain in Approved Document H, from memory. Cover and depth: common practice."""
DITCH = Trench(fall=1 / 200, cover_m=0.2, deepest_m=0.7)
"""Fall: swales 1 in 100 to 1 in 300 (European and Ontario design guides). Depths: common practice, no source."""
FROM_BOUNDARY_M = 2.5
"""A soakaway from a boundary: Approved Document H (England) 3.25, seen second-hand."""
APART_M = 10.0
"""Between soakaways: county SuDS guide, seen."""
OPEN_FROM_BUILDING_M = 3.0
"""Open water and rain gardens from a foundation: 10 ft, university extension note, seen second-hand."""

_CELLS_A_SIDE = 260
_PIPE_BY_WALL_M = 1.0
_PIPE_WEIGHTS = {Bed: 4.0, Path: 3.0, KeepDry: 6.0, Tree: 3.0, Wall: 6.0}
_BESIDE_WALL = 6.0
"""What a metre of trench costs there beside open ground (judgement, no source)."""

Weights = NDArray[np.float64]
Mask = NDArray[np.bool_]


def ground_of(thing: object) -> BaseGeometry:
    """The ground that a thing covers, m."""
    if isinstance(thing, Tank):
        return thing.footprint
    if isinstance(thing, Path):
        return thing.band
    if isinstance(thing, Wall):
        return thing.shape.buffer(thing.thickness_m / 2)
    if isinstance(thing, Swale | Ditch):
        return thing.shape.buffer(thing.width_m / 2, cap_style="flat")
    shape: BaseGeometry = thing.shape  # type: ignore[attr-defined]
    return shape


class Terrain:
    """One site's ground for trenches, of at most some 260 cells a side: a trench is not dug to centimetres."""

    def __init__(self, site: Site, ground: Ground, cancel: Cancel | None = None) -> None:
        self.site = site
        self.fine = ground
        factor = max(1, math.ceil(max(ground.shape) / _CELLS_A_SIDE))
        self.ground = thin(ground, factor, Keep.MEAN)
        self._cancel = cancel

    def _shapes(self, *kinds: type) -> list[BaseGeometry]:
        return [ground_of(thing) for thing in self.site if isinstance(thing, kinds)]

    @cached_property
    def buildings(self) -> BaseGeometry:
        """All buildings and roofs, m; what stands up, as one shape."""
        return shapely.union_all(self._shapes(Building))

    @cached_property
    def inside(self) -> BaseGeometry | None:
        """The ground within the boundaries; None where none is drawn."""
        edges = self._shapes(Boundary)
        return shapely.union_all(edges) if edges else None

    @cached_property
    def used(self) -> BaseGeometry:
        """Ground where nothing new may stand: buildings, roofs, tanks, beds, paths, trees, takers, keep-dry ground."""
        kinds = (Building, Roof, Tank, Bed, Path, Tree, Pond, Soakaway, Swale, Ditch, KeepDry, Wall)
        used = shapely.union_all(self._shapes(*kinds))
        shapely.prepare(used)
        return used

    def _burnt(self, shapes: Iterable[BaseGeometry]) -> Mask:
        return burn(shapes, self.ground.transform, self.ground.shape)

    @cached_property
    def outside(self) -> Mask:
        """Cells that are not the site's, or without a level."""
        out = np.isnan(self.ground.level_m)
        if self.inside is not None:
            out = out | ~burn([self.inside.buffer(-0.3)], self.ground.transform, self.ground.shape, leakless=False)
        return out

    @cached_property
    def pipe_weights(self) -> Weights:
        """What a metre of pipe costs: dear through beds, under paths, by walls; no way under buildings and ponds."""
        weight = np.ones(self.ground.shape)
        for kind, dear in _PIPE_WEIGHTS.items():
            cells = self._burnt(self._shapes(kind))
            weight[cells] = np.maximum(weight[cells], dear)
        near = self._burnt([self.buildings.buffer(_PIPE_BY_WALL_M)])
        weight[near] = np.maximum(weight[near], _BESIDE_WALL)
        weight[self._burnt([self.buildings]) | self.outside] = np.inf
        weight[self._burnt(self._shapes(Pond, Tank))] = np.inf
        return weight

    @cached_property
    def ditch_weights(self) -> Weights:
        """What a metre of ditch costs: it is open, so it keeps off buildings, paths, beds and keep-dry ground."""
        weight = np.ones(self.ground.shape)
        weight[self._burnt([self.buildings.buffer(OPEN_FROM_BUILDING_M)]) | self.outside] = np.inf
        weight[self._burnt(self._shapes(Pond, Tank, Bed, Path, KeepDry, Wall, Swale, Ditch, Soakaway))] = np.inf
        weight[self._burnt(self._shapes(Tree))] = 4.0
        return weight

    def pipes_from(self, start: BaseGeometry, into: BaseGeometry | None = None) -> Ways:
        """The cheapest ways of a pipe from the ground of a tank or pipe; that of `into`, where it ends, is free too."""
        ground = self.ground
        room = start.buffer(1.5 * max(ground.cell_x_m, ground.cell_y_m))
        free = self._burnt([room] if into is None else [room, into]) & ~self.outside
        free &= ~burn([self.buildings], ground.transform, ground.shape, leakless=False)
        weight = np.where(free, np.minimum(self.pipe_weights, _BESIDE_WALL), self.pipe_weights)
        return self._ways(weight, (start.centroid.x, start.centroid.y), PIPE)

    def ditches_from(self, start: tuple[float, float]) -> Ways:
        """The cheapest ways of a ditch from a spot."""
        return self._ways(self.ditch_weights, start, DITCH)

    def _ways(self, weight: Weights, start: tuple[float, float], trench: Trench) -> Ways:
        ground = self.ground
        return ways_from(ground.level_m, weight, ground.transform, start=start, trench=trench, cancel=self._cancel)

    def clear_of_all(self, shape: BaseGeometry, from_building_m: float, from_boundary_m: float) -> bool:
        """Whether a new thing may stand there: on nothing, inside, and so far from buildings and the boundary."""
        if shapely.intersects(self.used, shape) or self.buildings.distance(shape) < from_building_m:
            return False
        if self.inside is None:
            west, south, east, north = self.fine.bounds
            return bool(shapely.box(west, south, east, north).contains(shape))
        return bool(self.inside.contains(shape)) and self.inside.boundary.distance(shape) >= from_boundary_m

    def soakaway_may_stand(self, shape: Polygon) -> bool:
        """`clear_of_all` at the distances of a soakaway, other soakaways included."""
        others = [each.shape for each in self.site.of(Soakaway)]
        if any(other.distance(shape) < APART_M for other in others):
            return False
        return self.clear_of_all(shape, SOAKAWAY_M, FROM_BOUNDARY_M)
