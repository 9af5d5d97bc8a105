"""The whole job in one call."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gardenwater.assess.answers import Answers
from gardenwater.assess.mends import MENDABLE, Mends
from gardenwater.assess.record import record_of
from gardenwater.assess.stand_answer import StandAnswer, StandAsk
from gardenwater.assess.workbench import Workbench
from gardenwater.findings import Question
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Downpipe
from gardenwater.work import Cancel, Progress

MOST_TROUBLES = 6
"""Mends of more are looked for in the window, one by one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assessment(Answers):
    """All answers about a site, exact ones. What the site has nothing for is None (reach without a tank).

    mends: of the gravest findings of Overflow, in their order; those for which none was found are left out.
    places: where a new tank of the usual size could stand for all beds; None without beds or downpipes.
    """

    mends: tuple[Mends, ...] = ()
    places: StandAnswer | None = None

    def record(self) -> dict[str, Any]:
        """Every number, with its unit in the key, and every finding in words: plain values for JSON, null for NaN."""
        return record_of(self, self.mends, self.places)


def _mends(bench: Workbench, answers: Answers, cancel: Cancel | None) -> tuple[Mends, ...]:
    """Mends of the gravest findings that can have some."""
    troubles = [each for each in answers.findings if each.code in MENDABLE][:MOST_TROUBLES]
    found = [bench.mends(answers.site, trouble, cancel=cancel) for trouble in troubles]
    return tuple(each for each in found if each.mends)


def assess(site: Site, *, cancel: Cancel | None = None, progress: Progress | None = None) -> Assessment:
    """Work out everything that can be answered about a site; where a tank could stand for a new one and all beds.

    Raises Cancelled; InputError for a site whose ground cannot be used.
    """
    bench = Workbench()
    answers = bench.answers(site, question=Question.LASTING, cancel=cancel, progress=progress)
    asked = bool(site.of(Bed)) and bool(site.of(Downpipe))
    places = bench.stand(site, StandAsk(), cancel=cancel) if asked else None
    return Assessment(
        site=answers.site,
        coarse=answers.coarse,
        ground=answers.ground,
        chains=answers.chains,
        catch=answers.catch,
        reach=answers.reach,
        overflow=answers.overflow,
        mud=answers.mud,
        mends=_mends(bench, answers, cancel),
        places=places,
        lasting=answers.lasting,
        need=answers.need,
        findings=answers.findings,
        words=answers.words,
    )
