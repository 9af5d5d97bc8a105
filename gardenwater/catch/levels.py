"""The chain of levels of a tank: eaves, diverter, inlet, overflow, water, outlet, each under the one before."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from gardenwater.catch.leads import Wiring, wiring
from gardenwater.catch.vessels import floor_level_m
from gardenwater.ground import Ground, level_at
from gardenwater.hydraulics import Line, flow_l_min, head_loss_m
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, Downpipe, Roof, Tank

FEEDER_K = 1.5
"""Loss coefficients of a feeder: sharp entrance 0.5, exit 1 (handbooks)."""


class Rung(StrEnum):
    """The levels of a chain, from the top."""

    EAVES = "eaves"
    DIVERTER = "diverter"
    INLET = "inlet"
    OVERFLOW = "overflow"
    WATER = "water level"
    OUTLET = "outlet"


@dataclass(frozen=True, slots=True)
class Step:
    """One level of the chain, m, and how far it lies under the one before, m (NaN for the first).

    broken: it should lie lower, and does not. An inlet under the overflow works, drowned, and is no break.
    """

    rung: Rung
    level_m: float
    drop_m: float
    broken: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """The levels of one tank by one of its feeds; ids are empty where there is no such thing.

    steps: from the top; without a diverter they begin at the inlet. length_m: of the feeder, from the diverter to the
    tank's outside. fall_m: from the diverter to the inlet. feed_level_m: the diverter less what the feeder loses at the
    diverter's most (NaN without one); over_overflow_m: how far that is above the overflow; under 0 the tank does not
    fill at that flow. most_l_min: what the feeder passes with the tank about to overflow (0: it never fills).
    """

    tank: str
    diverter: str
    downpipe: str
    roof: str
    steps: tuple[Step, ...]
    length_m: float
    fall_m: float
    feed_level_m: float
    over_overflow_m: float
    most_l_min: float

    @property
    def breaks(self) -> tuple[Step, ...]:
        """The broken steps; how far each is off is its negative drop."""
        return tuple(step for step in self.steps if step.broken)


def chain(site: Site, ground: Ground, tank: str, *, wires: Wiring | None = None) -> tuple[Chain, ...]:
    """The chain of levels of a tank for each diverter that feeds it (highest first); one without, where none does.

    Eaves and diverter stand over the ground at the foot of their downpipe, the tank's floor on its stand over the
    ground at its middle. Levels are NaN where the ground has none, and break nothing. Raises EditError for an unknown
    tank.
    """
    wires = wires or wiring(site)
    found = site.thing(tank, Tank)
    feeds = [d for d in site.of(Diverter) if wires.tank_of.get(d.id) == tank and d.id in wires.pipe_of]
    if not feeds:
        return (_chain(site, ground, wires, found, None),)
    chains = [_chain(site, ground, wires, found, diverter) for diverter in feeds]
    return tuple(sorted(chains, key=lambda each: -_level(each, Rung.DIVERTER)))


def _level(chain: Chain, rung: Rung) -> float:
    return next((step.level_m for step in chain.steps if step.rung is rung), -math.inf)


def _chain(site: Site, ground: Ground, wires: Wiring, tank: Tank, diverter: Diverter | None) -> Chain:
    floor_m = floor_level_m(ground, tank)
    inlet_m, overflow_m = floor_m + tank.inlet_height_m, floor_m + tank.overflow_height_m
    levels = [(Rung.INLET, inlet_m), (Rung.OVERFLOW, overflow_m), (Rung.WATER, floor_m + tank.water_height_m)]
    levels.append((Rung.OUTLET, floor_m + tank.outlet_height_m))
    if diverter is None:
        return Chain(
            tank=tank.id,
            diverter="",
            downpipe="",
            roof="",
            steps=_steps(levels),
            length_m=math.nan,
            fall_m=math.nan,
            feed_level_m=math.nan,
            over_overflow_m=math.nan,
            most_l_min=math.nan,
        )
    pipe = site.thing(wires.pipe_of[diverter.id], Downpipe)
    roof = site.get(wires.roof_of.get(pipe.id, ""))
    foot_m = level_at(ground, pipe.shape.x, pipe.shape.y)
    diverter_m = foot_m + diverter.height_m
    above = [(Rung.EAVES, foot_m + roof.eaves_height_m)] if isinstance(roof, Roof) else []
    length_m = diverter.shape.distance(tank.footprint)
    feeder = Line(bore_mm=diverter.feeder_bore_mm, fittings_k=FEEDER_K)
    feed_m = diverter_m - float(head_loss_m(diverter.most_l_min, length_m, feeder))
    return Chain(
        tank=tank.id,
        diverter=diverter.id,
        downpipe=pipe.id,
        roof=roof.id if isinstance(roof, Roof) else "",
        steps=_steps([*above, (Rung.DIVERTER, diverter_m), *levels]),
        length_m=length_m,
        fall_m=diverter_m - inlet_m,
        feed_level_m=feed_m,
        over_overflow_m=feed_m - overflow_m,
        most_l_min=_passes(diverter_m - max(overflow_m, inlet_m), length_m, feeder),
    )


def _passes(head_m: float, length_m: float, feeder: Line) -> float:
    """What a feeder passes under a head, L/min; 0 without one."""
    return float(flow_l_min(head_m, length_m, feeder)) if head_m > 0 else (math.nan if math.isnan(head_m) else 0.0)


def _steps(levels: list[tuple[Rung, float]]) -> tuple[Step, ...]:
    steps: list[Step] = []
    before = math.nan
    for rung, level_m in levels:
        drop_m = before - level_m
        steps.append(Step(rung, level_m, drop_m, broken=drop_m < 0 and rung is not Rung.OVERFLOW))
        before = level_m
    return tuple(steps)
