"""What beds and open water want: FAO-56's dual crop coefficient and root zone, day by day."""

from __future__ import annotations

from gardenwater.demand.model import BedDays, BedStack, Stage, stack
from gardenwater.demand.records_zone import Asks

__all__ = ["Asks", "BedDays", "BedStack", "Stage", "stack"]
