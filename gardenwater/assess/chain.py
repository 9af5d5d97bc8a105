"""The levels of each tank and of what feeds it, in one row for each tank."""

from __future__ import annotations

import math

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.catch import Wiring
from gardenwater.ground import Ground, level_at
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, Downpipe, Roof, Tank


def chains_of(site: Site, ground: Ground, wires: Wiring) -> tuple[TankChain, ...]:
    """The levels of each tank, in the site's order; feeds by what leads to what (`catch.wiring`)."""
    return tuple(_chain(site, ground, wires, tank) for tank in site.of(Tank))


def _chain(site: Site, ground: Ground, wires: Wiring, tank: Tank) -> TankChain:
    here = level_at(ground, tank.shape.x, tank.shape.y)
    floor = here + tank.stand_height_m
    inlet = floor + tank.inlet_height_m
    fed_by = (diverter for diverter in site.of(Diverter) if wires.tank_of.get(diverter.id) == tank.id)
    return TankChain(
        tank=tank.id,
        ground_level_m=here,
        floor_level_m=floor,
        outlet_level_m=floor + tank.outlet_height_m,
        water_level_m=floor + tank.water_height_m,
        overflow_level_m=floor + tank.overflow_height_m,
        inlet_level_m=inlet,
        feeds=tuple(_feed(site, ground, wires, diverter, tank) for diverter in fed_by),
    )


def _feed(site: Site, ground: Ground, wires: Wiring, diverter: Diverter, tank: Tank) -> Feed:
    """Diverter and eaves stand over the ground at their downpipe; at the diverter where it is on none."""
    pipe = site.get(wires.pipe_of.get(diverter.id, ""))
    foot = pipe.shape if isinstance(pipe, Downpipe) else diverter.shape
    foot_level_m = level_at(ground, foot.x, foot.y)
    roof = site.get(wires.roof_of.get(pipe.id, "")) if pipe is not None else None
    diverter_level_m = foot_level_m + diverter.height_m
    inlet_level_m = level_at(ground, tank.shape.x, tank.shape.y) + tank.stand_height_m + tank.inlet_height_m
    return Feed(
        diverter=diverter.id,
        downpipe=pipe.id if pipe is not None else "",
        roof=roof.id if roof is not None else "",
        eaves_level_m=foot_level_m + roof.eaves_height_m if isinstance(roof, Roof) else math.nan,
        diverter_level_m=diverter_level_m,
        length_m=diverter.shape.distance(tank.footprint),
        fall_m=diverter_level_m - inlet_level_m,
    )
