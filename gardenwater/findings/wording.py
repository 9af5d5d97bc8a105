"""One wording for the window, the report and the command line."""

from __future__ import annotations

from dataclasses import dataclass

from gardenwater.findings.catalogue import entry_of
from gardenwater.findings.model import Finding, Severity
from gardenwater.findings.phrases import Filling, NameOf, names_for, phrase
from gardenwater.findings.short import SHORTS, ShortAnswer
from gardenwater.units import UnitSystem

SEVERITY_WORDS: dict[Severity, str] = {
    Severity.UNSAFE: "Unsafe",
    Severity.FAILS: "Fails",
    Severity.WATCH: "Watch",
    Severity.NOTE: "Note",
}
_COUNTS: dict[Severity, tuple[str, str]] = {
    Severity.UNSAFE: ("unsafe", "unsafe"),
    Severity.FAILS: ("fails", "fail"),
    Severity.WATCH: ("to watch", "to watch"),
    Severity.NOTE: ("note", "notes"),
}


@dataclass(frozen=True, slots=True)
class Sentence:
    """A finding in words. head: what is so, without a full stop. figures, mend: whole sentences, or empty."""

    head: str
    figures: str
    mend: str
    source: str

    @property
    def whole(self) -> str:
        """All but the source, as one paragraph."""
        head = self.head if self.head.endswith(".") else f"{self.head}."
        return " ".join(part for part in (head, self.figures, self.mend) if part)


def sentence(finding: Finding, name_of: NameOf, system: UnitSystem) -> Sentence:
    """A finding in people's words and units.

    name_of: what people call the thing with an id. Raises InputError for a code that the catalogue does not have.
    """
    words = dict(finding.words)
    wording = entry_of(finding.code).cases[words.get("case", "")]
    filling = Filling(
        names=names_for(finding.subject, finding.others, name_of),
        numbers=dict(finding.numbers),
        words=words,
        system=system,
    )
    return Sentence(
        head=phrase(wording.head, filling),
        figures=phrase(wording.figures, filling),
        mend=phrase(wording.mend, filling),
        source=finding.source,
    )


def short_words(short: ShortAnswer, name_of: NameOf, system: UnitSystem) -> str:
    """The short answer of a question in people's words and units: "6 of 7 beds", "needs a tank"."""
    filling = Filling(names=names_for("", short.names, name_of), numbers=dict(short.numbers), words={}, system=system)
    return phrase(SHORTS[short.code], filling, capital=False)


def counts_words(findings: tuple[Finding, ...]) -> str:
    """How many there are of each severity: "2 fail, 2 to watch, 1 note"; empty when there are none."""
    counts = {severity: sum(each.severity is severity for each in findings) for severity in Severity}
    return ", ".join(f"{count} {_COUNTS[severity][count != 1]}" for severity, count in counts.items() if count)
