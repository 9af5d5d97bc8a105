"""Contours of a ground."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.ground.model import Ground
from gardenwater.ground.reading import relief
from gardenwater.site.model import Contour
from gardenwater.work import Cancel, stop_if

Points = NDArray[np.float64]
Starts = NDArray[np.intp]

_MOST_LINES = 40
_MOST_LEVELS = 2000


def nice_step_m(relief_m: float) -> float:
    """The contour step for a relief: the least of 1, 2, 5 times a power of ten (0.01 m on) with at most 40 lines."""
    if not relief_m > 0:
        return 0.1
    for power in range(-2, 5):
        for digit in (1, 2, 5):
            step_m = digit * 10.0**power
            if relief_m <= _MOST_LINES * step_m * (1 + 1e-9):
                return round(step_m, 2)
    return 10.0 ** math.ceil(math.log10(relief_m / _MOST_LINES))


def contours(
    ground: Ground, step_m: float, *, smooth: int = 0, least_length_m: float = 0.0, cancel: Cancel | None = None
) -> tuple[Contour, ...]:
    """Lines of equal level at whole multiples of `step_m`, from the lowest level up, each joined as far as it goes.

    Traced between the cells' centres, linear along their sides; no line crosses cells without a level. `smooth`: how
    often corners are cut by a quarter (Chaikin 1974), for drawing only: a smoothed line leaves the true one by up to a
    quarter of a cell. Shorter lines than `least_length_m` are left out.

    Raises InputError for a step that is not positive or that asks for more than 2000 levels.
    """
    traced: list[Contour] = []
    levels_m = _levels(ground, step_m)
    if len(levels_m) == 0 or min(ground.shape) < 2:
        return ()
    generator = _generator(ground)
    for level_m in levels_m:
        stop_if(cancel)
        (points,), (offsets,) = generator.lines(level_m)
        if points is None:
            continue
        points, starts = _kept(points, offsets.astype(np.intp), least_length_m)
        for _ in range(smooth):
            points, starts = _cut_corners(points, starts)
        lines = shapely.linestrings(points, indices=np.repeat(np.arange(len(starts) - 1), np.diff(starts)))
        traced.extend(Contour(line, float(level_m)) for line in np.asarray(lines, dtype=object))
    return tuple(traced)


def _levels(ground: Ground, step_m: float) -> NDArray[np.float64]:
    if not (step_m > 0 and math.isfinite(step_m)):
        raise InputError("A contour step must be more than nothing.", where="step_m", mend="Give 0.1 m, say.")
    low_m, high_m = relief(ground)
    if not high_m > low_m:
        return np.empty(0)
    if (high_m - low_m) / step_m > _MOST_LEVELS:
        raise InputError(
            f"A step of {step_m:g} m asks for more than {_MOST_LEVELS} levels.",
            where="step_m",
            mend=f"Give {nice_step_m(high_m - low_m):g} m.",
        )
    first, last = math.ceil(low_m / step_m), math.floor(high_m / step_m)
    return np.round(np.arange(first, last + 1) * step_m, 9)


def _generator(ground: Ground) -> Any:
    """A tracer of contourpy over the cells' centres; it gives all points of a level, and where each line starts."""
    import contourpy

    rows, cols = ground.shape
    x = ground.transform.c + (np.arange(cols) + 0.5) * ground.cell_x_m
    y = ground.transform.f - (np.arange(rows) + 0.5) * ground.cell_y_m
    levels = np.ma.masked_invalid(ground.level_m.astype(np.float64))
    kind = contourpy.LineType.ChunkCombinedOffset
    return contourpy.contour_generator(x, y, levels, name="serial", line_type=kind)


def _kept(points: Points, starts: Starts, least_length_m: float) -> tuple[Points, Starts]:
    """The lines that are longer than `least_length_m`; those without any length go in any case."""
    steps = np.append(np.hypot(*np.diff(points, axis=0).T), 0.0)
    steps[starts[1:] - 1] = 0.0
    keep = np.add.reduceat(steps, starts[:-1]) > least_length_m
    counts = np.diff(starts)
    return points[np.repeat(keep, counts)], np.concatenate([[0], np.cumsum(counts[keep])])


def _cut_corners(points: Points, starts: Starts) -> tuple[Points, Starts]:
    """Each corner cut by a quarter of its sides; the ends of an open line stay, a closed one stays closed."""
    first, last = starts[:-1], starts[1:] - 1
    closed = (points[first] == points[last]).all(axis=1)
    has_next = np.ones(len(points), dtype=np.bool_)
    has_next[last] = False
    start = np.flatnonzero(has_next)
    cut = np.empty((2 * len(start), 2))
    cut[0::2] = 0.75 * points[start] + 0.25 * points[start + 1]
    cut[1::2] = 0.25 * points[start] + 0.75 * points[start + 1]
    ends = 2 * np.cumsum(last - first)
    begins = ends - 2 * (last - first)
    cut[begins[~closed]] = points[first[~closed]]
    cut[ends[~closed] - 1] = points[last[~closed]]
    cut = np.insert(cut, ends[closed], cut[begins[closed]], axis=0)
    return cut, np.concatenate([[0], np.cumsum(2 * (last - first) + closed)])
