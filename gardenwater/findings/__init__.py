"""One thing the program noticed: its severity, subject, numbers and source."""

from __future__ import annotations

from gardenwater.findings.model import Finding, Question, Severity
from gardenwater.findings.short import ShortAnswer

__all__ = ["Finding", "Question", "Severity", "ShortAnswer"]
