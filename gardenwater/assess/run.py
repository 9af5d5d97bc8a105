"""The whole job in one call."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gardenwater.assess.answers import Answers
from gardenwater.assess.record import record_of
from gardenwater.assess.workbench import Workbench
from gardenwater.findings import Question
from gardenwater.site.model import Site
from gardenwater.work import Cancel, Progress


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assessment(Answers):
    """All answers about a site, exact ones. What the site has nothing for is None (reach without a tank)."""

    def record(self) -> dict[str, Any]:
        """Every number, with its unit in the key, and every finding in words: plain values for JSON, null for NaN."""
        return record_of(self)


def assess(site: Site, *, cancel: Cancel | None = None, progress: Progress | None = None) -> Assessment:
    """Work out everything that can be answered about a site.

    Raises Cancelled; InputError for a site whose ground cannot be used.
    """
    answers = Workbench().answers(site, question=Question.OVERFLOW, cancel=cancel, progress=progress)
    return Assessment(
        site=answers.site,
        coarse=answers.coarse,
        ground=answers.ground,
        chains=answers.chains,
        catch=answers.catch,
        reach=answers.reach,
        overflow=answers.overflow,
        findings=answers.findings,
        words=answers.words,
    )
