"""One thing the program noticed: its severity, subject, numbers and source."""

from __future__ import annotations

from gardenwater.findings.model import Finding, Question, Severity
from gardenwater.findings.short import ShortAnswer
from gardenwater.findings.wording import Sentence, counts_words, sentence, short_words

__all__ = [
    "Finding",
    "Question",
    "Sentence",
    "Severity",
    "ShortAnswer",
    "counts_words",
    "sentence",
    "short_words",
]
