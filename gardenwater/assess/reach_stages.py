"""The stages of Reach: barriers on the ground, a map for each tank and level, needed levels for each bed, the best."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.answers import BedReach, BestReach, ReachAnswer, TankChain, TankReach
from gardenwater.assess.beds import Errors, Place, bed_reach, cells_of, line_to, spot_of
from gardenwater.assess.inputs import Hashed
from gardenwater.assess.lines import drawn_lines, line_of
from gardenwater.assess.reaching import Errors as CellErrors
from gardenwater.assess.reaching import (
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
from gardenwater.hydraulics import Line
from gardenwater.reach import Prepared, ReachMap, needed_level, prepare, water_reach
from gardenwater.site.things import Bed, Tank, WateringLine


class ReachStages:
    """Reach on cells `factor` times as wide as the ground's. A tank that is moved makes only its own map anew.

    focus: the tank whose map is made first. bench: keeps what is worked out here; that of the site's stages unless
    given.
    """

    def __init__(self, stages: SiteStages, factor: int = 1, focus: str = "", *, bench: Bench | None = None) -> None:
        self._focus = focus
        self._stages = stages
        self._bench = bench or stages.bench
        self._site = stages.site
        self._factor = factor

    @cached_property
    def _ground_key(self) -> Hashed:
        """Ground, barriers and fineness: what every map and needed level rests on."""
        stages = self._stages
        shapes = (buildings_of(self._site), tuple(outline for outline, _ in walls_of(self._site)))
        return Hashed((stages.levels.digest, stages.banks, shapes, self._factor))

    @cached_property
    def prepared(self) -> Prepared:
        """The ground with buildings and walls drawn on it."""
        barriers = (*buildings_of(self._site), *(outline for outline, _ in walls_of(self._site)))
        bench = self._bench
        return bench.kept(
            "reach ground",
            self._ground_key,
            lambda: prepare(
                self._stages.built, barriers=barriers, factor=self._factor, cancel=bench.cancel, progress=bench.progress
            ),
        )

    @cached_property
    def answer(self) -> ReachAnswer:
        """What all tanks reach; tanks that stand on no level have no part in it."""
        tanks = [
            (tank, chain)
            for tank, chain in zip(self._site.of(Tank), self._stages.chains, strict=True)
            if not math.isnan(chain.ground_level_m)
        ]
        keys = tuple(self._tank_key(tank, chain) for tank, chain in tanks)
        return self._bench.kept("reach", (self._ground_key, keys), lambda: self._answer(tanks), array_parts=_arrays)

    def _answer(self, tanks: list[tuple[Tank, TankChain]]) -> ReachAnswer:
        for tank, chain in sorted(tanks, key=lambda pair: pair[0].id != self._focus):
            self._map(tank, chain)
        found = tuple(self._tank(tank, chain) for tank, chain in tanks)
        beds = tuple(best_bed(rows) for rows in zip(*(tank.beds for tank in found), strict=True))
        return ReachAnswer(
            ground=self.prepared.ground,
            tanks=found,
            best=self._best(tanks, found),
            beds=beds,
            beds_reached=sum(bed.reached for bed in beds),
        )

    def _best(self, tanks: list[tuple[Tank, TankChain]], found: tuple[TankReach, ...]) -> BestReach:
        key = tuple((self._map_key(tank, chain), self._error_key) for tank, chain in tanks)
        return self._bench.kept("best reach", (self._ground_key, key), lambda: best_of(self.prepared.ground, found))

    # one tank

    @cached_property
    def _drawn(self) -> Mapping[str, WateringLine]:
        """The line that is drawn from each tank, by the tank's id."""
        return drawn_lines(self._site, self._stages.wires)

    def _line(self, tank: Tank) -> Line:
        return self._lines[tank.id]

    @cached_property
    def _lines(self) -> Mapping[str, Line]:
        return {tank.id: line_of(self._site, self._drawn.get(tank.id)) for tank in self._site.of(Tank)}

    def _map_key(self, tank: Tank, chain: TankChain) -> Hashable:
        at = (tank.shape.x, tank.shape.y)
        gives = store_of(chain).gives
        return (self._ground_key, at, chain.water_level_m, gives, self._line(tank), self._site.settings.can_l)

    @cached_property
    def _error_key(self) -> Hashable:
        settings = self._site.settings
        return (self._bench.inputs.ground(self._site), settings.error_length_m)

    def _tank_key(self, tank: Tank, chain: TankChain) -> Hashable:
        return (
            self._bench.inputs.thing(tank),
            store_of(chain),
            self._map_key(tank, chain),
            self._error_key,
            self._beds_key,
            self._line_id(tank),
        )

    def _line_id(self, tank: Tank) -> str:
        drawn = self._drawn.get(tank.id)
        return drawn.id if drawn is not None else ""

    def _map(self, tank: Tank, chain: TankChain) -> ReachMap:
        """The map at the water that the tank holds now; each level is a pass of its own."""
        bench = self._bench

        def work() -> ReachMap:
            reach = water_reach(
                self.prepared,
                at=(tank.shape.x, tank.shape.y),
                water_level_m=chain.water_level_m,
                line=self._line(tank),
                can_l=self._site.settings.can_l,
                cancel=bench.cancel,
                progress=bench.progress,
            )
            return reach if store_of(chain).gives else dry_map(reach)

        return bench.kept("reach map", self._map_key(tank, chain), work)

    def _tank(self, tank: Tank, chain: TankChain) -> TankReach:
        return self._bench.kept(
            "tank reach", self._tank_key(tank, chain), lambda: self._tank_reach(tank, chain), array_parts=_tank_arrays
        )

    def _tank_reach(self, tank: Tank, chain: TankChain) -> TankReach:
        reach = self._map(tank, chain)
        line = self._line(tank)
        at_tank_m = self._error_at((tank.shape.x, tank.shape.y))
        length_m = self._site.settings.error_length_m
        sureness, error_m = self._bench.kept(
            "sureness",
            (self._map_key(tank, chain), self._error_key),
            lambda: sureness_of(reach, self._errors, at_tank_m=at_tank_m, length_m=length_m),
        )
        return TankReach(
            tank=tank.id,
            map=reach,
            line=line,
            line_id=self._line_id(tank),
            water_level_m=chain.water_level_m,
            floor_level_m=chain.floor_level_m,
            outlet_level_m=chain.outlet_level_m,
            overflow_level_m=chain.overflow_level_m,
            sureness=sureness,
            error_m=error_m,
            beds=tuple(self._row(bed, tank, chain, reach, line, at_tank_m) for bed in self._beds),
        )

    @cached_property
    def _errors(self) -> CellErrors:
        """How wrong each level of the grid is."""
        return cell_errors(self._stages.ground, self.prepared.ground)

    def _error_at(self, at: Place) -> float:
        return error_at(self._errors, self.prepared.ground, at, self._stages.ground.level_error_m)

    # beds

    @cached_property
    def _beds(self) -> tuple[Bed, ...]:
        return self._site.of(Bed)

    @cached_property
    def _beds_key(self) -> Hashed:
        return Hashed(self._bench.inputs.of(self._site, Bed))

    def _cells(self, bed: Bed) -> NDArray[np.intp]:
        key = (self._ground_key, self._bench.inputs.thing(bed))
        return self._bench.kept("cells of a bed", key, lambda: cells_of(self.prepared.ground, bed))

    def _spot(self, bed: Bed) -> Place:
        key = (self._ground_key, self._bench.inputs.thing(bed))
        return self._bench.kept("delivery spot", key, lambda: spot_of(self.prepared, bed), has_arrays=False)

    def _row(self, bed: Bed, tank: Tank, chain: TankChain, reach: ReachMap, line: Line, at_tank_m: float) -> BedReach:
        at = self._spot(bed)
        needed_level_m = self._needed_at(bed, at, line_to(bed, line), tank)
        errors = Errors(tank_m=at_tank_m, spot_m=self._error_at(at), length_m=self._site.settings.error_length_m)
        return bed_reach(
            bed,
            tank,
            store_of(chain),
            reach,
            at=at,
            cells=self._cells(bed),
            needed_level_m=needed_level_m,
            errors=errors,
        )

    def needed(self, bed: Bed, line: Line) -> NDArray[np.float32] | None:
        """The needed level everywhere for a bed, as raised, and a line; None where its spot has no level."""
        return self._needed(bed, self._spot(bed), line_to(bed, line))

    def line_for(self, tank_id: str) -> Line:
        """The line of a tank: the one that is drawn from it, else the site's usual line."""
        return line_of(self._site, self._drawn.get(tank_id))

    def spot(self, bed: Bed) -> Place:
        """Where a bed is served, x and y."""
        return self._spot(bed)

    @property
    def ground_key(self) -> Hashed:
        """Ground, barriers and fineness, as a key."""
        return self._ground_key

    def _needed_at(self, bed: Bed, at: Place, line: Line, tank: Tank) -> float:
        """The needed level where a tank stands; kept by itself, as the levels of all cells may be let go before it."""
        cell = self.prepared.ground.cell_at(tank.shape.x, tank.shape.y)
        if cell is None:
            return math.nan

        def work() -> float:
            needed = self._needed(bed, at, line)
            return math.nan if needed is None else float(needed[cell])

        return self._bench.kept("needed level here", (self._ground_key, at, line, cell), work, has_arrays=False)

    def _needed(self, bed: Bed, at: Place, line: Line) -> NDArray[np.float32] | None:
        """The needed level everywhere for one spot and line; None where the spot has no level."""
        ground = self.prepared.ground
        cell = ground.cell_at(*at)
        if cell is None or math.isnan(ground.level_m[cell]):
            return None
        bench = self._bench

        def work() -> NDArray[np.float32]:
            return needed_level(
                self.prepared, bed=bed.shape, line=line, deliver_at=at, cancel=bench.cancel, progress=bench.progress
            )

        return bench.kept("needed level", (self._ground_key, at, line), work)


def _tank_arrays(tank: TankReach) -> tuple[object, ...]:
    """What of it holds arrays; the rows of beds hold none."""
    return tank.map, tank.sureness, tank.error_m


def _arrays(answer: ReachAnswer) -> tuple[object, ...]:
    return answer.ground, answer.best, *(_tank_arrays(tank) for tank in answer.tanks)
