"""What the catalogue holds for each code of finding: how grave it is, whose question, its wording, its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gardenwater.findings.model import Question, Severity

LOCAL = "local code decides"
PRACTITIONER = "local code and a licensed practitioner decide"
ENGINEER = "local code and a licensed engineer decide"
COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Wording:
    """The sentences of one case, with blanks (see `phrases`).

    head: what is so, without a full stop. figures: the numbers behind it, empty when the head says them all.
    mend: what to do about it.
    """

    head: str
    figures: str = ""
    mend: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One code. cases: wording by the finding's word `case`; the empty case where it has none."""

    code: str
    severity: Severity
    question: Question
    source: str
    cases: Mapping[str, Wording]


def entry(code: str, severity: Severity, question: Question, source: str, **cases: Wording) -> Entry:
    """An entry of the catalogue; the case `plain` is the one of findings without a case."""
    named = {name.replace("_", "-") if name != "plain" else "": wording for name, wording in cases.items()}
    return Entry(code=code, severity=severity, question=question, source=source, cases=named)
