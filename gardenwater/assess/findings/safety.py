"""Findings of safety: stands, lids, ponds, soakaways, taps."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground, levels_at
from gardenwater.site.model import Site
from gardenwater.site.things import Building, Pond, Soakaway, Tank, Tap, Wall

HIGH_STAND_M = 0.6
"""Over it a stand needs a builder's advice: judgement, no source."""
HEAVY_KG = 1000.0
"""Over it a tank needs a structural engineer's look: judgement, no source."""
LOW_STAND_M = 0.3
"""A heavy tank on a stand up to so much counts as standing on a base: judgement, no source."""
SLENDER = 2.0
"""Height to the least width of the base: common practice, no source."""
BEARING_KPA = 71.8
"""Presumed bearing of clay and silt: IBC Table 1806.2, 1,500 lb/sq ft, seen in public code."""
STEEP_ONE_IN = 10.0
"""Ground under a tank steeper than 1 in 10: judgement, no source."""
HEAD_M = 0.09
"""Openings over 0.089 m let a child's body through: EN 1176-1, playground equipment, from memory."""
SOAKAWAY_M = 5.0
"""From a building: Approved Document H (England) 3.25, seen second-hand."""

_GRAVITY = 9.81
_COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def safety_findings(site: Site, ground: Ground) -> Iterator[Finding]:
    """Who may be hurt and what may be harmed, by what stands on the plan."""
    for tank in site.of(Tank):
        yield from tank_findings(site, tank, ground)
    for pond in site.of(Pond):
        if pond.children_about:
            yield made("safety.pond-open", pond.id, numbers={"depth_m": pond.depth_m}, stake=pond.depth_m)
    for soakaway in site.of(Soakaway):
        yield from _soakaway(soakaway, site)
    for tap in site.of(Tap):
        yield made("safety.tap-not-drinking", tap.id)


def tank_findings(site: Site, tank: Tank, ground: Ground) -> Iterator[Finding]:
    """What may fall, press, slide or be fallen into, of one tank as it stands (or would stand)."""
    yield from _stand(tank)
    yield from _ground_under(tank, ground)
    yield from _walls(tank, site)
    yield from _lid_and_light(tank)


def full_weight_kg(tank: Tank) -> float:
    """Weight of a full tank: a litre of water is a kilogram."""
    return tank.empty_kg + tank.capacity_l


def base_pressure_kpa(tank: Tank) -> float:
    """What a full tank presses on its base, spread evenly over its outline."""
    return full_weight_kg(tank) * _GRAVITY / tank.footprint.area / 1000.0


def _stand(tank: Tank) -> Iterator[Finding]:
    """One finding for each stand, the gravest; a slender one and an overloaded base are matters of their own."""
    weight, base = full_weight_kg(tank), tank.footprint.area
    numbers = {
        "weight_kg": weight,
        "base_m2": base,
        "pressure_kpa": base_pressure_kpa(tank),
        "stand_m": tank.stand_height_m,
    }
    if tank.stand_height_m > HIGH_STAND_M:
        yield made("safety.stand-high", tank.id, numbers={**numbers, "limit_m": HIGH_STAND_M}, stake=weight)
    elif weight > HEAVY_KG and tank.stand_height_m > LOW_STAND_M:
        yield made("safety.stand-heavy", tank.id, numbers={**numbers, "limit_m": LOW_STAND_M}, stake=weight)
    elif weight > HEAVY_KG:
        yield made("safety.tank-heavy", tank.id, numbers=numbers, stake=weight)
    width, height = least_width_m(tank), tank.stand_height_m + tank.depth_m
    if height > SLENDER * width:
        shape = {"height_m": height, "width_m": width, "ratio": round(height / width, 1)}
        yield made("safety.tank-slender", tank.id, numbers=shape, stake=weight)
    pressure = base_pressure_kpa(tank)
    if pressure > BEARING_KPA:
        load = {"pressure_kpa": pressure, "bearing_kpa": BEARING_KPA, "weight_kg": weight}
        yield made("safety.base-pressure", tank.id, numbers=load, stake=weight)


def least_width_m(tank: Tank) -> float:
    """The shorter side of the smallest box round the outline."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(tank.footprint))
    return min(math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2]))


def _ground_under(tank: Tank, ground: Ground) -> Iterator[Finding]:
    """The slope under a tank, from levels at the four ends of a cross half a metre beyond its outline."""
    arm = max(tank.footprint.bounds[2] - tank.footprint.bounds[0], 1.0) / 2 + 0.5
    arm = max(arm, ground.cell_x_m, ground.cell_y_m)
    x, y = tank.shape.x, tank.shape.y
    east, west, north, south = levels_at(ground, [x + arm, x - arm, x, x], [y, y, y + arm, y - arm])
    slope = math.hypot(east - west, north - south) / (2 * arm)
    if slope > 1 / STEEP_ONE_IN:
        across = max(tank.width_m, tank.length_m if tank.form != "upright" else 0.0)
        numbers = {"fall_m": slope * across, "one_in": 1 / slope, "weight_kg": full_weight_kg(tank)}
        yield made("safety.tank-on-slope", tank.id, numbers=numbers, stake=full_weight_kg(tank))


def _walls(tank: Tank, site: Site) -> Iterator[Finding]:
    """The nearest wall that is higher than the tank is far from it: a load spreads at about one in one."""
    near = [
        (distance, wall)
        for wall in site.of(Wall)
        if (distance := _between_m(tank.footprint, wall.shape.buffer(wall.thickness_m / 2))) < wall.height_m
    ]
    if near and full_weight_kg(tank) > HEAVY_KG:
        distance, wall = min(near, key=lambda pair: (pair[0], pair[1].id))
        numbers = {"distance_m": distance, "wall_m": wall.height_m, "weight_kg": full_weight_kg(tank)}
        yield made("safety.tank-near-wall", tank.id, others=(wall.id,), numbers=numbers, stake=full_weight_kg(tank))


def _between_m(one: BaseGeometry, other: BaseGeometry) -> float:
    return float(one.distance(other))


def _lid_and_light(tank: Tank) -> Iterator[Finding]:
    if tank.children_about and not tank.lid_locks and tank.lid_opening_m > HEAD_M:
        yield made("safety.lid-open", tank.id, numbers={"opening_m": tank.lid_opening_m}, stake=tank.capacity_l)
    if not tank.opaque:
        yield made("safety.tank-translucent", tank.id, stake=tank.capacity_l)


def _soakaway(soakaway: Soakaway, site: Site) -> Iterator[Finding]:
    """The nearest building within the usual distance, and which way is off from it."""
    near = [
        (distance, building)
        for building in site.of(Building)
        if (distance := _between_m(soakaway.shape, building.shape)) < SOAKAWAY_M
    ]
    if not near:
        return
    distance, building = min(near, key=lambda pair: (pair[0], pair[1].id))
    numbers = {"distance_m": distance, "limit_m": SOAKAWAY_M, "missing_m": SOAKAWAY_M - distance}
    yield made(
        "safety.soakaway-near",
        soakaway.id,
        others=(building.id,),
        numbers=numbers,
        words={"away": _way_off(building.shape, soakaway.shape)},
        stake=SOAKAWAY_M - distance,
    )


def _way_off(start: BaseGeometry, thing: BaseGeometry) -> str:
    """The compass word of the shortest way from `start` to the thing; between their middles where they touch."""
    (x0, y0), (x1, y1) = shapely.shortest_line(start, thing).coords
    if math.dist((x0, y0), (x1, y1)) == 0.0:
        (x0, y0), (x1, y1) = start.centroid.coords[0], thing.centroid.coords[0]
    return compass_word(x1 - x0, y1 - y0)


def compass_word(dx_m: float, dy_m: float) -> str:
    """The one of eight compass words that a way to the east and north goes to."""
    bearing_deg = math.degrees(math.atan2(dx_m, dy_m)) % 360.0
    return _COMPASS[round(bearing_deg / 45.0) % 8]
