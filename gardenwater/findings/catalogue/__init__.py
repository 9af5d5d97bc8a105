"""Every code of finding, and how it is worded."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from gardenwater.errors import InputError
from gardenwater.findings.catalogue.catch import CATCH
from gardenwater.findings.catalogue.ground import GROUND
from gardenwater.findings.catalogue.lasting import LASTING
from gardenwater.findings.catalogue.levels import LEVELS
from gardenwater.findings.catalogue.lines import LINES
from gardenwater.findings.catalogue.overflow import OVERFLOW
from gardenwater.findings.catalogue.reach import REACH
from gardenwater.findings.catalogue.safety import SAFETY
from gardenwater.findings.catalogue.stand import STAND
from gardenwater.findings.entry import Entry

CATALOGUE: Mapping[str, Entry] = MappingProxyType(
    {entry.code: entry for entry in (*SAFETY, *OVERFLOW, *REACH, *LINES, *STAND, *LEVELS, *CATCH, *LASTING, *GROUND)}
)
"""All codes, each with its entry."""


def entry_of(code: str) -> Entry:
    """The entry of a code. Raises InputError where there is none."""
    try:
        return CATALOGUE[code]
    except KeyError:
        raise InputError(f"No finding has the code {code!r}.", where="code") from None
