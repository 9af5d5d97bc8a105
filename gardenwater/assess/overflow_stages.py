"""The stages of Overflow: hollows of the ground, takers, and the wet day's spill."""

from __future__ import annotations

from functools import cached_property

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.event import event_of
from gardenwater.assess.inputs import Hashed
from gardenwater.assess.shaping import buildings_of, walls_of
from gardenwater.assess.spilling import overflow_answer
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.assess.takers import takers_of
from gardenwater.ground import Ground, Keep, thin
from gardenwater.overflow import Placed, Prepared, Taker, place, prepare
from gardenwater.site.things import BY_KIND, TAKERS, Boundary, Overflow


class OverflowStages:
    """Overflow on cells `factor` times as wide as the ground's. What is moved and no part of the ground pours anew.

    bench: keeps what is worked out here; that of the site's stages unless given.
    """

    def __init__(self, stages: SiteStages, factor: int = 1, *, bench: Bench | None = None) -> None:
        self._stages = stages
        self._bench = bench or stages.bench
        self._site = stages.site
        self._factor = factor

    @property
    def bench(self) -> Bench:
        """Where its results are kept."""
        return self._bench

    @cached_property
    def ground_key(self) -> Hashed:
        """What the prepared ground is made of."""
        stages, settings = self._stages, self._site.settings
        shapes = (buildings_of(self._site), walls_of(self._site), stages.earth)
        return Hashed((stages.levels.digest, shapes, settings.edge, settings.nodata, self._factor))

    @cached_property
    def ground(self) -> Ground:
        """The ground with its banks, each block of cells at its mean level."""
        stages = self._stages
        if self._factor == 1:
            return stages.built
        key = (stages.levels.digest, stages.earth, self._factor)
        return self._bench.kept("thinned", key, lambda: thin(stages.built, self._factor, Keep.MEAN))

    @cached_property
    def prepared(self) -> Prepared:
        """Hollows and sills, with buildings and walls standing up."""
        bench, settings = self._bench, self._site.settings
        return bench.kept(
            "overflow ground",
            self.ground_key,
            lambda: prepare(
                self.ground,
                barriers=buildings_of(self._site),
                walls=walls_of(self._site),
                edge=settings.edge,
                nodata=settings.nodata,
                cancel=bench.cancel,
                progress=bench.progress,
            ),
        )

    @cached_property
    def key(self) -> Hashed:
        """What the answer is made of."""
        bench, site, stages = self._bench, self._site, self._stages
        takers = bench.inputs.of(site, *(BY_KIND[kind] for kind in TAKERS))
        catch = (bench.inputs.catch(site), stages.levels.digest)
        return Hashed((self.ground_key, catch, takers, event_of(site), bench.inputs.of(site, Boundary)))

    @cached_property
    def answer(self) -> OverflowAnswer:
        """Where the wet day's spilled water goes."""
        return self._bench.kept(
            "overflow", self.key, self._pour, array_parts=lambda answer: (answer.ground, answer.spill.pool_depth_m)
        )

    @cached_property
    def takers(self) -> tuple[Taker, ...]:
        """What takes water, with its room and what soaks from it; the same as the rain goes on."""
        bench, stages, site = self._bench, self._stages, self._site
        return bench.kept("takers", self._taker_key, lambda: takers_of(site, stages.built), has_arrays=False)

    @cached_property
    def placed(self) -> Placed:
        """The takers on the cells of the ground."""
        key = (self.ground_key, self._taker_key)
        return self._bench.kept("placed takers", key, lambda: place(self.prepared, self.takers))

    @cached_property
    def _taker_key(self) -> Hashed:
        """What takers rest on: themselves, the pipes that they spill by, the ground and the soil."""
        stages, site = self._stages, self._site
        kinds = (*(BY_KIND[kind] for kind in TAKERS), Overflow)
        soil = (site.settings.soil, event_of(site).soak_mm_h)
        return Hashed((self._bench.inputs.of(site, *kinds), stages.levels.digest, stages.earth, soil))

    def _pour(self) -> OverflowAnswer:
        return overflow_answer(
            self._site,
            self._stages.catch,
            self.prepared,
            self.ground,
            self.takers,
            placed=self.placed,
            cancel=self._bench.cancel,
            progress=self._bench.progress,
        )
