"""The stages of where a tank could stand: the map, its best spots, and what would be put there."""

from __future__ import annotations

import dataclasses
import math
from functools import cached_property

from shapely import Point, union_all

from gardenwater.assess.findings.stand import bed_findings, proposal_findings, safety_of, spots_findings
from gardenwater.assess.inputs import Hashed
from gardenwater.assess.reach_stages import ReachStages
from gardenwater.assess.shaping import buildings_of
from gardenwater.assess.stages import SiteStages
from gardenwater.assess.stand_answer import BedMinutes, ProposedTank, StandAnswer, StandAsk
from gardenwater.assess.stand_edit import (
    fed_diverter,
    measure_of,
    model_tank,
    serving_height_m,
    stand_to_build_m,
    stood,
)
from gardenwater.assess.taken import taken_ground
from gardenwater.findings import Finding
from gardenwater.findings.making import in_order
from gardenwater.ground import level_at
from gardenwater.hydraulics import Line
from gardenwater.reach import (
    BedNeed,
    FeedPoint,
    StandLimits,
    StandMap,
    StandSpot,
    ranked_spots,
    stand_map,
    water_reach,
)
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import (
    Bed,
    Boundary,
    Diverter,
    Downpipe,
    Roof,
    Tank,
)

UNDER_EAVES_M = 0.2
"""How far under the eaves the side outlet of the highest diverter is: bend and body of it; judgement, no source."""
_MOST_SPOTS, _TOLD_SPOTS = 5, 2


class StandStages:
    """Where a tank could stand, for one ask. Needed levels are those of Reach, kept with them."""

    def __init__(self, stages: SiteStages, reach: ReachStages, ask: StandAsk) -> None:
        self._stages, self._reach, self._ask = stages, reach, ask
        self._site, self._bench = stages.site, stages.bench

    @cached_property
    def model(self) -> Tank:
        """The tank that is asked for."""
        return model_tank(self._site, self._ask)

    @cached_property
    def beds(self) -> tuple[Bed, ...]:
        """The beds that are asked for: those named that there are, else all."""
        beds = self._site.of(Bed)
        return tuple(bed for bed in beds if bed.id in self._ask.beds) or beds

    @cached_property
    def line(self) -> Line:
        """The line of the tank, or the usual one."""
        return self._reach.line_for(self.model.id)

    def answer(self, *, coarse: bool = False) -> StandAnswer | None:
        """The map with its best spots (coarse: the map alone); None where no bed has a level, or nothing is asked."""
        if not self.beds:
            return None
        site, inputs = self._site, self._bench.inputs
        key = (self._reach.ground_key, inputs.all_of(site), site.settings, self._ask)
        return self._bench.kept("stand", Hashed((*key, coarse)), lambda: self._answer(coarse=coarse))

    def _answer(self, *, coarse: bool) -> StandAnswer | None:
        needs = tuple(self._needs())
        if not needs:
            return None
        made = self._map(needs)
        beds = tuple(bed.id for bed in self.beds)
        if coarse:
            return StandAnswer(ask=self._ask, model=self.model, beds=beds, map=made)
        ranked = ranked_spots(made, most=_MOST_SPOTS, sure_m=self._stages.ground.level_error_m)
        proposals = tuple(self._proposal(made, spot, rank) for rank, spot in enumerate(ranked.spots, 1))
        told = proposals[:_TOLD_SPOTS]
        of_spots: list[Finding] = [finding for each in told for finding in each.findings]
        return StandAnswer(
            ask=self._ask,
            model=self.model,
            beds=beds,
            map=made,
            proposals=proposals,
            of=ranked.of,
            findings=in_order([*of_spots, *spots_findings(told), *bed_findings(made)]),
        )

    def _needs(self) -> list[BedNeed]:
        found = []
        for bed in self.beds:
            needed = self._reach.needed(bed, self.line)
            if needed is not None:
                found.append(BedNeed(key=bed.id, area_m2=bed.shape.area, needed_level_m=needed))
        return found

    def _map(self, needs: tuple[BedNeed, ...]) -> StandMap:
        edges = [edge.shape for edge in self._site.of(Boundary)]
        ask = self._ask
        return stand_map(
            self._reach.prepared,
            needs=needs,
            feeds=tuple(self._feeds.values()),
            tank=measure_of(self.model, ask.share),
            limits=StandLimits(most_stand_m=ask.most_stand_m, most_feeder_m=ask.most_feeder_m),
            taken=taken_ground(self._site, self.model.id),
            buildings=buildings_of(self._site),
            within=union_all(edges) if edges else None,
            cancel=self._bench.cancel,
            progress=self._bench.progress,
        )

    @cached_property
    def _feeds(self) -> dict[str, FeedPoint]:
        """Each downpipe's highest feed: under the eaves, or its highest diverter where that is higher."""
        site, wires, levels = self._site, self._stages.wires, self._stages.levels
        found: dict[str, FeedPoint] = {}
        for pipe in site.of(Downpipe):
            foot = level_at(levels, pipe.shape.x, pipe.shape.y)
            roof = site.get(wires.roof_of.get(pipe.id, ""))
            heights = [each.height_m for each in site.of(Diverter) if wires.pipe_of.get(each.id) == pipe.id]
            if isinstance(roof, Roof):
                heights.append(max(roof.eaves_height_m - UNDER_EAVES_M, 0.0))
            if heights and math.isfinite(foot):
                at = (pipe.shape.x, pipe.shape.y)
                found[pipe.id] = FeedPoint(key=pipe.id, at=at, level_m=foot + max(heights))
        return found

    # proposals

    def _proposal(self, made: StandMap, spot: StandSpot, rank: int) -> ProposedTank:
        """What would be put on a spot, and what is to be said of it."""
        site, wires = self._site, self._stages.wires
        stand_m = stand_to_build_m(spot.stand_m)
        tank = dataclasses.replace(self.model, shape=Point(spot.at), stand_height_m=stand_m)
        pipe = site.thing(spot.feed, Downpipe)
        foot = level_at(self._stages.levels, pipe.shape.x, pipe.shape.y)
        height_m = round(self._feeds[pipe.id].level_m - foot, 4)
        asked = [(float(need.needed_level_m[self._cell(made, spot)]), need.key) for need in made.needs]
        needed_level_m, hardest = max(pair for pair in asked if pair[1] in spot.beds)
        year = self._stages.catch.year
        proposed = ProposedTank(
            rank=rank,
            spot=spot,
            stand_m=stand_m,
            clears_m=spot.clears_m - (stand_m - spot.stand_m),
            pipe=pipe.id,
            pipe_l=year.pipes[pipe.id].runs_l if year is not None and pipe.id in year.pipes else math.nan,
            needed_level_m=needed_level_m,
            hardest=hardest,
            tank=tank,
            diverter=fed_diverter(site, wires, self.model, pipe, spot.at, height_m),
            beds=self._minutes(tank, spot),
            safety=safety_of(site, tank, self._stages.levels),
        )
        with_it = stood(_unlocked(site, tank.id), proposed)
        found = tuple(proposal_findings(with_it, proposed, self._stages.levels))
        return dataclasses.replace(proposed, findings=found)

    @staticmethod
    def _cell(made: StandMap, spot: StandSpot) -> tuple[int, int]:
        cell = made.ground.cell_at(*spot.at)
        assert cell is not None
        return cell

    def _minutes(self, tank: Tank, spot: StandSpot) -> tuple[BedMinutes, ...]:
        """How long a can takes at each bed when the asked share has been drawn."""
        base = self._reach.prepared.stand_m[self._cell_of(spot.at)]
        level_m = float(base) + tank.stand_height_m + serving_height_m(tank, self._ask.share)
        reach = water_reach(
            self._reach.prepared,
            at=spot.at,
            water_level_m=level_m + 1e-3,
            line=self.line,
            can_l=self._site.settings.can_l,
            cancel=self._bench.cancel,
        )
        rows = []
        for bed in self.beds:
            cell = reach.ground.cell_at(*self._reach.spot(bed))
            minutes = float(reach.minutes_per_can[cell]) if cell is not None and bed.id in spot.beds else math.nan
            rows.append(BedMinutes(bed=bed.id, minutes_per_can=minutes))
        return tuple(rows)

    def _cell_of(self, at: tuple[float, float]) -> tuple[int, int]:
        cell = self._reach.prepared.ground.cell_at(*at)
        assert cell is not None
        return cell


def _unlocked(site: Site, tank_id: str) -> Site:
    """The site with this tank free to be moved: a lock keeps hands off it, not thought."""
    return edits.lock(site, tank_id, locked=False) if tank_id in site else site
