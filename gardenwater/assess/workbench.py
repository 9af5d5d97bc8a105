"""The workbench: runs what a question needs, and keeps what was worked out while its inputs are the same."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping

from gardenwater.assess.answers import Answers, CatchAnswer, OverflowAnswer, ReachAnswer
from gardenwater.assess.bed_changes import changes_of
from gardenwater.assess.event import has_water
from gardenwater.assess.findings import all_findings
from gardenwater.assess.findings.lasting import tank_findings
from gardenwater.assess.inputs import Inputs
from gardenwater.assess.lasting import LastingAnswer
from gardenwater.assess.lasting_stages import LastingStages
from gardenwater.assess.mends import Mends, mends_of
from gardenwater.assess.mud import MudAnswer, MudStages
from gardenwater.assess.needing import NeedAnswer, need_answer
from gardenwater.assess.overflow_stages import OverflowStages
from gardenwater.assess.reach_moved import moved_only, moved_reach
from gardenwater.assess.reach_stages import ReachStages
from gardenwater.assess.rising import Beginning, beginnings_of
from gardenwater.assess.short_answers import short_answers
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.assess.stand_answer import StandAnswer, StandAsk
from gardenwater.assess.stand_stages import StandStages
from gardenwater.assess.store import Store
from gardenwater.findings import Finding, Question
from gardenwater.findings.making import in_order
from gardenwater.findings.short import ShortAnswer
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Pond, Tank
from gardenwater.work import Cancel, Progress

COARSE_SIDE = 160
"""Cells at a side, or thereabouts, while something is dragged: the pass over so many takes a few milliseconds."""

BUDGET_MB = 1600.0
MOST_BYTES = 900_000_000
"""What the reach maps of all tanks and the needed levels of all beds may take together; over it cells are joined, and a
finding says so. It lies well within what a bench keeps: when they do not fit together, each is worked out anew at each
answer.
"""

MOST_OVERFLOW_CELLS = 9_000_000
"""Hollows are looked for in so many cells at once: 38 bytes each while that works."""

_MAP_BYTES = 34
_NEED_BYTES = 6
_ONCE_BYTES = 45
_BRIEF_SHARE = 0.25


class Workbench:
    """Answers about sites. Each stage is keyed by the content of its inputs.

    Renaming works out nothing, undo finds its result again, a tank that is moved makes its own map and the spill anew.
    budget_mb: what is kept, in million bytes; the least recently used goes first. A quarter of it is for what
    only coarse answers use: hundreds of frames of a drag would push out all that the exact ones after it are made from.
    May be used from several threads.
    """

    def __init__(self, budget_mb: float = BUDGET_MB) -> None:
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
        own: bool = False,
        stand: StandAsk | None = None,
        cancel: Cancel | None = None,
        progress: Progress | None = None,
    ) -> Answers:
        """All answers, exact; or what one question needs: on a thinned ground (coarse), or exact (own).

        Coarse ones are for each move of the pointer, the question's own for the moment in which it rests.
        question: coarse answers and own ones are for this one. focus: id of the tank that the question is about; its
        map is the one that is made first. Both carry the findings and short answers (in Reach the litres too) of the
        last exact ones of the same things: they are about to be made anew, and rows that come and go help nobody.
        stand: asks where a tank could stand as well; its findings come with the others.
        Raises Cancelled; InputError for a site whose ground or lines cannot be used.
        """
        steps = _Steps(progress, 3 + len(site.of(Tank)) + len(site.of(Bed))) if progress is not None else None
        stages = SiteStages(site, Bench(self._store, self._inputs, cancel, steps))
        if coarse or own:
            return self._of_question(stages, question, focus, stand, coarse=coarse)
        answers = self._exact(stages, question, focus, stand)
        self._last = answers
        return answers

    def ready(self, site: Site, *, question: Question, focus: str = "", cancel: Cancel | None = None) -> None:
        """Work out and keep what a first coarse answer is made from, so that a drag need not wait for it.

        Raises as `answers` does.
        """
        self.answers(site, question=question, focus=focus, coarse=True, cancel=cancel)

    def stand(
        self, site: Site, ask: StandAsk, *, cancel: Cancel | None = None, progress: Progress | None = None
    ) -> StandAnswer | None:
        """Where a tank could stand; None where no bed of the site has a level. Raises as `answers` does."""
        stages = SiteStages(site, Bench(self._store, self._inputs, cancel, progress))
        return self._stand(stages, ask)

    def mends(
        self, site: Site, trouble: Finding, *, cancel: Cancel | None = None, progress: Progress | None = None
    ) -> Mends:
        """Up to three mends of a finding of Overflow, tried on the site; kept while the site is the same.

        trouble: a finding of the site's exact answers. None are found for codes that are not in `mends.MENDABLE`.
        Raises Cancelled; InputError as `answers` does.
        """
        bench = Bench(self._brief, self._inputs, cancel, progress)
        key = (bench.inputs.all_of(site), site.settings, bench.inputs.ground(site), trouble)
        factor = _factor_for(SiteStages(site, self._own(bench)).levels, MOST_OVERFLOW_CELLS)
        return bench.kept("mends", key, lambda: mends_of(site, trouble, self._own(bench), factor), has_arrays=False)

    def beginnings(self, site: Site, *, cancel: Cancel | None = None) -> tuple[Beginning, ...]:
        """At which share of the wet day's rain the gravest findings of Overflow begin, on the thinned ground.

        Raises Cancelled; InputError as `answers` does.
        """
        bench = Bench(self._brief, self._inputs, cancel, None)
        key = (bench.inputs.all_of(site), site.settings, bench.inputs.ground(site))
        factor = _coarse_factor(SiteStages(site, self._own(bench)).levels)
        return bench.kept("beginnings", key, lambda: beginnings_of(site, bench, factor), has_arrays=False)

    def _own(self, bench: Bench) -> Bench:
        """The bench that keeps what exact answers are made from."""
        return dataclasses.replace(bench, store=self._store)

    def _of_question(
        self, stages: SiteStages, question: Question, focus: str, stand: StandAsk | None, *, coarse: bool
    ) -> Answers:
        site = stages.site
        reaching = question is Question.REACH and site.of(Tank)
        pouring = question is Question.OVERFLOW and has_water(site)
        catching = question in (Question.CATCH, Question.OVERFLOW)
        last = self._last
        kept = last if last is not None and _same_things(last.site, site) else None
        reaches = self._reaches(stages, focus, coarse=coarse)
        over = self._over(stages, coarse=coarse) if pouring else None
        standing = None if stand is None or question is not Question.REACH else StandStages(stages, reaches, stand)
        reach = _moved_or_all(reaches, self._reaches(stages, focus), last, focus) if reaching else None
        catch = stages.catch if catching else (kept.catch if kept is not None else None)
        return Answers(
            site=site,
            coarse=coarse,
            own=not coarse,
            ground=stages.ground,
            chains=stages.chains,
            catch=catch,
            reach=reach,
            overflow=None if over is None else over.answer,
            mud=None if over is None else MudStages(stages, over, bench=over.bench).answer,
            stand=None if standing is None else standing.answer(coarse=coarse),
            lasting=self._lasting_of(stages, kept, asked=question is Question.LASTING and not coarse),
            need=kept.need if kept is not None else None,
            findings=kept.findings if kept is not None else (),
            words=kept.words if kept is not None else _first_words(stages, catch, reach),
        )

    def _exact(self, stages: SiteStages, question: Question, focus: str, ask: StandAsk | None) -> Answers:
        site = stages.site
        reach = self._reach(stages, focus) if site.of(Tank) else None
        overflow, mud = self._overflow(stages) if has_water(site) else (None, None)
        lasting = self._lasting(stages, reach, sizes=question is Question.LASTING)
        findings = self._findings(stages, reach, overflow, mud, lasting)
        stand = self._stand(stages, ask) if ask is not None else None
        more = [
            *(tank_findings(lasting) if lasting is not None else ()),
            *(stand.findings if stand is not None else ()),
        ]
        words = short_answers(
            site,
            stages.ground,
            stages.relief.high_m - stages.relief.low_m,
            catch=stages.catch,
            reach=reach,
            overflow=overflow,
            findings=findings,
            lasting=lasting,
        )
        return Answers(
            site=site,
            coarse=False,
            ground=stages.ground,
            chains=stages.chains,
            catch=stages.catch,
            reach=reach,
            overflow=overflow,
            mud=mud,
            stand=stand,
            lasting=lasting,
            need=self._need(stages),
            findings=in_order([*findings, *more]) if more else findings,
            words=words,
        )

    def _lasting_of(self, stages: SiteStages, kept: Answers | None, *, asked: bool) -> LastingAnswer | None:
        """The years at once, without the long runs; while something is dragged, those of the last exact answers."""
        if asked:
            return self._lasting(stages, self._reach(stages, "") if stages.site.of(Tank) else None, sizes=False)
        return kept.lasting if kept is not None else None

    def _stand(self, stages: SiteStages, ask: StandAsk) -> StandAnswer | None:
        return StandStages(stages, self._reaches(stages), ask).answer()

    def _reach(self, stages: SiteStages, focus: str) -> ReachAnswer:
        return self._reaches(stages, focus).answer

    def _reaches(self, stages: SiteStages, focus: str = "", *, coarse: bool = False) -> ReachStages:
        exact = _reach_factor(stages)
        factor = max(exact, _coarse_factor(stages.levels)) if coarse else exact
        return ReachStages(stages, factor, focus, bench=self._bench_for(stages, factor, exact), ways=not coarse)

    def _over(self, stages: SiteStages, *, coarse: bool = False) -> OverflowStages:
        exact = _factor_for(stages.levels, MOST_OVERFLOW_CELLS)
        factor = max(exact, _coarse_factor(stages.levels)) if coarse else exact
        return OverflowStages(stages, factor, bench=self._bench_for(stages, factor, exact))

    def _bench_for(self, stages: SiteStages, factor: int, exact: int) -> Bench:
        """Coarse results are kept apart, so that the frames of a drag push no exact ones out."""
        return stages.bench if factor == exact else dataclasses.replace(stages.bench, store=self._brief)

    def _overflow(self, stages: SiteStages) -> tuple[OverflowAnswer, MudAnswer]:
        over = self._over(stages)
        return over.answer, MudStages(stages, over).answer

    def _lasting(self, stages: SiteStages, reach: ReachAnswer | None, *, sizes: bool) -> LastingAnswer | None:
        """Whether the store lasts; None where the site has too little for it. sizes: with the long runs."""
        found = LastingStages(stages, reach)
        return found.answer(sizes=sizes) if found.can_answer else None

    def _need(self, stages: SiteStages) -> NeedAnswer | None:
        """What beds and ponds want; None without weather or latitude, or without any of them."""
        site, inputs, days = stages.site, stages.bench.inputs, LastingStages(stages, None)
        if not (days.has_days and (bool(site.of(Bed)) or bool(site.of(Pond)))):
            return None
        key = (inputs.weather(site), inputs.of(site, Bed, Pond), site.settings.can_l)
        return stages.bench.kept("need", key, lambda: need_answer(site, days))

    def _findings(
        self,
        stages: SiteStages,
        reach: ReachAnswer | None,
        overflow: OverflowAnswer | None,
        mud: MudAnswer | None,
        lasting: LastingAnswer | None,
    ) -> tuple[Finding, ...]:
        """Findings rest on all things and settings, on the ground and the weather; the answers follow from these."""
        site, bench = stages.site, stages.bench
        key = (bench.inputs.all_of(site), site.settings, bench.inputs.ground(site), bench.inputs.weather(site))

        def work() -> tuple[Finding, ...]:
            changes, carries = changes_of(stages, self._reaches(stages), reach) if reach is not None else ({}, {})
            return all_findings(
                site,
                stages.ground,
                stages.chains,
                catch=stages.catch,
                reach=reach,
                overflow=overflow,
                mud=mud,
                lasting=lasting,
                changes=changes,
                carries=carries,
            )

        return bench.kept("findings", key, work, has_arrays=False)


def _moved_or_all(reaches: ReachStages, exact: ReachStages, last: Answers | None, focus: str) -> ReachAnswer:
    """Reach of the one tank that was moved since the last exact answers, beside what those say; else of all tanks."""
    stages = exact.stages
    tank = stages.site.get(focus)
    chain = next((each for each in stages.chains if each.tank == focus), None)
    known = last is not None and last.reach is not None and last.reach.tank(focus) is not None
    if last is None or last.reach is None or not known or not isinstance(tank, Tank) or chain is None:
        return reaches.answer
    if math.isnan(chain.ground_level_m) or not moved_only(stages, last, focus):
        return reaches.answer
    return moved_reach(reaches, exact, last.reach, tank, chain)


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


def _first_words(
    stages: SiteStages, catch: CatchAnswer | None, reach: ReachAnswer | None
) -> Mapping[Question, ShortAnswer]:
    """The short answers that need no findings, before all is worked out for the first time."""
    fall_m = stages.relief.high_m - stages.relief.low_m
    return short_answers(stages.site, stages.ground, fall_m, catch=catch, reach=reach, overflow=None, findings=())


def _same_things(one: Site, other: Site) -> bool:
    return one.name == other.name and [thing.id for thing in one] == [thing.id for thing in other]


def _coarse_factor(ground: Ground) -> int:
    """Cells to a block so that the thinned ground stays near COARSE_SIDE cells a side."""
    return max(1, round(math.sqrt(ground.level_m.size) / COARSE_SIDE))


def _reach_factor(stages: SiteStages) -> int:
    """1 unless the maps of all tanks and the needed levels of all beds would take more than they may."""
    tanks, beds = len(stages.site.of(Tank)), len(stages.site.of(Bed))
    return _factor_for(stages.levels, MOST_BYTES / (_ONCE_BYTES + _MAP_BYTES * tanks + _NEED_BYTES * beds))


def _factor_for(ground: Ground, most_cells: float) -> int:
    return max(1, math.ceil(math.sqrt(ground.level_m.size / most_cells)))
