"""The years that can be chosen, by name."""

from __future__ import annotations

from dataclasses import dataclass

DRIEST = "driest"
"""The key of the year that is shown first."""


@dataclass(frozen=True, slots=True)
class YearName:
    """A year that can be chosen. named: chosen for what it is (driest, middle), not for its number."""

    key: str
    name: str
    named: bool = False
