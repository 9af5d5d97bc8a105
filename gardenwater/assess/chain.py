"""The chain of levels of each tank: eaves, diverter, inlet, overflow, water, outlet, floor."""

from __future__ import annotations

import math

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.ground import Ground, level_at
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, Downpipe, Roof, Tank


def chains_of(site: Site, ground: Ground) -> tuple[TankChain, ...]:
    """The levels of each tank, in the site's order."""
    return tuple(_chain(site, ground, tank) for tank in site.of(Tank))


def _chain(site: Site, ground: Ground, tank: Tank) -> TankChain:
    here = level_at(ground, tank.shape.x, tank.shape.y)
    floor = here + tank.stand_height_m
    inlet = floor + tank.inlet_height_m
    fed_by = (diverter for diverter in site.of(Diverter) if diverter.tank == tank.id)
    return TankChain(
        tank=tank.id,
        ground_level_m=here,
        floor_level_m=floor,
        outlet_level_m=floor + tank.outlet_height_m,
        water_level_m=floor + tank.water_height_m,
        overflow_level_m=floor + tank.overflow_height_m,
        inlet_level_m=inlet,
        feeds=tuple(_feed(site, ground, diverter, tank, inlet) for diverter in fed_by),
    )


def _feed(site: Site, ground: Ground, diverter: Diverter, tank: Tank, inlet_level_m: float) -> Feed:
    """Diverter and eaves stand over the ground at their downpipe; at the diverter where it is on none."""
    pipe = site.get(diverter.downpipe)
    foot = pipe.shape if isinstance(pipe, Downpipe) else diverter.shape
    foot_level_m = level_at(ground, foot.x, foot.y)
    roof = site.get(pipe.roof) if isinstance(pipe, Downpipe) else None
    diverter_level_m = foot_level_m + diverter.height_m
    return Feed(
        diverter=diverter.id,
        downpipe=diverter.downpipe,
        roof=roof.id if roof is not None else "",
        eaves_level_m=foot_level_m + roof.eaves_height_m if isinstance(roof, Roof) else math.nan,
        diverter_level_m=diverter_level_m,
        length_m=diverter.shape.distance(tank.footprint),
        fall_m=diverter_level_m - inlet_level_m,
    )
