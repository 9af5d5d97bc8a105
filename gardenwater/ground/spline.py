"""A thin-plate surface through measured levels and falls, with its standard error.

The surface that bends least (Duchon 1977) is also the best linear prediction of a random surface whose generalised
covariance is r^2 log r and whose plane is unknown (Dubrule 1984; Wahba, *Spline Models for Observational Data*, 1990,
chapter 2). So one system of equations gives the level and an honest error: the prediction variance, which is the
levelling error at a peg and grows with distance from the pegs. Two things are taken beyond the textbook:

* A measurement may be the difference of level of two spots (a slope arrow) instead of a level: any linear functional of
  the surface enters the same equations.
* How much the ground departs from a plane is one number, its roughness (m of departure for each metre between pegs). It
  is estimated by restricted maximum likelihood (Patterson and Thompson 1971), weighed with what real grounds show, and
  its mean over what is likely is used, so that few pegs do not make a ground look smoother than it can be known to be.

Where the measurements leave a tilt open (one peg; pegs on a line), one more is assumed: level in that sense, give or
take 1 in 20. Where they hold no level (slope arrows only), the level of their middle is the datum that is given.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError

Floats = NDArray[np.float64]

USUAL_ROUGHNESS = 0.018
"""m/m; pinned: the mean over peg sets of 12 to 100 on three real bare-earth rasters (0.012 to 0.024: Bourgogne, Delft,
New South Wales), found by the likelihood alone."""
_ROUGHNESS_SPREAD = 0.7
_UNKNOWN_FALL = 0.05  # common practice, no source: gardens fall 1 in 20 and less unless people speak of a slope
_NEARLY_OPEN = 0.02
_ASSUMED_OVER_M = 10.0
_DATUM_ERROR_M = 0.002
_PAIRS_AT_ONCE = 2_000_000


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured: row i is the level of spot `at[i]`, or with `apart[i]` how far it lies above spot `below[i]`.

    at, below: (n, 2) x and y, m. apart: bool (n,). value_m: (n,) levels and differences, m. error_m: (n,) one standard
    error of each, m, above 0.
    """

    at: Floats
    below: Floats
    apart: NDArray[np.bool_]
    value_m: Floats
    error_m: Floats

    def __len__(self) -> int:
        return len(self.value_m)

    @property
    def spots(self) -> Floats:
        """(k, 2) x and y of the spots whose level is known, m."""
        return self.at[~self.apart]

    def joined(self, other: Measured) -> Measured:
        """These measurements and more."""
        return Measured(
            np.vstack([self.at, other.at]),
            np.vstack([self.below, other.below]),
            np.concatenate([self.apart, other.apart]),
            np.concatenate([self.value_m, other.value_m]),
            np.concatenate([self.error_m, other.error_m]),
        )


@dataclass(frozen=True, slots=True)
class Surface:
    """A fitted thin-plate surface. Inside, coordinates are from `centre` in units of `scale_m`.

    measured: what it was fitted to, with what was assumed. roughness: m/m. weights (n + 3,) and inverse (n + 3, n + 3):
    of the prediction's system of equations.
    """

    measured: Measured
    centre: Floats
    scale_m: float
    roughness: float
    weights: Floats
    inverse: Floats

    def levels(self, x: Floats, y: Floats) -> Floats:
        """Levels at points, m. x, y: float64 of one dimension, m."""
        return self._each(x, y, lambda towards: towards @ self.weights)

    def errors(self, x: Floats, y: Floats) -> Floats:
        """One standard error of the ground's level at points, m. x, y: float64 of one dimension, m."""
        return np.sqrt(np.maximum(self._each(x, y, self._variance), 0.0))

    def _variance(self, towards: Floats) -> Floats:
        variance: Floats = -((towards @ self.inverse) * towards).sum(axis=1)
        return variance

    def _each(self, x: Floats, y: Floats, answer: Callable[[Floats], Floats]) -> Floats:
        """`answer` of the covariances with the measurements and of the plane's terms, a block of points at a time."""
        result = np.empty(len(x))
        block = max(1, _PAIRS_AT_ONCE // len(self.weights))
        strength = (self.roughness * self.scale_m) ** 2
        at, below = self._inside(self.measured.at), self._inside(self.measured.below)
        apart = self.measured.apart
        for start in range(0, len(x), block):
            part = slice(start, start + block)
            points = self._inside(np.column_stack([x[part], y[part]]))
            covariance = _kernel(points, at)
            covariance[:, apart] -= _kernel(points, below[apart])
            result[part] = answer(np.hstack([strength * covariance, _plane(points)]))
        return result

    def _inside(self, places: Floats) -> Floats:
        return (places - self.centre) / self.scale_m


def fit_surface(measured: Measured, *, datum_m: float) -> Surface:
    """The thin-plate surface through the measurements, each as near as its error says.

    datum_m: level at the middle of the measurements where they hold no level at all (slope arrows only).
    Raises InputError where nothing was measured.
    """
    if len(measured) == 0:
        raise InputError("There is nothing to lay the ground through.", where="measured", mend="Add a level peg.")
    full = measured.joined(_assumed(measured, datum_m))
    count = len(full)
    centre = full.spots.mean(axis=0)
    scale_m = float(np.abs(np.vstack([full.at, full.below[full.apart]]) - centre).max())
    at, below = (full.at - centre) / scale_m, (full.below - centre) / scale_m
    planes = _plane(at) - np.where(full.apart[:, None], _plane(below), 0.0)
    bend = _between(at, below, full.apart)
    off_planes = np.linalg.svd(planes, full_matrices=True)[0][:, 3:]
    roughness = _roughness(off_planes, bend * scale_m**2, full.error_m, full.value_m)

    system = np.zeros((count + 3, count + 3))
    system[:count, :count] = (roughness * scale_m) ** 2 * bend + np.diag(full.error_m**2)
    system[:count, count:] = planes
    system[count:, :count] = planes.T
    inverse = np.asarray(np.linalg.inv(system), dtype=np.float64)
    return Surface(full, centre, scale_m, roughness, inverse[:, :count] @ full.value_m, inverse)


def _assumed(measured: Measured, datum_m: float) -> Measured:
    """What must be taken for granted so that the measurements fix a plane: a datum, and level where a tilt is open."""
    has_level = not bool(measured.apart.all())
    middle = (measured.spots if has_level else (measured.at + measured.below) / 2).mean(axis=0)
    runs = measured.at - np.where(measured.apart[:, None], measured.below, middle)
    _, sizes, senses = np.linalg.svd(np.vstack([runs, np.zeros((2, 2))]))
    open_senses = senses[sizes <= _NEARLY_OPEN * sizes[0]]
    at = middle + _ASSUMED_OVER_M * open_senses
    tilts = len(open_senses)
    assumed = Measured(
        at,
        np.broadcast_to(middle, at.shape),
        np.ones(tilts, dtype=np.bool_),
        np.zeros(tilts),
        np.full(tilts, _UNKNOWN_FALL * _ASSUMED_OVER_M),
    )
    if has_level:
        return assumed
    spot = middle[None, :]
    error = np.array([_DATUM_ERROR_M])
    return assumed.joined(Measured(spot, spot, np.array([False]), np.array([datum_m]), error))


def _plane(places: Floats) -> Floats:
    return np.column_stack([np.ones(len(places)), places])


def _kernel(a: Floats, b: Floats) -> Floats:
    """r^2 log r between each of `a` and each of `b`; 0 at r = 0."""
    squared = (a[:, 0, None] - b[None, :, 0]) ** 2
    squared += (a[:, 1, None] - b[None, :, 1]) ** 2
    result: Floats = np.log(squared + np.finfo(np.float64).tiny)
    result *= squared
    result *= 0.5
    return result


def _between(at: Floats, below: Floats, apart: NDArray[np.bool_]) -> Floats:
    """The kernel between the measurements: a difference of level is one spot less the other."""
    across = np.where(apart[None, :], _kernel(at, below), 0.0)
    both = np.where(apart[:, None] & apart[None, :], _kernel(below, below), 0.0)
    return _kernel(at, at) - across - across.T + both


def _roughness(contrasts: Floats, bend: Floats, error_m: Floats, value_m: Floats) -> float:
    """The mean roughness, m/m, over what the measurements and the usual ground make likely.

    contrasts: (n, n - r) combinations of measurements that no plane touches; their likelihood is that of restricted
    maximum likelihood. Without any (a bare plane) the usual roughness is left.
    """
    logs = np.linspace(np.log(1e-5), 0.0, 400)
    likely = -0.5 * ((logs - np.log(USUAL_ROUGHNESS)) / _ROUGHNESS_SPREAD) ** 2
    if contrasts.shape[1]:
        noise = np.linalg.cholesky(contrasts.T @ (error_m[:, None] ** 2 * contrasts))
        whiten = np.linalg.solve(noise, contrasts.T)
        sizes, axes = np.linalg.eigh(whiten @ bend @ whiten.T)
        seen = axes.T @ (whiten @ value_m)
        spread = 1.0 + np.maximum(sizes, 0.0) * np.exp(2 * logs)[:, None]
        likely -= 0.5 * (np.log(spread) + seen**2 / spread).sum(axis=1)
    shares = np.exp(likely - likely.max())
    return float(np.sqrt((shares * np.exp(2 * logs)).sum() / shares.sum()))
