"""Safe ways: what can be built so that a spill does no harm, tried on the site before it is told."""

from __future__ import annotations

from gardenwater.assess.mends.judging import MENDABLE, place_of
from gardenwater.assess.mends.model import Mend, MendKind, Mends
from gardenwater.assess.mends.proposing import mends_of

__all__ = ["MENDABLE", "Mend", "MendKind", "Mends", "mends_of", "place_of"]
