"""What a tank is, and what is changed on the site when one is put on a spot."""

from __future__ import annotations

import dataclasses
import math

from shapely import Point

from gardenwater.assess.stand_answer import ProposedTank, StandAsk
from gardenwater.catch import Wiring
from gardenwater.reach import TankMeasure
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.names import default_name
from gardenwater.site.things import Diverter, Downpipe, Tank, TankForm
from gardenwater.tables import table

BESIDE_PIPE_M = 0.3
"""How far from its pipe a diverter is drawn."""
_CENTIMETRES = 100


def model_tank(site: Site, ask: StandAsk) -> Tank:
    """The tank that is asked for. Raises InputError for a size that the table does not have."""
    known = site.get(ask.tank)
    if isinstance(known, Tank):
        return known
    row = table("tank_sizes").row(ask.size)
    tank = Tank(
        id=site.free_id("tank"),
        name=default_name(site, "tank"),
        shape=Point(0.0, 0.0),
        form=TankForm(row.form),
        width_m=row.width_m,
        length_m=row.length_m,
        depth_m=row.depth_m,
        capacity_l=row.capacity_l,
        empty_kg=row.empty_kg,
        outlet_height_m=row.outlet_height_m,
        inlet_height_m=row.inlet_height_m,
        overflow_height_m=row.overflow_height_m,
        stand_height_m=0.0,
        water_l=row.capacity_l / 2,
    )
    # it comes with the water that is left when the asked share is drawn: what it then reaches is what was said
    left_l = math.ceil(tank.volume_at_m(serving_height_m(tank, ask.share)))
    return dataclasses.replace(tank, water_l=float(min(left_l, tank.capacity_l)))


def serving_height_m(tank: Tank, share: float) -> float:
    """How high the water stands over a tank's floor when `share` of what its outlet gives has been drawn."""
    dead_l = tank.volume_at_m(tank.outlet_height_m)
    return tank.height_at_l(dead_l + (1.0 - share) * (tank.capacity_l - dead_l))


def measure_of(tank: Tank, share: float) -> TankMeasure:
    """What matters of a tank for where it can stand."""
    across = tank.width_m if tank.form is TankForm.UPRIGHT else math.hypot(tank.width_m, tank.length_m)
    return TankMeasure(
        half_width_m=across / 2, inlet_height_m=tank.inlet_height_m, serving_height_m=serving_height_m(tank, share)
    )


def stand_to_build_m(stand_m: float) -> float:
    """A stand to the next whole centimetre."""
    return math.ceil(stand_m * _CENTIMETRES - 1e-2) / _CENTIMETRES


def fed_diverter(
    site: Site, wires: Wiring, tank: Tank, pipe: Downpipe, at: tuple[float, float], height_m: float
) -> Diverter:
    """The diverter that feeds a tank at a spot from a pipe: one that the tank has already, else a new one."""
    own = [each for each in site.of(Diverter) if wires.tank_of.get(each.id) == tank.id]
    own.sort(key=lambda each: wires.pipe_of.get(each.id) != pipe.id)
    away = math.dist(at, (pipe.shape.x, pipe.shape.y)) or 1.0
    share = min(BESIDE_PIPE_M / away, 1.0)
    beside = Point(pipe.shape.x + share * (at[0] - pipe.shape.x), pipe.shape.y + share * (at[1] - pipe.shape.y))
    if own:
        kept = own[0]
        stays = wires.pipe_of.get(kept.id) == pipe.id and kept.height_m >= height_m
        return dataclasses.replace(
            kept,
            shape=kept.shape if wires.pipe_of.get(kept.id) == pipe.id else beside,
            downpipe=pipe.id,
            tank=tank.id,
            height_m=kept.height_m if stays else height_m,
        )
    return Diverter(
        id=site.free_id("diverter"),
        name=default_name(site, "diverter"),
        shape=beside,
        downpipe=pipe.id,
        tank=tank.id,
        height_m=height_m,
    )


def stood(site: Site, proposed: ProposedTank) -> Site:
    """The site with the proposed tank on its spot, on its stand, with the diverter that feeds it.

    A tank that is on the site already goes there with its taps and the ends of its pipes. Raises EditError for a locked
    tank.
    """
    tank, known = proposed.tank, site.get(proposed.tank.id)
    if isinstance(known, Tank):
        moved = edits.move(site, known.id, tank.shape.x - known.shape.x, tank.shape.y - known.shape.y)
        site = edits.change(moved, known.id, stand_height_m=tank.stand_height_m)
        return edits.put(site, proposed.diverter)
    return edits.put(site, tank, proposed.diverter)
