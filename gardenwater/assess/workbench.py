"""The workbench: runs what a question needs, and keeps what was worked out while its inputs are the same."""

from __future__ import annotations

import dataclasses
import math

from gardenwater.assess.answers import Answers, OverflowAnswer, ReachAnswer
from gardenwater.assess.findings import all_findings
from gardenwater.assess.inputs import Inputs
from gardenwater.assess.overflow_stages import OverflowStages
from gardenwater.assess.reach_stages import ReachStages
from gardenwater.assess.short_answers import short_answers
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.assess.store import Store
from gardenwater.findings import Finding, Question
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Roof, Tank
from gardenwater.work import Cancel, Progress

COARSE_SIDE = 250
"""Cells at a side, or thereabouts, while something is dragged: the pass over so many takes a few milliseconds."""

MOST_BYTES = 600_000_000
"""What the reach maps of all tanks may take together; over it cells are joined, and a finding says so."""

MOST_OVERFLOW_CELLS = 9_000_000
"""Hollows are looked for in so many cells at once: 38 bytes each while that works."""

_MAP_BYTES = 29
_ONCE_BYTES = 45
_BRIEF_SHARE = 0.25


class Workbench:
    """Answers about sites. Each stage is keyed by the content of its inputs.

    Renaming works out nothing, undo finds its result again, a tank that is moved makes its own map and the spill anew.
    budget_mb: what is kept, in million bytes; the least recently used goes first. A quarter of it is for what
    only coarse answers use: hundreds of frames of a drag would push out all that the exact ones after it are made from.
    May be used from several threads.
    """

    def __init__(self, budget_mb: float = 512.0) -> None:
        self._store = Store(int(budget_mb * 1e6 * (1.0 - _BRIEF_SHARE)))
        self._brief = Store(int(budget_mb * 1e6 * _BRIEF_SHARE))
        self._inputs = Inputs()
        self._last: Answers | None = None

    @property
    def held_mb(self) -> float:
        """Million bytes of results that are kept now."""
        return (self._store.held_bytes + self._brief.held_bytes) / 1e6

    def answers(
        self,
        site: Site,
        *,
        question: Question,
        focus: str = "",
        coarse: bool = False,
        cancel: Cancel | None = None,
        progress: Progress | None = None,
    ) -> Answers:
        """All answers, exact; or, coarse, what one question needs on a thinned ground, for each move of the pointer.

        question: coarse answers are for this one. focus: id of the tank that the question is about; its map is the one
        that is made first. Coarse answers carry the findings and short answers (in Reach the litres too) of the last
        exact ones of the same things: they are about to be made anew, and rows that come and go help nobody.
        Raises Cancelled; InputError for a site whose ground or lines cannot be used.
        """
        steps = _Steps(progress, 3 + len(site.of(Tank)) + len(site.of(Bed))) if progress is not None else None
        stages = SiteStages(site, Bench(self._store, self._inputs, cancel, steps))
        if coarse:
            return self._coarse(stages, question, focus)
        answers = self._exact(stages, focus)
        self._last = answers
        return answers

    def _coarse(self, stages: SiteStages, question: Question, focus: str) -> Answers:
        site, factor = stages.site, _coarse_factor(stages.levels)
        brief = dataclasses.replace(stages.bench, store=self._brief) if factor > 1 else stages.bench
        reaching = question is Question.REACH and site.of(Tank)
        pouring = question is Question.OVERFLOW and site.of(Roof)
        catching = question in (Question.CATCH, Question.OVERFLOW)
        last = self._last
        kept = last if last is not None and _same_things(last.site, site) else None
        return Answers(
            site=site,
            coarse=True,
            ground=stages.ground,
            chains=stages.chains,
            catch=stages.catch if catching else (kept.catch if kept is not None else None),
            reach=ReachStages(stages, factor, focus, bench=brief).answer if reaching else None,
            overflow=OverflowStages(stages, factor, bench=brief).answer if pouring else None,
            findings=kept.findings if kept is not None else (),
            words=kept.words if kept is not None else {},
        )

    def _exact(self, stages: SiteStages, focus: str) -> Answers:
        site = stages.site
        reach = self._reach(stages, focus) if site.of(Tank) else None
        overflow = self._overflow(stages) if site.of(Roof) else None
        findings = self._findings(stages, reach, overflow)
        words = short_answers(
            site,
            stages.ground,
            stages.relief.high_m - stages.relief.low_m,
            catch=stages.catch,
            reach=reach,
            overflow=overflow,
            findings=findings,
        )
        return Answers(
            site=site,
            coarse=False,
            ground=stages.ground,
            chains=stages.chains,
            catch=stages.catch,
            reach=reach,
            overflow=overflow,
            findings=findings,
            words=words,
        )

    def _reach(self, stages: SiteStages, focus: str) -> ReachAnswer:
        return ReachStages(stages, _reach_factor(stages.levels, len(stages.site.of(Tank))), focus).answer

    def _overflow(self, stages: SiteStages) -> OverflowAnswer:
        return OverflowStages(stages, _factor_for(stages.levels, MOST_OVERFLOW_CELLS)).answer

    def _findings(
        self, stages: SiteStages, reach: ReachAnswer | None, overflow: OverflowAnswer | None
    ) -> tuple[Finding, ...]:
        """Findings rest on all things and settings, and on the ground; the answers follow from these."""
        site, bench = stages.site, stages.bench
        key = (bench.inputs.all_of(site), site.settings, bench.inputs.ground(site))
        return bench.kept(
            "findings",
            key,
            lambda: all_findings(
                site, stages.ground, stages.chains, catch=stages.catch, reach=reach, overflow=overflow
            ),
            has_arrays=False,
        )


class _Steps:
    """Progress of several engines, one after another, as one share that only grows."""

    def __init__(self, progress: Progress, expected: int) -> None:
        self._progress = progress
        self._expected = expected
        self._done = 0
        self._share = 0.0
        self._told = 0.0

    def __call__(self, share: float, words: str) -> None:
        if share < self._share:
            self._done += 1
        self._share = share
        self._told = max(self._told, (self._done + share) / max(self._expected, self._done + 1))
        self._progress(min(self._told, 1.0), words)


def _same_things(one: Site, other: Site) -> bool:
    return one.name == other.name and [thing.id for thing in one] == [thing.id for thing in other]


def _coarse_factor(ground: Ground) -> int:
    """Cells to a block so that the thinned ground stays near COARSE_SIDE cells a side."""
    return max(1, round(math.sqrt(ground.level_m.size) / COARSE_SIDE))


def _reach_factor(ground: Ground, tanks: int) -> int:
    """1 unless the maps of all tanks would take more than they may."""
    return _factor_for(ground, MOST_BYTES / (_ONCE_BYTES + _MAP_BYTES * tanks))


def _factor_for(ground: Ground, most_cells: float) -> int:
    return max(1, math.ceil(math.sqrt(ground.level_m.size / most_cells)))
