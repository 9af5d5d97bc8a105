"""Mends are tried before they are told: the changed site is worked out, and its findings held against the old ones."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Mapping
from functools import cached_property

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.findings.overflow import overflow_findings
from gardenwater.assess.findings.safety import safety_findings
from gardenwater.assess.mends.model import Mend
from gardenwater.assess.overflow_stages import OverflowStages
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.errors import EditError
from gardenwater.findings import Finding, Severity
from gardenwater.findings.catalogue.overflow import MENDABLE
from gardenwater.site.model import Site
from gardenwater.site.things import Building, Door, Path, Tank

__all__ = ["MENDABLE", "Judge", "place_of"]

_BY_A_BUILDING = frozenset(("overflow.towards-building", "overflow.near-building"))
_MORE_L, _MORE_SHARE = 5.0, 0.05
"""By so much another trouble may grow before a mend is dropped (judgement, no source)."""
_LEAST_GAIN = 0.02
_OFF_SITE = "overflow.leaves-site"


class Judge:
    """Tries mends of one trouble on one site."""

    def __init__(self, site: Site, trouble: Finding, bench: Bench, factor: int) -> None:
        self.site, self.trouble, self.bench, self.factor = site, trouble, bench, factor
        self.stages = SiteStages(site, bench)
        self.overflow = OverflowStages(self.stages, factor)
        self._before = self._findings(site)
        self.before_l = self._measure(self._before)

    @property
    def answer(self) -> OverflowAnswer:
        """Where the water goes as the site stands."""
        return self.overflow.answer

    @cached_property
    def owners(self) -> tuple[str, ...]:
        """The tanks and downpipes that bring the trouble's water, most spilled first."""
        answer, about = self.answer, {self.trouble.subject, *self.trouble.others}
        if self.trouble.code == "overflow.taker-full" and self.trouble.subject in answer.takers:
            number = answer.takers.index(self.trouble.subject)
            about = {answer.sources[source].owner for source in answer.spill.taken[number].sources}
        litres: dict[str, float] = {}
        for source in answer.sources:
            if source.owner in about:
                litres[source.owner] = litres.get(source.owner, 0.0) + source.volume_m3
        return tuple(sorted(litres, key=lambda owner: (-litres[owner], owner)))

    def tried(self, mend: Mend) -> Mend | None:
        """The mend with what was found; None where it cannot be built, does no good, or does harm elsewhere."""
        try:
            changed = mend.on(self.site)
        except EditError:
            return None
        after = self._findings(changed)
        remains_l = self._measure(after)
        if remains_l > self.before_l * (1.0 - _LEAST_GAIN) or self._harms(after):
            return None
        new_id = next((thing.id for thing in mend.things if thing.id not in self.site and thing.kind != "overflow"), "")
        return dataclasses.replace(
            mend,
            before_l=self.before_l,
            remains_l=remains_l,
            off_site_l=max(_off_site_l(after) - _off_site_l(self._before), 0.0),
            takes_l=self._taken_l(changed, new_id),
        )

    def _findings(self, site: Site) -> tuple[Finding, ...]:
        stages = SiteStages(site, self.bench)
        answer = OverflowStages(stages, self.factor).answer
        found = [*overflow_findings(site, answer, stages.catch.wires), *safety_findings(site, stages.levels)]
        return tuple(found)

    def _taken_l(self, site: Site, taker: str) -> float:
        answer = OverflowStages(SiteStages(site, self.bench), self.factor).answer
        if taker not in answer.takers:
            return 0.0
        return answer.spill.taken[answer.takers.index(taker)].volume_m3 * 1000.0

    def _measure(self, findings: Iterable[Finding]) -> float:
        """Litres of the trouble: of findings like it about the same place."""
        like, place = _alike(self.trouble.code), place_of(self.site, self.trouble)
        return math.fsum(
            finding.number("volume_l") if "volume_l" in dict(finding.numbers) else finding.stake
            for finding in findings
            if finding.code in like and place_of(self.site, finding) == place
        )

    def _harms(self, after: Iterable[Finding]) -> bool:
        """Whether something grave is new, or grave before and much more now."""
        before = _stakes(self.site, self._before)
        for key, stake in _stakes(self.site, after).items():
            if key not in before:
                return True
            if stake > before[key] * (1.0 + _MORE_SHARE) + _MORE_L:
                return True
        return False


def place_of(site: Site, finding: Finding) -> str:
    """The id of the building, door or path that a finding of Overflow is about; its subject where it is about none."""
    for thing_id in (finding.subject, *finding.others):
        if isinstance(site.get(thing_id), Building | Door | Path):
            return thing_id
    return finding.subject


def _alike(code: str) -> frozenset[str]:
    return _BY_A_BUILDING if code in _BY_A_BUILDING else frozenset((code,))


def _stakes(site: Site, findings: Iterable[Finding]) -> Mapping[tuple[str, str], float]:
    """What is at stake in grave findings, by code and place. A tank's own weight and lid are no matter of a mend."""
    stakes: dict[tuple[str, str], float] = {}
    for finding in findings:
        of_a_tank = isinstance(site.get(finding.subject), Tank) and finding.code.startswith("safety.")
        if finding.severity <= Severity.FAILS and not of_a_tank:
            key = finding.code, place_of(site, finding)
            stakes[key] = stakes.get(key, 0.0) + finding.stake
    return stakes


def _off_site_l(findings: Iterable[Finding]) -> float:
    return math.fsum(finding.number("volume_l") for finding in findings if finding.code == _OFF_SITE)
