"""The stages that all answers rest on: ground, what leads to what, litres, levels of tanks.

Each stage is kept under the content of its declared inputs, and worked out when it is not there.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

from gardenwater.assess.answers import CatchAnswer, TankChain
from gardenwater.assess.catching import catch_answer
from gardenwater.assess.chain import chains_of
from gardenwater.assess.inputs import Inputs
from gardenwater.assess.shaping import Banks, Works, banks_of, with_banks, with_works, works_of
from gardenwater.assess.store import Store
from gardenwater.catch import RoofPart, Wiring, parts, wiring
from gardenwater.ground import Ground, GroundAnswer, Relief, ground_of, relief
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, Downpipe, Roof, Tank
from gardenwater.work import Cancel, Progress, stop_if

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Bench:
    """What stages work with: the store, the inputs' hashes, and whoever waits."""

    store: Store
    inputs: Inputs
    cancel: Cancel | None = None
    progress: Progress | None = None

    def kept(
        self,
        stage: str,
        key: Hashable,
        work: Callable[[], T],
        *,
        has_arrays: bool = True,
        array_parts: Callable[[T], Any] | None = None,
    ) -> T:
        """The result of a stage for these inputs, see `Store.get`; Cancelled when nobody waits any more."""
        stop_if(self.cancel)
        return self.store.get((stage, key), work, has_arrays=has_arrays, array_parts=array_parts)


class SiteStages:
    """The stages of one site that do not depend on how fine the cells are."""

    def __init__(self, site: Site, bench: Bench) -> None:
        self.site = site
        self.bench = bench

    @cached_property
    def ground(self) -> GroundAnswer:
        """Levels, where they come from, how good they are."""
        bench = self.bench
        return bench.kept(
            "ground",
            bench.inputs.ground(self.site),
            lambda: ground_of(self.site, cancel=bench.cancel, progress=bench.progress),
        )

    @property
    def levels(self) -> Ground:
        """The ground's levels, known by their content."""
        return self.ground.ground

    @cached_property
    def earth(self) -> tuple[Works, Banks]:
        """The earthworks and banks that shape the ground."""
        return works_of(self.site), banks_of(self.site)

    @cached_property
    def built(self) -> Ground:
        """The ground with its earthworks, and its banks upon them."""
        works, banks = self.earth
        key = (self.levels.digest, self.earth)
        return self.bench.kept("built", key, lambda: with_banks(with_works(self.levels, works), banks))

    @cached_property
    def relief(self) -> Relief:
        """Lowest and highest level."""
        return self.bench.kept("relief", self.levels.digest, lambda: relief(self.levels), has_arrays=False)

    @cached_property
    def wires(self) -> Wiring:
        """What leads to what."""
        key = self.bench.inputs.wiring(self.site)
        return self.bench.kept("wires", key, lambda: wiring(self.site), has_arrays=False)

    @cached_property
    def roof_parts(self) -> tuple[RoofPart, ...]:
        """Each roof's plan shared among its downpipes."""
        key = self.bench.inputs.roofs(self.site)
        return self.bench.kept("roof parts", key, lambda: parts(self.site, wires=self.wires), has_arrays=False)

    @cached_property
    def catch(self) -> CatchAnswer:
        """Litres of a year and of the wet day; linked tanks fill by their levels, so the ground counts."""
        key = (self.bench.inputs.catch(self.site), self.levels.digest)
        return self.bench.kept(
            "catch", key, lambda: catch_answer(self.site, self.levels, self.wires, self.roof_parts), has_arrays=False
        )

    @cached_property
    def chains(self) -> tuple[TankChain, ...]:
        """The levels of each tank."""
        key = (self.bench.inputs.of(self.site, Tank, Diverter, Downpipe, Roof), self.levels.digest)
        return self.bench.kept("chains", key, lambda: chains_of(self.site, self.levels, self.wires), has_arrays=False)
