"""The finding type, shared by the plan, the report and the command line."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum


class Severity(IntEnum):
    """How much a finding matters; the lower, the more."""

    UNSAFE = 0
    FAILS = 1
    WATCH = 2
    NOTE = 3


class Question(StrEnum):
    """The seven questions a grower asks, in their order."""

    GROUND = "Ground"
    CATCH = "Catch"
    REACH = "Reach"
    OVERFLOW = "Overflow"
    LASTING = "Lasting"
    NEXT_STEP = "Next step"
    ROUNDS = "Rounds"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing the program noticed.

    code: stable name of the kind of finding, `room.what` (`reach.bed-out`); its wording is in `findings.wording`.
    subject: id of the thing it is about, empty when it is about the site.
    others: ids of further things its sentence names, in the order of the sentence.
    numbers: name and value pairs, SI with the unit in the name (`too_high_m`), in the order of the sentence.
    words: name and word pairs that the sentence needs and that are not numbers (`reason`).
    at: place on the plan (x, y in the site's CRS, m) to ring, or None.
    stake: litres or metres at stake; orders findings of one severity.
    source: standard and clause, or "common practice, no source", or "from memory: ...".
    """

    code: str
    severity: Severity
    question: Question
    subject: str = ""
    others: tuple[str, ...] = ()
    numbers: tuple[tuple[str, float], ...] = ()
    words: tuple[tuple[str, str], ...] = ()
    at: tuple[float, float] | None = None
    stake: float = 0.0
    source: str

    def number(self, name: str) -> float:
        """The value of the number called `name`; KeyError where there is none."""
        return dict(self.numbers)[name]
