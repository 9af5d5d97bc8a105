"""The shortest answer to each question: one line of data, worded in `findings.short`."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from gardenwater.assess.answers import CatchAnswer, LastingAnswer, OverflowAnswer, ReachAnswer
from gardenwater.assess.event import has_water
from gardenwater.findings import Finding, Question, Severity, ShortAnswer
from gardenwater.ground import GroundAnswer, GroundOrigin
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Roof, Tank
from gardenwater.weather import has_sky

_OVERFLOW_CODES = (
    ("overflow.towards-building", "overflow.unsafe"),
    ("overflow.over-sill", "overflow.over-sill"),
    ("overflow.pool-on-path", "overflow.on-path"),
    ("overflow.on-keep-dry", "overflow.on-keep-dry"),
    ("overflow.no-pipe", "overflow.no-pipe"),
)
"""Findings that the short answer names, gravest first, and how."""


def short_answers(
    site: Site,
    ground: GroundAnswer,
    relief_m: float,
    *,
    catch: CatchAnswer | None,
    reach: ReachAnswer | None,
    overflow: OverflowAnswer | None,
    findings: tuple[Finding, ...],
    lasting: LastingAnswer | None = None,
) -> Mapping[Question, ShortAnswer]:
    """The short answer of each of the seven questions. What was not worked out has none."""
    answers = (
        _ground(ground, relief_m),
        _catch(site, catch),
        _reach(site, reach),
        _overflow(site, overflow, findings),
        _lasting(site, lasting),
        _lacks(Question.NEXT_STEP, "next-step.not-answered"),
        _lacks(Question.ROUNDS, "rounds.not-answered"),
    )
    return MappingProxyType({answer.question: answer for answer in answers if answer is not None})


def _lacks(question: Question, code: str) -> ShortAnswer:
    return ShortAnswer(question=question, code=code, needs=True)


def _ground(answer: GroundAnswer, relief_m: float) -> ShortAnswer:
    if answer.origin is GroundOrigin.FLAT:
        return _lacks(Question.GROUND, "ground.needs-levels")
    return ShortAnswer(question=Question.GROUND, code="ground.fall", numbers=(("relief_m", relief_m),))


def _catch(site: Site, answer: CatchAnswer | None) -> ShortAnswer | None:
    if not site.of(Roof):
        return _lacks(Question.CATCH, "catch.needs-roof")
    if answer is None:
        return None
    if not answer.wet_day.led_l > 0:
        return ShortAnswer(question=Question.CATCH, code="catch.nothing", severity=Severity.WATCH)
    if answer.year is None:
        return ShortAnswer(
            question=Question.CATCH, code="catch.wet-day", numbers=(("wet_day_l", answer.wet_day.led_l),)
        )
    return ShortAnswer(question=Question.CATCH, code="catch.year", numbers=(("year_l", answer.year.led_l),))


def _reach(site: Site, answer: ReachAnswer | None) -> ShortAnswer | None:
    if not site.of(Tank):
        return _lacks(Question.REACH, "reach.needs-tank")
    if not site.of(Bed):
        return _lacks(Question.REACH, "reach.needs-bed")
    if answer is None:
        return None
    numbers = (("reached", float(answer.beds_reached)), ("beds", float(len(answer.beds))))
    severity = None if answer.beds_reached else Severity.FAILS
    return ShortAnswer(question=Question.REACH, code="reach.beds", numbers=numbers, severity=severity)


def _lasting(site: Site, answer: LastingAnswer | None) -> ShortAnswer | None:
    if not has_sky(site):
        return _lacks(Question.LASTING, "lasting.needs-weather")
    if not site.of(Tank):
        return _lacks(Question.LASTING, "lasting.needs-tank")
    if not site.of(Bed):
        return _lacks(Question.LASTING, "lasting.needs-bed")
    if site.settings.latitude_deg is None:
        return _lacks(Question.LASTING, "lasting.needs-latitude")
    if answer is None:
        return None
    if not answer.days_short:
        return ShortAnswer(question=Question.LASTING, code="lasting.lasts")
    numbers = (("days", float(answer.days_short)),)
    return ShortAnswer(question=Question.LASTING, code="lasting.short", numbers=numbers, severity=Severity.FAILS)


def _overflow(site: Site, answer: OverflowAnswer | None, findings: tuple[Finding, ...]) -> ShortAnswer | None:
    if not has_water(site):
        return _lacks(Question.OVERFLOW, "overflow.needs-roof")
    if answer is None:
        return None
    if not answer.sources:
        return ShortAnswer(question=Question.OVERFLOW, code="overflow.dry")
    for code, short in _OVERFLOW_CODES:
        named = [finding for finding in findings if finding.code == code]
        if named:
            numbers = (("count", float(len(named))),)
            severity = named[0].severity
            return ShortAnswer(question=Question.OVERFLOW, code=short, numbers=numbers, severity=severity)
    leaving = [finding for finding in findings if finding.code == "overflow.leaves-site"]
    if leaving:
        numbers = (("volume_l", sum(finding.number("volume_l") for finding in leaving)),)
        severity = leaving[0].severity
        return ShortAnswer(question=Question.OVERFLOW, code="overflow.leaves", numbers=numbers, severity=severity)
    numbers = (("volume_l", answer.account.spilled_l),)
    return ShortAnswer(question=Question.OVERFLOW, code="overflow.kept", numbers=numbers)
