"""The stages of Reach: barriers on the ground, a map for each tank and level, needed levels for each bed, the best."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.answers import BedReach, BestReach, ReachAnswer, TankChain, TankReach
from gardenwater.assess.beds import Here, Place, bed_reach, cells_of, line_to, spot_of
from gardenwater.assess.inputs import Hashed
from gardenwater.assess.lines import Laying, before_of, drawn_lines, laying_of, line_of
from gardenwater.assess.reaching import Errors as CellErrors
from gardenwater.assess.reaching import (
    at_levels,
    best_bed,
    best_of,
    cell_errors,
    dry_map,
    error_at,
    store_of,
    sureness_of,
)
from gardenwater.assess.shaping import buildings_of, walls_of
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.assess.together import flows_together
from gardenwater.hydraulics import Line
from gardenwater.reach import LevelError, Needed, Prepared, ReachMap, needed, prepare, side_by_side, water_reach
from gardenwater.site.things import Bed, Tank, WateringLine


class ReachStages:
    """Reach on cells `factor` times as wide as the ground's. A tank that is moved makes only its own map anew.

    focus: the tank whose map is made first. ways: follow the way to each bed; a frame of a drag takes what the map
    says. bench: keeps what is worked out here; that of the site's stages unless given.
    """

    def __init__(
        self,
        stages: SiteStages,
        factor: int = 1,
        focus: str = "",
        *,
        bench: Bench | None = None,
        ways: bool = True,
    ) -> None:
        self._focus = focus
        self._ways = ways
        self.stages = stages
        self.bench = bench or stages.bench
        self._site = stages.site
        self._factor = factor
        self._lines: dict[str, Line] = {}

    @cached_property
    def _ground_key(self) -> Hashed:
        """Ground, barriers and fineness: what every map and needed level rests on."""
        stages = self.stages
        shapes = (buildings_of(self._site), tuple(outline for outline, _ in walls_of(self._site)))
        return Hashed((stages.levels.digest, stages.earth, shapes, self._factor))

    @cached_property
    def prepared(self) -> Prepared:
        """The ground with buildings and walls drawn on it."""
        barriers = (*buildings_of(self._site), *(outline for outline, _ in walls_of(self._site)))
        bench = self.bench
        return bench.kept(
            "reach ground",
            self._ground_key,
            lambda: prepare(
                self.stages.built, barriers=barriers, factor=self._factor, cancel=bench.cancel, progress=bench.progress
            ),
        )

    @cached_property
    def answer(self) -> ReachAnswer:
        """What all tanks reach; tanks that stand on no level have no part in it."""
        tanks = [
            (tank, chain)
            for tank, chain in zip(self._site.of(Tank), self.stages.chains, strict=True)
            if not math.isnan(chain.ground_level_m)
        ]
        keys = tuple(self._tank_key(tank, chain) for tank, chain in tanks)
        return self.bench.kept("reach", (self._ground_key, keys), lambda: self._answer(tanks), array_parts=_arrays)

    def _answer(self, tanks: list[tuple[Tank, TankChain]]) -> ReachAnswer:
        own = [pair for pair in tanks if pair[0].id == self._focus]
        for tank, chain in own:
            self._map(tank, chain)
        self._maps([pair for pair in tanks if pair not in own])
        found = tuple(self._tank(tank, chain) for tank, chain in tanks)
        beds = tuple(best_bed(rows) for rows in zip(*(tank.beds for tank in found), strict=True))
        return ReachAnswer(
            ground=self.prepared.ground,
            tanks=found,
            best=self._best(tanks, found),
            beds=beds,
            beds_reached=sum(bed.reached for bed in beds),
        )

    def _maps(self, tanks: list[tuple[Tank, TankChain]]) -> None:
        """Make what maps are missing, as many at a time as there are cores."""
        missing = [pair for pair in tanks if not self.bench.store.holds(("reach map", self._map_key(*pair)))]
        side_by_side([partial(self._map, tank, chain) for tank, chain in missing])

    def _best(self, tanks: list[tuple[Tank, TankChain]], found: tuple[TankReach, ...]) -> BestReach:
        key = tuple(self._map_key(tank, chain) for tank, chain in tanks)
        return self.bench.kept("best reach", (self._ground_key, key), lambda: best_of(self.prepared.ground, found))

    # one tank

    @cached_property
    def _drawn(self) -> Mapping[str, WateringLine]:
        """The line that is drawn from each tank, by the tank's id."""
        return drawn_lines(self._site, self.stages.wires)

    def _line(self, tank: Tank) -> Line:
        if tank.id not in self._lines:
            self._lines[tank.id] = line_of(self._site, self._drawn.get(tank.id))
        return self._lines[tank.id]

    def map_of(self, tank: Tank, chain: TankChain) -> tuple[ReachMap, NDArray[np.uint8]]:
        """The map of one tank at the water that it holds now, and how sure it is (`Sureness`)."""
        reach = self._map(tank, chain)
        return reach, self.bench.kept("sureness", self._map_key(tank, chain), lambda: sureness_of(reach))

    def laying_of(self, tank: Tank) -> Laying:
        """How a tank's line lies."""
        return laying_of(tank, self._line(tank), self._drawn.get(tank.id), self.prepared.ground)

    def _map_key(self, tank: Tank, chain: TankChain) -> Hashable:
        at = (tank.shape.x, tank.shape.y)
        laying, gives = self.laying_of(tank), store_of(chain).gives
        return (self._ground_key, self._error_key, at, chain.water_level_m, gives, laying, self._site.settings.can_l)

    @cached_property
    def _error_key(self) -> Hashable:
        settings = self._site.settings
        return (self.bench.inputs.ground(self._site), settings.error_length_m)

    def _tank_key(self, tank: Tank, chain: TankChain) -> Hashable:
        return (
            self.bench.inputs.thing(tank),
            store_of(chain),
            self._map_key(tank, chain),
            self.beds_key,
            self._lines_of(tank),
            self._ways,
        )

    def _line_id(self, tank: Tank) -> str:
        drawn = self._drawn.get(tank.id)
        return drawn.id if drawn is not None else ""

    def _map(self, tank: Tank, chain: TankChain) -> ReachMap:
        """The map at the water that the tank holds now; each level is a pass of its own."""
        bench = self.bench

        def work() -> ReachMap:
            reach = water_reach(
                self.prepared,
                at=self.laying_of(tank).start,
                water_level_m=chain.water_level_m,
                line=self._line(tank),
                can_l=self._site.settings.can_l,
                before=before_of(self.laying_of(tank), self.prepared.ground),
                error=self.error_of(tank),
                cancel=bench.cancel,
                progress=bench.progress,
            )
            return reach if store_of(chain).gives else dry_map(reach)

        return bench.kept("reach map", self._map_key(tank, chain), work)

    def _tank(self, tank: Tank, chain: TankChain) -> TankReach:
        return self.bench.kept(
            "tank reach", self._tank_key(tank, chain), lambda: self._tank_reach(tank, chain), array_parts=_tank_arrays
        )

    def _tank_reach(self, tank: Tank, chain: TankChain) -> TankReach:
        reach, sureness = self.map_of(tank, chain)
        beds = tuple(self._row(bed, tank, chain, reach) for bed in self.beds)
        return TankReach(
            tank=tank.id,
            map=reach,
            line=self._line(tank),
            line_id=self._line_id(tank),
            water_level_m=chain.water_level_m,
            floor_level_m=chain.floor_level_m,
            outlet_level_m=chain.outlet_level_m,
            overflow_level_m=chain.overflow_level_m,
            sureness=sureness,
            laying=self.laying_of(tank),
            beds=beds,
            at_levels=at_levels(tank, store_of(chain), beds),
            together=flows_together(tank, self._lines_of(tank), self.stages.levels, water_level_m=chain.water_level_m),
        )

    @cached_property
    def _all_lines(self) -> Mapping[str, tuple[WateringLine, ...]]:
        """All lines that are drawn from each tank, by the tank's id."""
        tank_of = self.stages.wires.tank_of
        found: dict[str, tuple[WateringLine, ...]] = {}
        for line in self._site.of(WateringLine):
            found[tank_of.get(line.id, "")] = (*found.get(tank_of.get(line.id, ""), ()), line)
        return found

    def _lines_of(self, tank: Tank) -> tuple[WateringLine, ...]:
        return self._all_lines.get(tank.id, ())

    def error_of(self, tank: Tank) -> LevelError:
        """How wrong levels are relative to a tank's, along the way from where its map begins."""
        return LevelError(
            level_m=self._errors,
            tank_m=self._error_at((tank.shape.x, tank.shape.y)),
            length_m=self._site.settings.error_length_m,
            before_m=self.laying_of(tank).laid_m,
        )

    @cached_property
    def _errors(self) -> CellErrors:
        """How wrong each level of the grid is."""
        return cell_errors(self.stages.ground, self.prepared.ground)

    def _error_at(self, at: Place) -> float:
        return error_at(self._errors, self.prepared.ground, at, self.stages.ground.level_error_m)

    # beds

    @cached_property
    def beds(self) -> tuple[Bed, ...]:
        """The beds, in the site's order."""
        return self._site.of(Bed)

    @cached_property
    def beds_key(self) -> Hashed:
        """The beds, as a key."""
        return Hashed(self.bench.inputs.of(self._site, Bed))

    def cells(self, bed: Bed) -> NDArray[np.intp]:
        """Flat indices of the cells whose centre lies in a bed."""
        key = (self._ground_key, self.bench.inputs.thing(bed))
        return self.bench.kept("cells of a bed", key, lambda: cells_of(self.prepared.ground, bed))

    def spot(self, bed: Bed) -> Place:
        """Where a bed is served, x and y."""
        key = (self._ground_key, self.bench.inputs.thing(bed))
        return self.bench.kept("delivery spot", key, lambda: spot_of(self.prepared, bed), has_arrays=False)

    def _row(self, bed: Bed, tank: Tank, chain: TankChain, reach: ReachMap) -> BedReach:
        at = self.spot(bed)
        laying = self.laying_of(tank)
        before = before_of(laying, self.prepared.ground)
        here = self._needed_here(bed, at, line_to(bed, laying.line), laying.start)
        if before is not None:
            here = Here(max(here.needed_level_m, before.level_for(laying.line.flow_l_min)), here.tight_m)
        return bed_reach(
            bed,
            tank,
            store_of(chain),
            reach,
            at=at,
            cells=self.cells(bed),
            here=here,
            errors=self.error_of(tank),
            before=before,
            ways=self._ways,
        )

    def needed(self, bed: Bed, line: Line) -> NDArray[np.float32] | None:
        """The needed level everywhere for a bed, as raised, and a line; None where its spot has no level."""
        found = self.need(bed, self.spot(bed), line_to(bed, line))
        return None if found is None else found.level_m

    def line_for(self, tank_id: str) -> Line:
        """The line of a tank: the one that is drawn from it, else the site's usual line."""
        return line_of(self._site, self._drawn.get(tank_id))

    @property
    def ground_key(self) -> Hashed:
        """Ground, barriers and fineness, as a key."""
        return self._ground_key

    def _needed_here(self, bed: Bed, at: Place, line: Line, start: Place) -> Here:
        """What a bed asks at a spot; kept by itself, as the levels of all cells may be let go before it."""
        cell = self.prepared.ground.cell_at(*start)
        if cell is None:
            return Here(math.nan)

        def work() -> Here:
            found = self.need(bed, at, line)
            return Here(math.nan) if found is None else Here(float(found.level_m[cell]), float(found.tight_m[cell]))

        return self.bench.kept("needed level here", (self._ground_key, at, line, cell), work, has_arrays=False)

    def need(self, bed: Bed, at: Place, line: Line) -> Needed | None:
        """The needed level everywhere for one spot and line; None where the spot has no level."""
        ground = self.prepared.ground
        cell = ground.cell_at(*at)
        if cell is None or math.isnan(ground.level_m[cell]):
            return None
        bench = self.bench

        def work() -> Needed:
            return needed(
                self.prepared, bed=bed.shape, line=line, deliver_at=at, cancel=bench.cancel, progress=bench.progress
            )

        return bench.kept("needed level", (self._ground_key, at, line), work)


def _tank_arrays(tank: TankReach) -> tuple[object, ...]:
    """What of it holds arrays; the rows of beds hold none."""
    return tank.map, tank.sureness


def _arrays(answer: ReachAnswer) -> tuple[object, ...]:
    return answer.ground, answer.best, *(_tank_arrays(tank) for tank in answer.tanks)
