"""Findings of ground underfoot: where the lie of the land, or a tap, keeps it soft on paths and by buildings.

What spilled water makes soft is told with the water, in litres (`pools`, `ways`).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.findings.pools import FOUNDATION_M
from gardenwater.assess.mud import MudAnswer
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.grids import burn
from gardenwater.overflow import MudWhy, Underfoot
from gardenwater.site.model import Site
from gardenwater.site.things import Building, Path, Tap

LEAST_M2 = 1.0
"""Soft ground of less is not named: judgement, no source."""
TAP_FROM_BUILDING_M = 1.0
"""Drips nearer to a wall keep it wet: judgement, no source."""

_WATER = MudWhy.POOL | MudWhy.WAY
Mask = NDArray[np.bool_]


def mud_findings(site: Site, answer: MudAnswer) -> Iterator[Finding]:
    """Soft ground that no spill makes, on paths and by buildings, the most of it first within its kind."""
    soft = _by_the_lie(answer)
    for path in site.of(Path):
        yield from _on_path(path, answer, soft)
    yield from _by_buildings(site, answer, soft)
    for tap in site.of(Tap):
        yield from _at_tap(tap, site)


def _by_the_lie(answer: MudAnswer) -> Mask:
    """Cells that are soft for the lie of the land, and for no water that was spilled."""
    why = answer.mud.why
    by_lie = (why & np.uint8(MudWhy.LIE) > 0) & (why & np.uint8(_WATER) == 0)
    soft: Mask = (answer.mud.underfoot >= Underfoot.SOFT) & by_lie
    return soft


def _within(answer: MudAnswer, area: BaseGeometry, soft: Mask) -> Mask:
    """The soft cells of an area."""
    ground = answer.ground
    cells: Mask = soft & burn([area], ground.transform, ground.shape, leakless=False)
    return cells


def _area_m2(answer: MudAnswer, cells: Mask) -> float:
    return float(cells.sum()) * answer.ground.cell_x_m * answer.ground.cell_y_m


def _wettest(answer: MudAnswer, cells: Mask) -> tuple[float, float]:
    """The cell that gathers most, x and y, m."""
    index = np.where(cells, answer.wetness.index, -np.inf)
    row, col = np.unravel_index(int(index.argmax()), index.shape)
    return answer.ground.centre_of(int(row), int(col))


def _on_path(path: Path, answer: MudAnswer, soft: Mask) -> Iterator[Finding]:
    cells = _within(answer, path.band, soft)
    area_m2 = _area_m2(answer, cells)
    if area_m2 >= LEAST_M2:
        numbers = {"length_m": area_m2 / path.width_m, "area_m2": area_m2}
        yield made("overflow.soft-path", path.id, numbers=numbers, at=_wettest(answer, cells), stake=area_m2)


def _by_buildings(site: Site, answer: MudAnswer, soft: Mask) -> Iterator[Finding]:
    """The building with the most at stake speaks for all: on a flat town's ground nearly every one has such ground."""
    found = [each for building in site.of(Building) if (each := _by_building(building, answer, soft)) is not None]
    worst = max(found, key=lambda each: each.stake, default=None)
    if worst is None or len(found) == 1:
        yield from found
        return
    numbers = {**dict(worst.numbers), "count": float(len(found))}
    yield made(worst.code, worst.subject, case="several", numbers=numbers, at=worst.at, stake=worst.stake)


def _by_building(building: Building, answer: MudAnswer, soft: Mask) -> Finding | None:
    """How much of the ground within the usual distance is soft, and how near the nearest of it comes."""
    cells = _within(answer, building.shape.buffer(FOUNDATION_M).difference(building.shape), soft)
    area_m2 = _area_m2(answer, cells)
    if area_m2 < LEAST_M2:
        return None
    centres = [answer.ground.centre_of(int(row), int(col)) for row, col in np.argwhere(cells)]
    distance_m = float(shapely.distance(shapely.points(centres), building.shape).min())
    numbers = {"area_m2": area_m2, "distance_m": distance_m, "limit_m": FOUNDATION_M}
    stake = area_m2 * (1.0 - distance_m / (2.0 * FOUNDATION_M))
    at = _wettest(answer, cells)
    return made("overflow.soft-by-building", building.id, numbers=numbers, at=at, stake=stake)


def _at_tap(tap: Tap, site: Site) -> Iterator[Finding]:
    near = [(building.shape.distance(tap.shape), building.id) for building in site.of(Building)]
    distance_m, building = min(near, default=(np.inf, ""))
    if distance_m < TAP_FROM_BUILDING_M:
        at = (tap.shape.x, tap.shape.y)
        numbers = {"distance_m": float(distance_m)}
        yield made("overflow.tap-by-wall", tap.id, others=(building,), numbers=numbers, at=at, stake=1.0 - distance_m)
