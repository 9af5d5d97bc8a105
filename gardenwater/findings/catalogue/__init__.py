"""Every code of finding, and how it is worded."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from gardenwater.errors import InputError
from gardenwater.findings.catalogue.catch import CATCH
from gardenwater.findings.catalogue.drainage import DRAINAGE
from gardenwater.findings.catalogue.ground import GROUND
from gardenwater.findings.catalogue.lasting import LASTING
from gardenwater.findings.catalogue.levels import LEVELS
from gardenwater.findings.catalogue.lines import LINES
from gardenwater.findings.catalogue.overflow import OVERFLOW
from gardenwater.findings.catalogue.reach import REACH
from gardenwater.findings.catalogue.safety import SAFETY
from gardenwater.findings.catalogue.stand import STAND
from gardenwater.findings.catalogue.weather import WEATHER
from gardenwater.findings.entry import Entry

_ALL = (*SAFETY, *OVERFLOW, *DRAINAGE, *REACH, *LINES, *STAND, *LEVELS, *CATCH, *LASTING, *WEATHER, *GROUND)
CATALOGUE: Mapping[str, Entry] = MappingProxyType({entry.code: entry for entry in _ALL})
"""All codes, each with its entry."""


def entry_of(code: str) -> Entry:
    """The entry of a code. Raises InputError where there is none."""
    try:
        return CATALOGUE[code]
    except KeyError:
        raise InputError(f"No finding has the code {code!r}.", where="code") from None
