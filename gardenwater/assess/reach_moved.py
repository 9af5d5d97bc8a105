"""Reach while one tank is in the hand: its own map, what that says of the beds, and all else as it was last known.

A frame of a drag has a few milliseconds. The rows of the beds are read off the map all at once, as `beds.bed_reach`
reads each without following its way; the maps of the other tanks do not change while this one moves.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from gardenwater.assess.answers import Answers, BedReach, BestReach, ReachAnswer, TankChain
from gardenwater.assess.bed_rows import BedCells, BedNeeds, bed_rows
from gardenwater.assess.beds import line_to
from gardenwater.assess.lines import before_of
from gardenwater.assess.reach_stages import ReachStages
from gardenwater.assess.reaching import best_bed, store_of
from gardenwater.assess.stages import SiteStages
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line
from gardenwater.reach import ReachMap
from gardenwater.site.model import Site
from gardenwater.site.things import Gutter, Link, Overflow, Tank, WateringLine

_HANGING = (Gutter, Link, Overflow)
"""What may follow a tank that is moved without a word to the reach of any other."""


def moved_only(stages: SiteStages, last: Answers, tank_id: str) -> bool:
    """Whether a site differs from that of the last exact answers by one tank, and what is drawn from it, only."""
    site, before = stages.site, last.site
    if stages.levels.digest != last.ground.ground.digest or not _same_apart(site, before):
        return False
    tank_of = stages.wires.tank_of
    pairs = zip(site.things, before.things, strict=True)
    changed = (new for new, old in pairs if new is not old)
    return all(
        each.id == tank_id
        or isinstance(each, _HANGING)
        or (isinstance(each, WateringLine) and tank_of.get(each.id) == tank_id)
        for each in changed
    )


def _same_apart(site: Site, before: Site) -> bool:
    """Whether all but the things is the same, and these are the same by their ids."""
    same = all(
        getattr(site, each.name) is getattr(before, each.name)
        for each in dataclasses.fields(Site)
        if each.init and each.name != "things"
    )
    return same and [each.id for each in site.things] == [each.id for each in before.things]


def moved_reach(
    reaches: ReachStages, exact: ReachStages, last: ReachAnswer, tank: Tank, chain: TankChain
) -> ReachAnswer:
    """Reach with the map of one tank made anew. `best` is that of the last answer, as the tank stood then.

    exact: the stages that the last exact answer was made with; what the beds need is at hand there.
    """
    reach, sureness = reaches.map_of(tank, chain)
    own = dataclasses.replace(
        next(each for each in last.tanks if each.tank == tank.id),
        map=reach,
        sureness=sureness,
        line=reaches.line_for(tank.id),
        water_level_m=chain.water_level_m,
        floor_level_m=chain.floor_level_m,
        outlet_level_m=chain.outlet_level_m,
        overflow_level_m=chain.overflow_level_m,
        laying=reaches.laying_of(tank),
        beds=_rows(reaches, exact, tank, chain, reach),
        at_levels=(),
    )
    rest = reaches.bench.kept(
        "beds by the others", (id(last), tank.id), lambda: (last, best_of_rest(last, tank.id)), has_arrays=False
    )[1]
    beds = tuple(map(_better, own.beds, rest))
    ground = reaches.prepared.ground
    return ReachAnswer(
        ground=ground,
        tanks=tuple(own if each.tank == tank.id else each for each in last.tanks),
        best=_best_on(ground, last, reaches),
        beds=beds,
        beds_reached=sum(bed.reached for bed in beds),
    )


def best_of_rest(last: ReachAnswer, tank_id: str) -> tuple[BedReach | None, ...]:
    """For each bed the tank that serves it best but for one; None where that is the only tank."""
    others = [each.beds for each in last.tanks if each.tank != tank_id]
    if not others:
        return (None,) * len(last.beds)
    return tuple(best_bed(rows) for rows in zip(*others, strict=True))


def _better(own: BedReach, rest: BedReach | None) -> BedReach:
    return own if rest is None else best_bed((own, rest))


def _best_on(ground: Ground, last: ReachAnswer, reaches: ReachStages) -> BestReach:
    """The best of all tanks of the last answer on a grid: of a block of cells that of its middle one."""
    if last.ground.shape == ground.shape:
        return last.best

    def work() -> tuple[ReachAnswer, BestReach]:
        factor = math.ceil(last.ground.shape[0] / ground.shape[0])
        spots = [
            np.minimum(np.arange(coarse) * factor + factor // 2, fine - 1)
            for fine, coarse in zip(last.ground.shape, ground.shape, strict=True)
        ]
        thinned = {each.name: getattr(last.best, each.name)[np.ix_(*spots)] for each in dataclasses.fields(BestReach)}
        return last, BestReach(**thinned)

    key = (id(last), ground.shape)  # `last` is kept with it, so that its id stays its own; its arrays count elsewhere
    return reaches.bench.kept("best reach, thinned", key, work, array_parts=lambda kept: kept[1])[1]


def _rows(
    reaches: ReachStages, exact: ReachStages, tank: Tank, chain: TankChain, reach: ReachMap
) -> tuple[BedReach, ...]:
    """What the tank does for each bed, read off its map."""
    bench, ground = reaches.bench, reaches.prepared.ground
    cells = bench.kept("cells of beds", (reaches.ground_key, reaches.beds_key), lambda: _cells(reaches))
    laying = reaches.laying_of(tank)
    key = (exact.ground_key, exact.beds_key, laying.line)
    needs = exact.bench.kept("needs of beds", key, lambda: _needs(exact, laying.line))
    return bed_rows(
        cells,
        tank,
        store_of(chain),
        reach,
        needed=needs.here(exact.prepared.ground.cell_at(*laying.start)),
        errors=reaches.error_of(tank),
        before=before_of(laying, ground),
    )


def _cells(reaches: ReachStages) -> BedCells:
    beds = reaches.beds
    return BedCells.of(
        reaches.prepared.ground, beds, [reaches.spot(bed) for bed in beds], [reaches.cells(bed) for bed in beds]
    )


def _needs(exact: ReachStages, line: Line) -> BedNeeds:
    return BedNeeds(tuple(exact.need(bed, exact.spot(bed), line_to(bed, line)) for bed in exact.beds))
