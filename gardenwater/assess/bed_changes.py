"""The smallest change that would let a tank serve a bed, each tried by the forward pass before it is told."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.answers import BedReach, ReachAnswer, Status, TankChain
from gardenwater.assess.bed_change import BedChange, Carry, ChangeKind
from gardenwater.assess.beds import line_to
from gardenwater.assess.reach_stages import ReachStages
from gardenwater.assess.stages import SiteStages
from gardenwater.assess.stand_edit import measure_of, serving_height_m
from gardenwater.assess.taken import taken_ground
from gardenwater.grids import burn
from gardenwater.hydraulics import Line
from gardenwater.reach import Reason, base_fall, feeder_ways, water_reach
from gardenwater.reach.standing import ROOM_M
from gardenwater.site.things import Bed, Building, Diverter, Tank, Tap, Wall
from gardenwater.tables import table

SHARE = 0.5
"""Of what its outlet gives, so much is to serve the bed: half, as for a proposed stand."""
MOST_MOVE_M = 8.0
"""A tank that would go farther gets another place: ask where a tank could stand (judgement, no source)."""
_FEEDER_FALL, _STEEPEST = 0.01, 1.0 / 6.0
_MOST_TRIED = 12
_CARRY_M = 150.0
_HAIR_M = 5e-3


class BedChanges:
    """Changes for the beds that no tank serves today, over one site's stages."""

    def __init__(self, stages: SiteStages, reach: ReachStages, answer: ReachAnswer) -> None:
        self._stages, self._reach, self._answer = stages, reach, answer
        self._site = stages.site
        self._chains = {chain.tank: chain for chain in stages.chains}

    def wider(self, bed: Bed) -> BedChange | None:
        """The least wider bore of the same kind with which the tank that comes nearest serves the bed."""
        row = self._answer.bed(bed.id)
        if row is None or row.reason not in (Reason.SLOW, Reason.TOO_FAR, Reason.RIDGE):
            return None
        tank, chain = self._site.thing(row.tank, Tank), self._chains[row.tank]
        line = self._reach.line_for(tank.id)
        bores = table("line_bores")
        kind = next((each.kind for each in bores if math.isclose(each.bore_mm, line.bore_mm)), "hose")
        level_m = self._serving_level_m(tank, chain)
        wider = [each for each in bores if each.kind == kind and each.bore_mm > line.bore_mm + 1e-6]
        for bore in sorted(wider, key=lambda each: each.bore_mm):
            changed = dataclasses.replace(line, bore_mm=bore.bore_mm)
            if self._serves((tank.shape.x, tank.shape.y), level_m, changed, bed):
                return BedChange(kind=ChangeKind.WIDER, bed=bed.id, tank=tank.id, bore=bore.key)
        return None

    def move(self, bed: Bed) -> BedChange | None:
        """The shortest move of any tank, on its stand as it is, after which half its litres serve the bed."""
        found = [self._moved(bed, row) for each in self._answer.tanks if (row := each.bed(bed.id)) is not None]
        return min((each for each in found if each is not None), key=lambda each: each.moved_m, default=None)

    def carry(self, bed: Bed) -> Carry | None:
        """The shortest way for cans; None where no tank or tap is near, or no way leads there."""
        ground = self._reach.prepared.ground
        walls = [wall.shape.buffer(wall.thickness_m / 2) for wall in self._site.of(Wall)]
        barriers = [*(building.shape for building in self._site.of(Building)), *walls]
        ways = feeder_ways(ground, at=self._reach.spot(bed), barriers=barriers, most_m=_CARRY_M)
        if ways is None:
            return None
        found: list[tuple[float, str]] = []
        sources: tuple[Tank | Tap, ...] = (*self._site.of(Tap), *self._site.of(Tank))
        for source in sources:
            cell = ground.cell_at(source.shape.x, source.shape.y)
            rows, cols = ways.window
            if cell is None or not (rows.start <= cell[0] < rows.stop and cols.start <= cell[1] < cols.stop):
                continue
            away = ways.length_m[
                max(cell[0] - rows.start - 1, 0) : cell[0] - rows.start + 2,
                max(cell[1] - cols.start - 1, 0) : cell[1] - cols.start + 2,
            ]
            if not np.isnan(away).all():
                found.append((float(np.nanmin(away)), source.id))
        if not found:
            return None
        distance_m, source_id = min(found)
        return Carry(bed=bed.id, source=source_id, distance_m=distance_m)

    # one tank

    def _serving_level_m(self, tank: Tank, chain: TankChain) -> float:
        return chain.floor_level_m + serving_height_m(tank, SHARE)

    def _moved(self, bed: Bed, row: BedReach) -> BedChange | None:
        tank, chain = self._site.thing(row.tank, Tank), self._chains[row.tank]
        line = self._reach.line_for(tank.id)
        needed = self._reach.needed(bed, line)
        if needed is None:
            return None
        base = self._reach.prepared.stand_m
        level = base + np.float32(tank.stand_height_m + serving_height_m(tank, SHARE))
        with np.errstate(invalid="ignore"):
            good = (needed <= level) & self._free(tank, chain)
        rows, cols = np.nonzero(good)
        if not rows.size:
            return None
        ground = self._reach.prepared.ground
        x = ground.transform.c + (cols + 0.5) * ground.cell_x_m - tank.shape.x
        y = ground.transform.f - (rows + 0.5) * ground.cell_y_m - tank.shape.y
        away = np.hypot(x, y)
        for index in np.argsort(away, kind="stable")[:_MOST_TRIED]:
            at = ground.centre_of(int(rows[index]), int(cols[index]))
            if self._serves(at, float(level[rows[index], cols[index]]) + _HAIR_M, line, bed):
                moved = float(away[index])
                return BedChange(kind=ChangeKind.MOVE, bed=bed.id, tank=tank.id, moved_m=moved, at=at)
        return None

    def _free(self, tank: Tank, chain: TankChain) -> NDArray[np.bool_]:
        """Where the tank may go on its stand: near, free, level enough, and with its feeders still falling."""
        ground = self._reach.prepared.ground
        half = measure_of(tank, SHARE).half_width_m
        near = burn([tank.shape.buffer(MOST_MOVE_M)], ground.transform, ground.shape, leakless=False)
        shapes = [shape.buffer(half + ROOM_M) for shape in taken_ground(self._site, tank.id)]
        free: NDArray[np.bool_] = near & ~burn(shapes, ground.transform, ground.shape, leakless=False)
        with np.errstate(invalid="ignore"):
            free &= base_fall(ground, half) <= _STEEPEST
        rows, cols = np.nonzero(free)
        inlet = self._reach.prepared.stand_m[rows, cols] + tank.stand_height_m + tank.inlet_height_m
        for feed in chain.feeds:
            spot = self._site.thing(feed.diverter, Diverter)
            if math.isnan(feed.diverter_level_m):
                continue
            x = ground.transform.c + (cols + 0.5) * ground.cell_x_m - spot.shape.x
            y = ground.transform.f - (rows + 0.5) * ground.cell_y_m - spot.shape.y
            length = np.maximum(np.hypot(x, y) - half, 0.0)
            free[rows, cols] &= inlet <= feed.diverter_level_m - _FEEDER_FALL * length
        return free

    def _serves(self, at: tuple[float, float], level_m: float, line: Line, bed: Bed) -> bool:
        """Whether a tank there, its water so high, reaches the bed's spot: by the forward pass."""
        spot = self._reach.spot(bed)
        bench = self._stages.bench
        found = water_reach(
            self._reach.prepared, at=at, water_level_m=level_m, line=line_to(bed, line), cancel=bench.cancel
        )
        cell = found.ground.cell_at(*spot)
        return cell is not None and Reason(found.reason[cell]) is Reason.IN_REACH


def changes_of(
    stages: SiteStages, reach: ReachStages, answer: ReachAnswer
) -> tuple[dict[str, BedChange], dict[str, Carry]]:
    """For each bed that no tank serves today: the least change by bore or place, and the shortest carry, by bed."""
    asked = BedChanges(stages, reach, answer)
    changes: dict[str, BedChange] = {}
    carries: dict[str, Carry] = {}
    for bed in stages.site.of(Bed):
        row = answer.bed(bed.id)
        if row is None or row.reached:
            continue
        change = asked.wider(bed) or (asked.move(bed) if row.status is not Status.SLOW else None)
        if change is not None:
            changes[bed.id] = change
        carry = asked.carry(bed) if row.status is not Status.SLOW else None
        if carry is not None:
            carries[bed.id] = carry
    return changes, carries
