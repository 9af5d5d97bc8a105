"""More and more of the rain: the site with a share of it, and at which share something begins."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from gardenwater.assess.event import event_of
from gardenwater.assess.findings.overflow import overflow_findings
from gardenwater.assess.mends.judging import place_of
from gardenwater.assess.overflow_stages import OverflowStages
from gardenwater.assess.stages import Bench, SiteStages
from gardenwater.findings import Finding, Severity
from gardenwater.site.model import EventKind, Site
from gardenwater.work import stop_if

_LEAST_SHARE = 1e-6
_OF_THE_RAIN = ("wet_day_mm", "storm_mm", "typed_l")
_STEPS = 8
_HALVINGS = 3
_MOST = 4
_WATCHED = {
    "overflow.over-sill",
    "overflow.towards-building",
    "overflow.pool-on-path",
    "overflow.on-keep-dry",
    "overflow.crosses-path",
    "overflow.taker-full",
    "overflow.leaves-site",
}

Key = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beginning:
    """Where a finding begins as there is more rain. share: of the event's rain or litres, 0 to 1, within 1/64."""

    code: str
    subject: str
    severity: Severity
    share: float


def with_rain(site: Site, share: float) -> Site:
    """The site with a share of its event's rain, or of the litres that are typed in; its hours are as they are."""
    share, settings = max(share, _LEAST_SHARE), site.settings
    event = event_of(site)
    if event.day is not None:
        settings = dataclasses.replace(settings, event=EventKind.WET_DAY, wet_day_mm=event.rain_mm)
    changed = dataclasses.replace(settings, **{name: getattr(settings, name) * share for name in _OF_THE_RAIN})
    return site.replace(settings=changed)


def beginnings_of(site: Site, bench: Bench, factor: int) -> tuple[Beginning, ...]:
    """Where the gravest findings of Overflow begin: by even steps, then by halving. At most four, by their share.

    The site is worked out with each share of the rain, on cells `factor` times as wide. Raises Cancelled.
    """

    def found(share: float) -> dict[Key, Finding]:
        stop_if(bench.cancel)
        return _by_key(site, _findings(with_rain(site, share), bench, factor))

    whole = _by_key(site, _findings(site, bench, factor))
    gravest = sorted(whole.items(), key=lambda pair: (pair[1].severity, -pair[1].stake, pair[0]))[:_MOST]
    steps = {number: found(number / _STEPS) for number in range(_STEPS)}
    beginnings = []
    for key, finding in gravest:
        first = next((number for number in range(_STEPS) if key in steps[number]), _STEPS)
        share = 0.0 if first == 0 else _halved(key, (first - 1) / _STEPS, first / _STEPS, found)
        beginnings.append(
            Beginning(
                code=finding.code,
                subject=key[1],
                severity=finding.severity,
                share=share,
            )
        )
    return tuple(sorted(beginnings, key=lambda each: (each.share, each.code, each.subject)))


def _halved(key: Key, without: float, within: float, found: Callable[[float], dict[Key, Finding]]) -> float:
    for _ in range(_HALVINGS):
        middle = (without + within) / 2
        without, within = (without, middle) if key in found(middle) else (middle, within)
    return within


def _findings(site: Site, bench: Bench, factor: int) -> Iterable[Finding]:
    stages = SiteStages(site, bench)
    return overflow_findings(site, OverflowStages(stages, factor).answer, stages.catch.wires)


def _by_key(site: Site, findings: Iterable[Finding]) -> dict[Key, Finding]:
    return {(each.code, place_of(site, each)): each for each in findings if each.code in _WATCHED}
