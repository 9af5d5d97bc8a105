"""A ground with fewer, larger cells."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from affine import Affine
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.ground.model import Ground

Levels = NDArray[np.float32]


class Keep(StrEnum):
    """Which level a block of cells hands on."""

    HIGHEST = "highest"
    MEAN = "mean"
    LOWEST = "lowest"


def thin(ground: Ground, factor: int, how: Keep | str = Keep.HIGHEST) -> Ground:
    """The ground in cells `factor` times as wide and high.

    `highest` keeps what bars the way (reach), `lowest` what drains, `mean` the lie. Cells without a level are left out
    of a block; a block of such cells only has none. The last row and column of blocks may reach beyond the grid.

    Raises InputError for a factor under 1 or an unknown `how`.
    """
    if factor < 1:
        raise InputError("A ground is thinned by a whole number from 1.", where="factor", mend="Give 2, 4 or 8.")
    try:
        keep = Keep(how)
    except ValueError:
        raise InputError(
            f"Unknown way to thin: {how!r}.", where="how", mend=f"Give one of {', '.join(Keep)}."
        ) from None
    if factor == 1:
        return ground
    rows, cols = ground.shape
    padded = np.pad(ground.level_m, ((0, -rows % factor), (0, -cols % factor)), constant_values=np.nan)
    blocks = padded.reshape(padded.shape[0] // factor, factor, padded.shape[1] // factor, factor)
    a, _, west, _, e, north = tuple(ground.transform)[:6]
    return Ground(_reduced(blocks, keep), Affine(a * factor, 0.0, west, 0.0, e * factor, north), ground.crs)


def _reduced(blocks: Levels, keep: Keep) -> Levels:
    """One level for each block of (rows, factor, cols, factor)."""
    if keep is Keep.MEAN:
        known = ~np.isnan(blocks)
        total = np.where(known, blocks, np.float32(0)).sum(axis=(1, 3), dtype=np.float64)
        with np.errstate(invalid="ignore"):  # a block without any level is 0 / 0: NaN, as it should be
            mean: Levels = (total / known.sum(axis=(1, 3))).astype(np.float32)
        return mean
    extreme = np.fmax if keep is Keep.HIGHEST else np.fmin
    kept: Levels = extreme.reduce(extreme.reduce(blocks, axis=3), axis=1)
    return kept
