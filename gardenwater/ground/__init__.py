"""The lie of the land: a grid of levels from a raster, from what was measured by hand, or flat."""

from __future__ import annotations

from gardenwater.ground.answer import GroundAnswer, GroundOrigin
from gardenwater.ground.contouring import contours, nice_step_m
from gardenwater.ground.fitting import Fit, Misfit, fit_to_pegs
from gardenwater.ground.level_book import Book, BookRow, Section, reduce_book
from gardenwater.ground.model import Ground
from gardenwater.ground.origin import ground_of
from gardenwater.ground.reading import Profile, Relief, level_at, levels_at, profile, relief
from gardenwater.ground.shading import Slope, hillshade, slope
from gardenwater.ground.thinning import Keep, thin

__all__ = [
    "Book",
    "BookRow",
    "Fit",
    "Ground",
    "GroundAnswer",
    "GroundOrigin",
    "Keep",
    "Misfit",
    "Profile",
    "Relief",
    "Section",
    "Slope",
    "contours",
    "fit_to_pegs",
    "ground_of",
    "hillshade",
    "level_at",
    "levels_at",
    "nice_step_m",
    "profile",
    "reduce_book",
    "relief",
    "slope",
    "thin",
]
