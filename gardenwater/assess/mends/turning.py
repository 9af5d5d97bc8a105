"""Mends without a trench: the outlet turned to another side, the diverter set so that the rest goes down its pipe."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

from shapely import LineString, Point

from gardenwater.assess.findings.safety import compass_word
from gardenwater.assess.mends.judging import Judge
from gardenwater.assess.mends.leading import pipe_of
from gardenwater.assess.mends.model import Mend, MendKind
from gardenwater.assess.mends.terrain import Terrain
from gardenwater.ground import levels_at
from gardenwater.site.things import Diverter, DiverterKind, Tank

_BEYOND_M = (1.5, 4.0)
"""How far from the tank an outlet without a trench lets the water out (judgement, no source)."""
_LEAST_FALL = 1 / 80


def turned(judge: Judge, terrain: Terrain, owner: str) -> Iterator[Mend]:
    """The tank's outlet on each of eight sides: a short pipe above the ground, its mouth on open ground."""
    site, tank = judge.site, judge.site.get(owner)
    if not isinstance(tank, Tank):
        return
    pipe = pipe_of(site, judge, owner)
    out_m = max(tank.width_m, tank.length_m) / 2
    for beyond_m in _BEYOND_M:
        for turn in range(8):
            away_m, angle = out_m + beyond_m, math.radians(45.0 * turn)
            east, north = away_m * math.sin(angle), away_m * math.cos(angle)
            line = LineString([(tank.shape.x, tank.shape.y), (tank.shape.x + east, tank.shape.y + north)])
            first_m, last_m = levels_at(terrain.fine, *zip(*line.coords, strict=True))
            fall_m = first_m + tank.stand_height_m + tank.overflow_height_m - last_m
            free = terrain.inside is None or terrain.inside.contains(line)
            if free and not line.intersects(terrain.buildings) and fall_m >= line.length * _LEAST_FALL:
                yield Mend(
                    kind=MendKind.OUTLET,
                    owner=owner,
                    things=(dataclasses.replace(pipe, shape=line, taker=""),),
                    side=compass_word(east, north),
                    length_m=line.length,
                    fall_m=float(fall_m),
                    bore_mm=pipe.bore_mm,
                    cost=line.length + _crossed(terrain, line),
                )


def _crossed(terrain: Terrain, line: LineString) -> float:
    """A pipe above the ground over beds and paths is in the way: as dear as three times its length there."""
    return 3.0 * float(line.difference(Point(line.coords[0]).buffer(1.0)).intersection(terrain.used).length)


def back(judge: Judge, owner: str) -> Iterator[Mend]:
    """The diverters that keep feeding the tank stop by themselves: what it cannot hold goes on down the pipe."""
    site, wires = judge.site, judge.stages.catch.wires
    feeding = [
        diverter
        for diverter in site.of(Diverter)
        if wires.tank_of.get(diverter.id) == owner and diverter.form is not DiverterKind.STOPS
    ]
    if feeding:
        stopped = tuple(dataclasses.replace(diverter, form=DiverterKind.STOPS) for diverter in feeding)
        yield Mend(kind=MendKind.BACK, owner=owner, things=stopped, cost=2.0 * len(stopped))
