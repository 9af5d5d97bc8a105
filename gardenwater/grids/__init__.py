"""What engines that walk over grids share: barriers drawn on the ground's cells."""

from __future__ import annotations

from gardenwater.grids.burning import burn

__all__ = ["burn"]
