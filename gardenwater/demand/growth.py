"""What stands on a bed on each day of the weather: its crops in their seasons, and what is between them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.curve import standing
from gardenwater.demand.figures import ROOTS_AT_FIRST_M, CropFigures
from gardenwater.demand.model import Growth, Stage
from gardenwater.demand.place import Place
from gardenwater.demand.seasons import Season

Floats = NDArray[np.float64]


def _between_seasons(days: int, crop: CropFigures | None) -> Growth:
    """All days as they are without a season: bare, or a perennial at rest, with the least of its coefficients."""
    rests = crop is not None and crop.perennial
    kcb = min(crop.kcb[0], crop.kcb[2]) if crop is not None and rests else 0.0
    return Growth(
        kcb=np.full(days, kcb),
        wetness=np.zeros(days),
        height_m=np.full(days, crop.height_m if crop is not None and rests else 0.0),
        root_m=np.full(days, crop.root_m if crop is not None and rests else ROOTS_AT_FIRST_M),
        depletion_p=np.full(days, crop.depletion_p if crop is not None and rests else 0.5),
        stage=np.full(days, Stage.DORMANT if rests else Stage.NONE, dtype=np.uint8),
        crop=np.full(days, 1 if rests else 0, dtype=np.uint8),
    )


def growth_of(
    crops: tuple[CropFigures | None, CropFigures | None], seasons: tuple[Season, ...], place: Place
) -> Growth:
    """What stands on a bed on each day, of its two crops in their seasons."""
    made = _between_seasons(place.et0_mm.size, crops[0])
    for season in seasons:
        crop = crops[season.crop - 1]
        if crop is None:
            continue
        here = standing(crop, season.first, season.last, place.wind_m_s, place.humidity_pct)
        at = slice(max(season.first, 0), max(season.first, 0) + here.kcb.size)
        made.kcb[at], made.wetness[at], made.stage[at] = here.kcb, here.wetness, here.stage
        made.height_m[at], made.root_m[at] = here.height_m, here.root_m
        made.depletion_p[at], made.crop[at] = crop.depletion_p, season.crop
    return made
