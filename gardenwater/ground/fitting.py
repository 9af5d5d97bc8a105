"""A raster's levels shifted, and tilted, to fit level pegs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.ground.model import Ground
from gardenwater.ground.reading import levels_at
from gardenwater.site.things import LevelPeg

_NARROW = 0.1
_FAR_OFF = 3.0
_MOST_PICKS = 3000
_LEAST_SPREAD_M = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """How far a peg is above the fitted ground, m, and whether it is far off from what the others say."""

    peg: str
    name: str
    misfit_m: float
    far_off: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """A ground fitted to pegs.

    What was added at (x, y), m: shift_m + tilt_east (x - x0) + tilt_north (y - y0), (x0, y0) the middle of the grid;
    tilts in m per m, 0 where the pegs do not show them. misfits: of each peg used. rms_m: root mean square of the
    misfits over what the pegs leave free; NaN where they leave nothing (as many pegs as numbers found).
    """

    ground: Ground
    shift_m: float
    tilt_east: float
    tilt_north: float
    misfits: tuple[Misfit, ...]
    rms_m: float
    notices: tuple[str, ...]


def fit_to_pegs(ground: Ground, pegs: Iterable[LevelPeg]) -> Fit:
    """The ground moved so that it fits the pegs best (least squares).

    One or two pegs, or pegs nearly on a line (less than a tenth as wide as long), shift it; three or more also tilt it.
    A peg is called far off when it misses the fit that most pegs share (least median of squares, with its standard
    error for few points: Rousseeuw and Leroy, *Robust Regression and Outlier Detection*, 1987; from memory) by over
    three standard errors, taken as 0.03 m at least. It still counts: leave it out and fit again.

    Raises InputError where no peg stands on cells with levels.
    """
    all_pegs = tuple(pegs)
    at = np.array([(peg.shape.x, peg.shape.y) for peg in all_pegs], dtype=np.float64).reshape(-1, 2)
    levels = levels_at(ground, at[:, 0], at[:, 1])
    used = [peg for peg, level in zip(all_pegs, levels, strict=True) if not np.isnan(level)]
    if not used:
        raise InputError(
            "No level peg stands on ground that has a level.", where="pegs", mend="Put a peg on the raster."
        )
    known = ~np.isnan(levels)
    at, gaps = at[known], np.array([peg.level_m for peg in used]) - levels[known]
    terms = _terms(ground, at)
    found = np.linalg.lstsq(terms, gaps, rcond=None)[0]
    left_over = gaps - terms @ found
    shift_m, east, north = (float(value) for value in np.concatenate([found, np.zeros(3 - len(found))]))
    misfits = tuple(
        Misfit(peg=peg.id, name=peg.name, misfit_m=float(miss), far_off=bool(far))
        for peg, miss, far in zip(used, left_over, _far_off(terms, gaps), strict=True)
    )
    free = len(used) - len(found)
    return Fit(
        ground=_moved(ground, shift_m, east, north),
        shift_m=shift_m,
        tilt_east=east,
        tilt_north=north,
        misfits=misfits,
        rms_m=float(np.sqrt((left_over**2).sum() / free)) if free else float("nan"),
        notices=_notices(misfits, len(all_pegs) - len(used), free, tilted=len(found) == 3),
    )


def _middle(ground: Ground) -> tuple[float, float]:
    west, south, east, north = ground.bounds
    return (west + east) / 2, (south + north) / 2


def _terms(ground: Ground, at: NDArray[np.float64]) -> NDArray[np.float64]:
    """What is found: a shift, and a tilt where three pegs or more stand apart from a line."""
    ones = np.ones((len(at), 1))
    if len(at) < 3:
        return ones
    sizes = np.linalg.svd(at - at.mean(axis=0), compute_uv=False)
    if sizes[1] < _NARROW * sizes[0]:
        return ones
    return np.hstack([ones, at - np.array(_middle(ground))])


def _moved(ground: Ground, shift_m: float, east: float, north: float) -> Ground:
    rows, cols = ground.shape
    from_middle_x = (np.arange(cols) + 0.5 - cols / 2) * ground.cell_x_m
    from_middle_y = (rows / 2 - np.arange(rows) - 0.5) * ground.cell_y_m
    added = shift_m + east * from_middle_x[None, :] + north * from_middle_y[:, None]
    return Ground((ground.level_m + added).astype(np.float32), ground.transform, ground.crs)


def _far_off(terms: NDArray[np.float64], gaps: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which pegs miss by far what most of them say; none where the others fit anything."""
    count, numbers = terms.shape
    if count < numbers + 2:
        return np.zeros(count, dtype=np.bool_)
    picks = _picks(count, numbers)
    found = np.linalg.pinv(terms[picks]) @ gaps[picks][:, :, None]
    misses = np.abs(gaps - np.einsum("ij,kj->ki", terms, found[:, :, 0]))
    held = np.sort(misses, axis=1)[:, (count + numbers + 1) // 2 - 1]
    usual_m = 1.4826 * (1 + 5 / (count - numbers)) * float(held.min())
    far: NDArray[np.bool_] = misses[held.argmin()] > _FAR_OFF * max(usual_m, _LEAST_SPREAD_M)
    return far


def _picks(count: int, numbers: int) -> NDArray[np.intp]:
    """Picks of so many pegs, (picks, numbers): all that there are, or some drawn at random where there are many."""
    if math.comb(count, numbers) <= _MOST_PICKS:
        return np.array(list(itertools.combinations(range(count), numbers)), dtype=np.intp)
    drawn = np.random.default_rng(0).integers(count, size=(_MOST_PICKS, numbers))
    in_order = np.sort(drawn, axis=1)
    return drawn[(np.diff(in_order, axis=1) > 0).all(axis=1)]


def _notices(misfits: tuple[Misfit, ...], off: int, free: int, *, tilted: bool) -> tuple[str, ...]:
    words = []
    if off:
        where = "where the raster has no level"
        left_out = f"stands {where}; it is left out" if off == 1 else f"stand {where}; they are left out"
        words.append(f"{off} of {len(misfits) + off} pegs {left_out}.")
    if not free:
        words.append("There are just as many pegs as it takes; one more would show how well they fit.")
    elif not tilted and len(misfits) >= 3:
        words.append("The pegs stand nearly on a line: the raster is shifted, not tilted.")
    far = [misfit for misfit in misfits if misfit.far_off]
    if far:
        names = ", ".join(misfit.name or misfit.peg for misfit in far)
        verb = "does" if len(far) == 1 else "do"
        words.append(f"{names} {verb} not agree with the other pegs. Level again, or leave out and fit again.")
    return tuple(words)
