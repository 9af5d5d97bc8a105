"""What engines that walk over grids share: barriers drawn on cells, water gathered, trenches that always fall."""

from __future__ import annotations

from gardenwater.grids.burning import burn
from gardenwater.grids.gathering import Gathered, gather
from gardenwater.grids.trench import Trench, Way, Ways, ways_from

__all__ = ["Gathered", "Trench", "Way", "Ways", "burn", "gather", "ways_from"]
