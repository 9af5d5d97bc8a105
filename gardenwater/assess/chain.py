"""The levels of each tank and of what feeds it, in one row for each tank."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import Point

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.catch import Wiring
from gardenwater.ground import Ground, levels_at
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, Downpipe, Roof, Tank


def chains_of(site: Site, ground: Ground, wires: Wiring) -> tuple[TankChain, ...]:
    """The levels of each tank, in the site's order; feeds by what leads to what (`catch.wiring`).

    Diverter and eaves stand over the ground at the foot of their downpipe; at the diverter where it is on none.
    """
    tanks, diverters = site.of(Tank), site.of(Diverter)
    spots = [*(tank.shape for tank in tanks), *(_foot(site, wires, diverter) for diverter in diverters)]
    levels = levels_at(ground, [spot.x for spot in spots], [spot.y for spot in spots]).tolist()
    feet = {diverter.id: level for diverter, level in zip(diverters, levels[len(tanks) :], strict=True)}
    return tuple(_chain(site, wires, tank, level, feet) for tank, level in zip(tanks, levels, strict=False))


def _foot(site: Site, wires: Wiring, diverter: Diverter) -> Point:
    pipe = site.get(wires.pipe_of.get(diverter.id, ""))
    return pipe.shape if isinstance(pipe, Downpipe) else diverter.shape


def _chain(site: Site, wires: Wiring, tank: Tank, here_m: float, feet: dict[str, float]) -> TankChain:
    """feet: level of the ground under each diverter, by id."""
    floor = here_m + tank.stand_height_m
    inlet = floor + tank.inlet_height_m
    return TankChain(
        tank=tank.id,
        ground_level_m=here_m,
        floor_level_m=floor,
        outlet_level_m=floor + tank.outlet_height_m,
        water_level_m=floor + tank.water_height_m,
        overflow_level_m=floor + tank.overflow_height_m,
        inlet_level_m=inlet,
        feeds=tuple(_feeds(site, wires, tank, inlet, feet)),
    )


def _feeds(site: Site, wires: Wiring, tank: Tank, inlet_level_m: float, feet: dict[str, float]) -> Iterator[Feed]:
    for diverter in site.of(Diverter):
        if wires.tank_of.get(diverter.id) != tank.id:
            continue
        pipe = wires.pipe_of.get(diverter.id, "")
        roof = site.get(wires.roof_of.get(pipe, ""))
        diverter_level_m = feet[diverter.id] + diverter.height_m
        yield Feed(
            diverter=diverter.id,
            downpipe=pipe,
            roof=roof.id if roof is not None else "",
            eaves_level_m=feet[diverter.id] + roof.eaves_height_m if isinstance(roof, Roof) else math.nan,
            diverter_level_m=diverter_level_m,
            length_m=diverter.shape.distance(tank.footprint),
            fall_m=diverter_level_m - inlet_level_m,
        )
