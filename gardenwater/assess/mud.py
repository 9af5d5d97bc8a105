"""Ground underfoot after the wet day, as an answer and as stages: each is kept while its inputs are the same."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from gardenwater.assess.overflow_stages import OverflowStages
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.ground import Ground
from gardenwater.overflow import Mud, Wetness, before_spill, muddy, wetness
from gardenwater.site.things import Tap
from gardenwater.tables import table


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MudAnswer:
    """Where it is wet underfoot. ground: the grid of both (a thinned one when coarse)."""

    ground: Ground
    mud: Mud
    wetness: Wetness


class MudStages:
    """The lie of the land follows from the ground alone; pools, ways and taps are laid over it."""

    def __init__(self, stages: SiteStages, overflow: OverflowStages, *, bench: Bench | None = None) -> None:
        self._stages = stages
        self._bench = bench or stages.bench
        self._overflow = overflow

    @cached_property
    def wetness(self) -> Wetness:
        """How the lie of the land gathers water."""
        bench, over = self._bench, self._overflow
        return bench.kept("wetness", over.ground_key, lambda: wetness(over.prepared, over.ground, cancel=bench.cancel))

    @cached_property
    def answer(self) -> MudAnswer:
        """Ground underfoot."""
        bench, site = self._bench, self._stages.site
        key = (self._overflow.key, bench.inputs.of(site, Tap))
        return bench.kept("mud", key, self._lay, array_parts=lambda answer: (answer.mud, answer.wetness))

    @cached_property
    def _before(self) -> Mud:
        """Ground that is wet without any spill."""
        bench, site, over = self._bench, self._stages.site, self._overflow
        key = (over.ground_key, bench.inputs.of(site, Tap), site.settings.soil)
        drips = [(tap.shape.x, tap.shape.y) for tap in site.of(Tap)]
        return bench.kept(
            "mud before", key, lambda: before_spill(over.ground, self.wetness, soak_mm_h=self._soak_mm_h, drips=drips)
        )

    @property
    def _soak_mm_h(self) -> float:
        return table("soils").row(self._stages.site.settings.soil).soak_mm_h

    def _lay(self) -> MudAnswer:
        over = self._overflow
        mud = muddy(over.ground, over.answer.spill, self.wetness, soak_mm_h=self._soak_mm_h, before=self._before)
        return MudAnswer(ground=over.ground, mud=mud, wetness=self.wetness)
