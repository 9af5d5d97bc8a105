"""A ground made ready for reach: barriers drawn on it, thinned for a preview, and what hangs together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn
from gardenwater.ground import Ground, Keep, thin
from gardenwater.reach.reason import Reason
from gardenwater.work import Cancel, Progress, say, stop_if

Levels = NDArray[np.float32]
Regions = NDArray[np.int32]
Mask = NDArray[np.bool_]

_NO_REGION = np.empty(0, dtype=np.int32)
_WORDS = "drawing barriers"


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """What a water reach map needs of a ground and its barriers; made once, used for every place of a tank.

    ground: the grid of the answer (the thinned one, when thinned). level_m: float32 (rows, cols), the level that bars
    the way: infinite on barriers, NaN without data. stand_m: float32 (rows, cols), the level that a tank stands on: the
    ground's, and when thinned the lowest of each block, as a tank stands on its own spot and not on the block's top.
    region: int32 (rows, cols), stretches that hang together by the sides of cells, 0 where nothing passes; of size 0
    when all of the grid does. bare_region: int32, by region, the stretch that it would belong to without barriers.
    """

    ground: Ground
    level_m: Levels = field(repr=False)
    stand_m: Levels = field(repr=False)
    region: Regions = field(repr=False)
    bare_region: Regions = field(repr=False)

    def shut_off(self, row: int, col: int) -> NDArray[np.int8]:
        """By region, why nothing leads there from a cell: int8, a `Reason`, or -1 where something does."""
        own = {int(self.region[row, col])} - {0}
        if not own:  # a tank on a barrier: its cell is free, and leads to the cells beside it
            beside = self.region[max(row - 1, 0) : row + 2, col], self.region[row, max(col - 1, 0) : col + 2]
            own = set(np.concatenate(beside).tolist()) - {0}
        why = np.full(self.bare_region.size, int(Reason.BARRIER), dtype=np.int8)
        if own:
            why[~np.isin(self.bare_region, self.bare_region[list(own)])] = int(Reason.NO_DATA)
            why[list(own)] = -1
        return why


def prepare(
    ground: Ground,
    *,
    barriers: Iterable[BaseGeometry] = (),
    factor: int = 1,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Prepared:
    """A ground with barriers, ready for `water_reach` and `needed_level`.

    barriers: shapes that are gone round, drawn on the grid without leaks (see `grids.burn`). factor: thin it for a
    preview, in blocks of so many cells each way: levels as in `coarse`; a block is a barrier when barriers take more
    than half of it or part its free cells. So a passage as wide as a block stays open, a narrower one may close.
    Raises InputError for a factor under 1.
    """
    say(progress, 0.0, _WORDS)
    burnt = burn(barriers, ground.transform, ground.shape)
    stop_if(cancel)
    thinned = coarse(ground, factor)
    if factor > 1:
        burnt = _in_blocks(burnt, factor, thinned.shape)
    level = thinned.level_m
    missing = np.isnan(level)
    if burnt.any():
        level = np.where(burnt & ~missing, np.float32(np.inf), level)
        level.flags.writeable = False
    say(progress, 0.6, _WORDS)
    stop_if(cancel)
    region, bare_region = _regions(burnt, missing)
    say(progress, 1.0, _WORDS)
    stand = ground.level_m if factor == 1 else thin(ground, factor, Keep.LOWEST).level_m
    return Prepared(thinned, level, stand, region, bare_region)


def as_prepared(
    ground: Ground | Prepared,
    barriers: Iterable[BaseGeometry],
    cancel: Cancel | None,
    progress: Progress | None,
) -> Prepared:
    """The ground with its barriers, made ready unless it is. Raises InputError for barriers given twice."""
    if isinstance(ground, Ground):
        return prepare(ground, barriers=barriers, cancel=cancel, progress=progress)
    if next(iter(barriers), None) is not None:
        raise InputError(
            "The ground has its barriers already.", where="barriers", mend="Give the barriers to prepare()."
        )
    return ground


def coarse(ground: Ground, factor: int) -> Ground:
    """The ground in blocks of `factor` cells each way, each with its highest level: for a quick look while dragging.

    The highest, as that is what bars the way: a thin ridge stays whole. Cells without data are left out of a block, and
    a block has none only when none of its cells has: a preview that turned each stray gap into a wall eight cells wide
    would show less than there is. On a slope a block's highest stands above most of it; the level that a tank stands on
    is therefore kept apart in `prepare(ground, factor=...)`, which a preview should use.
    Raises InputError for a factor under 1.
    """
    return thin(ground, factor, Keep.HIGHEST)


def _in_blocks(burnt: Mask, factor: int, shape: tuple[int, int]) -> Mask:
    from gardenwater.reach.kernels_blocks import parted

    blocks = np.zeros(shape, dtype=np.bool_)
    if burnt.any():
        parted(burnt, factor, blocks)
    return blocks


def _regions(burnt: Mask, missing: Mask) -> tuple[Regions, Regions]:
    """`region` and `bare_region` of `Prepared`."""
    any_burnt, any_missing = bool(burnt.any()), bool(missing.any())
    if not (any_burnt or any_missing):
        return _NO_REGION, _NO_REGION
    region, count = _hang_together(~(burnt | missing))
    bare = np.arange(count + 1, dtype=np.int32)
    if any_burnt and any_missing:
        bare[region] = _hang_together(~missing)[0]
    elif any_burnt:
        bare[:] = 1
    return region, bare


def _hang_together(free: Mask) -> tuple[Regions, int]:
    """Number the stretches of free cells that hang together by their sides.

    A diagonal step needs one of the two cells beside its corner, so it joins nothing that sides do not join.
    """
    from scipy.ndimage import label

    numbered = np.empty(free.shape, dtype=np.int32)
    count = label(free, output=numbered)
    return numbered, int(count)
