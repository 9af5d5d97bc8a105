"""Makes a finding: severity, question and source come from the catalogue, so that a code always means the same."""

from __future__ import annotations

from collections.abc import Mapping

from gardenwater.errors import InputError
from gardenwater.findings.catalogue import entry_of
from gardenwater.findings.model import Finding


def made(
    code: str,
    subject: str = "",
    *,
    others: tuple[str, ...] = (),
    case: str = "",
    numbers: Mapping[str, float] | None = None,
    words: Mapping[str, str] | None = None,
    at: tuple[float, float] | None = None,
    stake: float = 0.0,
) -> Finding:
    """A finding of this code. Raises InputError for a code or a case that the catalogue does not have."""
    entry = entry_of(code)
    if case not in entry.cases:
        raise InputError(f"{code} has no case {case!r}.", where="case", mend=f"Take one of: {', '.join(entry.cases)}.")
    named = {**({"case": case} if case else {}), **(words or {})}
    return Finding(
        code=code,
        severity=entry.severity,
        question=entry.question,
        subject=subject,
        others=others,
        numbers=tuple((numbers or {}).items()),
        words=tuple(named.items()),
        at=at,
        stake=stake,
        source=entry.source,
    )


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """By severity, then by what is at stake, then by code and subject, so that the order never wavers."""
    return tuple(sorted(findings, key=lambda each: (each.severity, -each.stake, each.code, each.subject, each.others)))
