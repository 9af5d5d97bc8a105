"""The best spots of a stand map, ranked and spaced apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.reach.stand_model import StandMap, StandSpot

_STAND_STEP_M, _FEEDER_STEP_M = 0.05, 0.5
_SHARE_STEP = 0.01


@dataclass(frozen=True, slots=True)
class RankedSpots:
    """The best spots, best first. of: how many spots there are in all, so far apart."""

    spots: tuple[StandSpot, ...]
    of: int


def ranked_spots(map_: StandMap, *, most: int = 5, apart_m: float = 4.0, sure_m: float = 0.0) -> RankedSpots:
    """The best spots of a stand map.

    Order: the largest share of the beds' area, then the lowest stand (alike within 5 cm), then the shortest feeder
    (alike within half a metre), then the feed that clears the inlet by most; spots whose feed clears it by less than
    `sure_m` come last. Each is the best of all within `apart_m` of it. The first are one for each feed point; where
    these are fewer than asked for, further ones follow.
    """
    cells = np.flatnonzero(map_.share.ravel() > 0)
    order = _order(map_, cells, sure_m)
    apart = _spaced(map_, cells[order], apart_m)
    feeds = map_.feed.ravel()[apart]
    _, first = np.unique(feeds, return_index=True)
    one_each = np.sort(first)[:most]
    rest = np.setdiff1d(np.arange(apart.size), one_each)[: most - one_each.size]
    chosen = apart[np.sort(np.concatenate((one_each, rest)))]
    cols = map_.ground.shape[1]
    return RankedSpots(tuple(map_.at_cell(*divmod(int(cell), cols)) for cell in chosen), int(apart.size))


def _order(map_: StandMap, cells: NDArray[np.intp], sure_m: float) -> NDArray[np.intp]:
    """The cells, best first."""
    share, stand, feeder, clears = (
        field.ravel()[cells] for field in (map_.share, map_.stand_m, map_.feeder_m, map_.clears_m)
    )
    return np.lexsort(
        (
            cells,
            -clears,
            np.round(feeder / _FEEDER_STEP_M),
            np.ceil(stand / _STAND_STEP_M - 1e-3),
            -np.round(share / _SHARE_STEP),
            clears < np.float32(sure_m),
        )
    )


def _spaced(map_: StandMap, ordered: NDArray[np.intp], apart_m: float) -> NDArray[np.intp]:
    """Of cells, best first, those that no better one within `apart_m` was kept of."""
    ground = map_.ground
    rows, cols = ground.shape
    reach_rows, reach_cols = (max(int(apart_m / cell), 1) for cell in (ground.cell_y_m, ground.cell_x_m))
    free = np.zeros(rows * cols, dtype=np.bool_)
    free[ordered] = True
    grid = free.reshape(rows, cols)
    kept: list[int] = []
    for cell in ordered.tolist():
        if free[cell]:
            kept.append(cell)
            row, col = divmod(cell, cols)
            grid[max(row - reach_rows, 0) : row + reach_rows + 1, max(col - reach_cols, 0) : col + reach_cols + 1] = (
                False
            )
    return np.array(kept, dtype=np.intp)
