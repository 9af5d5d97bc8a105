"""The course of a figure through the year, from twelve monthly means."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from gardenwater.site.climate import MONTH_DAYS, MONTHS

_STEPS = 64  # places in a month at which the mean of the course is taken


def _weights(month: NDArray[np.int64], share: NDArray[np.float64]) -> NDArray[np.float64]:
    """What the twelve knots, one in the middle of each month, count for at these places: (places, 12)."""
    at = month + share - 0.5
    before = np.floor(at).astype(np.int64)
    rest = at - before
    weights = np.zeros((at.size, MONTHS))
    rows = np.arange(at.size)
    weights[rows, before % MONTHS] += 1.0 - rest
    weights[rows, (before + 1) % MONTHS] += rest
    return weights


def course(dates: NDArray[np.datetime64], means: Sequence[float]) -> NDArray[np.float64]:
    """The value of each day, from monthly means: a broken line through the middles of the months, round the year.

    The knots are chosen so that the mean of each month is the one given (not the knot itself, which would cut off
    peaks). dates: datetime64[D] (days,). Returns float64 (days,), exact in the mean of a month to the length of
    its days.
    """
    share = (np.arange(_STEPS) + 0.5) / _STEPS
    matrix = np.array([_weights(np.full(_STEPS, month), share).mean(axis=0) for month in range(MONTHS)])
    knots = np.linalg.solve(matrix, np.asarray(means, dtype=np.float64))
    months = dates.astype("datetime64[M]")
    first, after = months.astype("datetime64[D]"), (months + 1).astype("datetime64[D]")
    within = ((dates - first).astype(np.float64) + 0.5) / (after - first).astype(np.float64)
    values: NDArray[np.float64] = _weights(months.astype(np.int64) % MONTHS, within) @ knots
    return values


def month_days() -> NDArray[np.float64]:
    """Mean days of each month, float64 (12,)."""
    return np.array(MONTH_DAYS)
