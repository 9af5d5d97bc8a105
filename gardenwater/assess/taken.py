"""The ground of a site that no tank can stand on, because something stands or lies there."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gardenwater.site.model import Site
from gardenwater.site.things import (
    Bank,
    Bed,
    Building,
    Ditch,
    Door,
    Earthwork,
    Path,
    Pond,
    RainGarden,
    Soakaway,
    Swale,
    Tank,
    Tree,
    TreeForm,
    Wall,
)

DOOR_M = 1.0
"""Free ground before a door: judgement, no source."""


def taken_ground(site: Site, own: str) -> list[BaseGeometry]:
    """The ground that things stand or lie on, but for the tank that is to be moved."""
    shapes: list[BaseGeometry] = [
        thing.shape for kind in (Building, Bed, Pond, Soakaway, RainGarden, Earthwork) for thing in site.of(kind)
    ]
    shapes += [path.band for path in site.of(Path)]
    shapes += [wall.shape.buffer(wall.thickness_m / 2) for wall in site.of(Wall)]
    dug: tuple[Swale | Ditch | Bank, ...] = (*site.of(Swale), *site.of(Ditch), *site.of(Bank))
    shapes += [each.shape.buffer(each.width_m / 2) for each in dug]
    shapes += [tree.shape for tree in site.of(Tree) if tree.form is TreeForm.HEDGE]
    shapes += [tree.shape.centroid for tree in site.of(Tree) if tree.form is TreeForm.TREE]
    shapes += [door.shape.buffer(DOOR_M) for door in site.of(Door)]
    shapes += [tank.footprint for tank in site.of(Tank) if tank.id != own]
    return shapes
