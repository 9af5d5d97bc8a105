"""The lie of the land: a grid of levels from a raster, from what was measured by hand, or flat."""

from __future__ import annotations

from gardenwater.ground.model import Ground

__all__ = ["Ground"]
