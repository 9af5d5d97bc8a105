"""Bucket and stopwatch: what a line really loses, from the flow that it was seen to give.

One test tells one number: how far all losses together are off. It goes to the fittings, or where these would have to be
less or more than can be, to the wall. Two tests tell both when they weigh wall and fittings differently enough: over
two lengths, mostly; two heads on one length weigh them nearly alike. While the tests do not speak against the wall that
the line was thought to have, it is kept, and the bands say how little was told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.hydraulics.friction import velocity_head_m
from gardenwater.hydraulics.line import ROUGHEST, Line
from gardenwater.hydraulics.losses import flow_l_min, head_loss_m

Floats = NDArray[np.float64]

TIMING_ERROR = 0.03
"""One standard error of a flow by bucket and stopwatch, as a share: half a second and a quarter litre in 20 s and 10 L
(judgement, no source)."""

LEAST_K = 0.5
MOST_K = 200.0
"""Fittings that a calibration may give a line: an entrance at least, and what the site's field takes at most."""

_SMOOTHEST_MM = 1e-4
_WALLS = 120
_CLEAR = 4.0
"""A wall is as it was while the tests speak against it by less than this, in squares of standard errors (two of them).
"""


class Told(StrEnum):
    """What the tests tell. BOTH: wall and fittings. FITTINGS, WALL: one of them, with the other as it was.

    NEITHER: no wall and no fittings in range give these flows; head, length or bore are not as they are thought to be.
    """

    BOTH = "wall and fittings"
    FITTINGS = "fittings"
    WALL = "wall"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True)
class BucketTest:
    """A bucket and a stopwatch. head_m: from the water level down to the ground at the end; length_m: of the line.

    litres: caught in seconds. Raises InputError for what is no positive number.
    """

    head_m: float
    length_m: float
    litres: float
    seconds: float

    def __post_init__(self) -> None:
        for name, unit in (("head_m", "m"), ("length_m", "m"), ("litres", "L"), ("seconds", "s")):
            value = getattr(self, name)
            if not (math.isfinite(value) and (value > 0 or (name == "length_m" and value == 0))):
                raise InputError(f"{value!r} cannot be taken.", where=f"BucketTest.{name}", mend=f"Give {unit} over 0.")

    @property
    def flow_l_min(self) -> float:
        """What was caught, L/min."""
        return self.litres / self.seconds * 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibrated:
    """A line as it was found to be.

    line: with its roughness and fittings. told: what the tests tell. misfits: by test, the flow that the line gives now
    over the flow that was caught, less 1. fittings_k_band, roughness_mm_band: within one standard error.
    off_before: by test, how far the line was off before.
    """

    line: Line
    told: Told
    misfits: tuple[float, ...]
    off_before: tuple[float, ...]
    fittings_k_band: tuple[float, float]
    roughness_mm_band: tuple[float, float]

    @property
    def fits(self) -> bool:
        """Whether the line gives what was caught, within two standard errors of the timing."""
        return all(abs(misfit) <= 2.0 * TIMING_ERROR for misfit in self.misfits)


def calibrate(line: Line, tests: Sequence[BucketTest]) -> Calibrated:
    """The real roughness and losses of a line from one or more tests with bucket and stopwatch.

    line: as it is thought to be; what the tests do not tell is kept from it. Raises InputError without a test, and for
    a head that does not come up to the line's lift and least head.
    """
    if not tests:
        raise InputError("Nothing was measured.", where="tests", mend="Fill a bucket and time it.")
    for test in tests:
        if test.head_m <= line.held_back_m:
            raise InputError(
                "Such a head drives nothing through this line.",
                where="tests",
                mend="Measure with more water in the tank.",
            )
    walls = np.unique(np.append(np.geomspace(_SMOOTHEST_MM, ROUGHEST * line.bore_mm, _WALLS), line.roughness_mm))
    fits = [_fit(line, float(wall_mm), tests) for wall_mm in walls if wall_mm > 0.0]
    best = min(fits, key=lambda fit: fit.misfit)
    as_it_was = _fit(line, max(line.roughness_mm, _SMOOTHEST_MM), tests)
    if best.misfit > _CLEAR * len(tests):
        return _answer(line, Told.NEITHER, line, tests, fits, best)
    if as_it_was.misfit - best.misfit < _CLEAR:
        fitted = replace(line, fittings_k=as_it_was.fittings_k)
        return _answer(fitted, Told.FITTINGS, line, tests, fits, best)
    fitted = replace(line, fittings_k=best.fittings_k, roughness_mm=best.roughness_mm)
    return _answer(fitted, Told.BOTH if len(tests) > 1 else Told.WALL, line, tests, fits, best)


@dataclass(frozen=True, slots=True)
class _Fit:
    """The fittings that go best with a wall, and how far the tests speak against both, in squared standard errors."""

    roughness_mm: float
    fittings_k: float
    misfit: float
    k_error: float


def _fit(line: Line, roughness_mm: float, tests: Sequence[BucketTest]) -> _Fit:
    """The loss is straight in the fittings: the best follow from the heads that the caught flows leave for them."""
    flow = np.array([test.flow_l_min for test in tests])
    walled = replace(line, roughness_mm=roughness_mm, fittings_k=0.0)
    heads = np.array([test.head_m for test in tests]) - line.held_back_m
    lengths = np.array([test.length_m for test in tests])
    apart, per_k = _loss_m(flow, lengths, walled), velocity_head_m(flow, line)
    # a flow that is timed wrong by a share is a loss that is wrong by about twice that, as it goes with the square
    error_m = 2.0 * TIMING_ERROR * heads
    left, weight = (heads - apart) / error_m, per_k / error_m
    k = float(np.clip(np.sum(left * weight) / np.sum(weight**2), LEAST_K, MOST_K))
    return _Fit(roughness_mm, k, float(np.sum((left - k * weight) ** 2)), float(1.0 / np.sqrt(np.sum(weight**2))))


def _loss_m(flow: Floats, length: Floats, line: Line) -> Floats:
    loss: Floats = np.asarray(head_loss_m(flow, length, line), dtype=np.float64)
    return loss


def _answer(
    line: Line, told: Told, before: Line, tests: Sequence[BucketTest], fits: Sequence[_Fit], best: _Fit
) -> Calibrated:
    near = [fit for fit in fits if fit.misfit <= best.misfit + 1.0]
    return Calibrated(
        line=line,
        told=told,
        misfits=_off(line, tests),
        off_before=_off(before, tests),
        fittings_k_band=(
            max(LEAST_K, min(fit.fittings_k - fit.k_error for fit in near)),
            min(MOST_K, max(fit.fittings_k + fit.k_error for fit in near)),
        ),
        roughness_mm_band=(min(fit.roughness_mm for fit in near), max(fit.roughness_mm for fit in near)),
    )


def _off(line: Line, tests: Sequence[BucketTest]) -> tuple[float, ...]:
    """By test, the line's flow over what was caught, less 1."""
    return tuple(
        float(flow_l_min(test.head_m - line.held_back_m, test.length_m, line)) / test.flow_l_min - 1.0 for test in tests
    )
