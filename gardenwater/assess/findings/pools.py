"""Findings of pools: on paths, by buildings, over sills, in hollows."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.water import owners_of, word_for
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground, level_at
from gardenwater.overflow import Pool
from gardenwater.site.model import Site
from gardenwater.site.things import Building, Door, Path

FOUNDATION_M = 3.0
"""10 ft from a foundation: university extension note on overflows, seen second-hand."""
WET_M = 0.01
"""Water less deep than a centimetre is a wet path, not a pool: judgement, no source."""
POOL_L = 20.0
"""Pools of less are not named where they do no harm: judgement, no source."""

_AT_DOOR_M = 0.5
_L = 1000.0


def pool_findings(site: Site, answer: OverflowAnswer) -> Iterator[Finding]:
    """Each pool by the gravest that it does; a pool on two paths is named for each."""
    told: set[int] = set()
    for door in site.of(Door):
        if door.keep_dry:
            yield from _over_sill(door, answer, told)
    for building in site.of(Building):
        yield from _by_building(building, answer, told)
    for path in site.of(Path):
        for number, pool in enumerate(answer.spill.pools):
            yield from _on_path(site, path, number, pool, answer, told)
    for number, pool in enumerate(answer.spill.pools):
        if number not in told and pool.volume_m3 * _L >= POOL_L:
            yield _in_hollow(pool, answer)


def _over_sill(door: Door, answer: OverflowAnswer, told: set[int]) -> Iterator[Finding]:
    sill_m = level_at(answer.ground, door.shape.x, door.shape.y) + door.sill_height_m
    near_m = max(door.width_m / 2, _AT_DOOR_M)
    for number, pool in enumerate(answer.spill.pools):
        gap_m = pool.level_m - sill_m
        if gap_m > 0 and pool.outline.distance(door.shape) <= near_m:
            told.add(number)
            numbers = {"gap_m": gap_m, "pool_level_m": pool.level_m, "sill_level_m": sill_m}
            at = (door.shape.x, door.shape.y)
            owners = owners_of(answer.sources, pool.sources)
            yield made("overflow.over-sill", door.id, others=owners, numbers=numbers, at=at, stake=pool.volume_m3 * _L)


def _by_building(building: Building, answer: OverflowAnswer, told: set[int]) -> Iterator[Finding]:
    """All pools within the usual distance as one: the nearest edge, the greatest depth, the litres of all."""
    near = {
        number: pool.outline.distance(building.shape)
        for number, pool in enumerate(answer.spill.pools)
        if pool.depth_m >= WET_M and pool.volume_m3 * _L >= POOL_L
    }
    near = {number: distance_m for number, distance_m in near.items() if distance_m < FOUNDATION_M}
    if not near:
        return
    told.update(near)
    pools = [answer.spill.pools[number] for number in near]
    most = max(pools, key=lambda pool: pool.volume_m3)
    volume_l = math.fsum(pool.volume_m3 for pool in pools) * _L
    numbers = {
        "distance_m": min(near.values()),
        "depth_m": max(pool.depth_m for pool in pools),
        "volume_l": volume_l,
        "limit_m": FOUNDATION_M,
    }
    yield made(
        "overflow.towards-building",
        building.id,
        others=owners_of(answer.sources, sorted({source for pool in pools for source in pool.sources})),
        case="stands",
        numbers=numbers,
        at=most.deepest,
        stake=volume_l,
    )


def _on_path(
    site: Site, path: Path, number: int, pool: Pool, answer: OverflowAnswer, told: set[int]
) -> Iterator[Finding]:
    wet = path.band.intersection(pool.outline)
    if wet.area <= 0:
        return
    depth_m, at = _deepest(answer, wet)
    if depth_m < WET_M:
        return
    told.add(number)
    owners = owners_of(answer.sources, pool.sources)
    volume_l = pool.volume_m3 * _L
    numbers = {
        "volume_l": volume_l,
        "depth_m": depth_m,
        "length_m": max(path.shape.intersection(pool.outline).length, wet.area / path.width_m),
        "soak_h": pool.hours_to_soak,
    }
    yield made(
        "overflow.pool-on-path",
        path.id,
        others=owners,
        case="soaks" if math.isfinite(pool.hours_to_soak) else "stays",
        numbers=numbers,
        words={"what": word_for(site, owners)},
        at=at,
        stake=volume_l,
    )


def _deepest(answer: OverflowAnswer, area: BaseGeometry) -> tuple[float, tuple[float, float]]:
    """Greatest depth of the standing water at cells whose centre lies in an area, m, and where."""
    ground, depth = answer.ground, answer.spill.pool_depth_m
    rows, cols = _window(ground, area)
    x = ground.transform.c + (np.arange(cols.start, cols.stop) + 0.5) * ground.cell_x_m
    y = ground.transform.f - (np.arange(rows.start, rows.stop) + 0.5) * ground.cell_y_m
    inside = shapely.contains_xy(area, *np.meshgrid(x, y))
    found = np.where(inside, depth[rows, cols], 0.0)
    if not found.size:
        return 0.0, (math.nan, math.nan)
    row, col = np.unravel_index(int(found.argmax()), found.shape)
    return float(found[row, col]), (float(x[col]), float(y[row]))


def _window(ground: Ground, area: BaseGeometry) -> tuple[slice, slice]:
    rows, cols = ground.shape
    west, south, east, north = area.bounds
    left = max(int((west - ground.transform.c) / ground.cell_x_m), 0)
    right = min(int((east - ground.transform.c) / ground.cell_x_m) + 1, cols)
    top = max(int((ground.transform.f - north) / ground.cell_y_m), 0)
    bottom = min(int((ground.transform.f - south) / ground.cell_y_m) + 1, rows)
    return slice(top, max(bottom, top)), slice(left, max(right, left))


def _in_hollow(pool: Pool, answer: OverflowAnswer) -> Finding:
    volume_l = pool.volume_m3 * _L
    return made(
        "overflow.pool-in-hollow",
        others=owners_of(answer.sources, pool.sources),
        case="soaks" if math.isfinite(pool.hours_to_soak) else "stays",
        numbers={"volume_l": volume_l, "depth_m": pool.depth_m, "soak_h": pool.hours_to_soak},
        at=pool.deepest,
        stake=volume_l,
    )
