"""What an assessment says, on a terminal."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from gardenwater.findings import Question, counts_words, sentence, short_words
from gardenwater.findings.wording import SEVERITY_WORDS
from gardenwater.site.names import name_of

if TYPE_CHECKING:
    from gardenwater.assess.run import Assessment

_WIDTH = 100
_WORD = 11


def summary(assessment: Assessment) -> str:
    """Name, the short answer of each question that can be answered, and every finding."""
    site = assessment.site
    units = site.settings.units

    def called(thing_id: str) -> str:
        return name_of(site, thing_id)

    lines = [f"{site.name}, {site.about}" if site.about else site.name]
    for question in Question:
        short = assessment.words.get(question)
        if short is not None:
            lines.append(f"{question.value:{_WORD}}{short_words(short, called, units)}")
    counts = counts_words(assessment.findings)
    lines += ["", f"Findings: {counts}" if counts else "Findings: none"]
    for finding in assessment.findings:
        words = sentence(finding, called, units).whole.replace("\u00a0", " ")
        word = f"{SEVERITY_WORDS[finding.severity]:{_WORD}}"
        lines += textwrap.wrap(words, _WIDTH, initial_indent=word, subsequent_indent=" " * _WORD)
    return "\n".join(lines).replace("\u00a0", " ")
