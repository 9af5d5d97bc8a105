"""What was measured on a site, gathered for the surface that is laid through it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.ground.level_book import reduce_book
from gardenwater.ground.spline import Measured
from gardenwater.site.model import Site
from gardenwater.site.things import LevelPeg, SlopeArrow
from gardenwater.units import Quantity, text

MOST_THIN_PLATE = 600
_MOST_CONTOUR_POINTS = 6_000
_LEAST_ERROR_M = 0.002

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Gathered:
    """The measurements of a site, how many of each kind, and what there is to say about them."""

    measured: Measured
    pegs: int
    arrows: int
    contours: int
    notices: tuple[str, ...]


def gather(site: Site) -> Gathered:
    """Level pegs (by the level book where it levels them), slope arrows, and points along traced contours."""
    booked, notices = _booked_levels(site)
    pegs = site.of(LevelPeg)
    arrows = [arrow for arrow in site.of(SlopeArrow) if arrow.shape.length > 0]
    contours = [contour for contour in site.survey.contours if contour.shape.length > 0]
    levelling_m = max(site.settings.levelling_error_m, _LEAST_ERROR_M)
    ends = [(arrow.shape.coords[0], arrow.shape.coords[-1]) for arrow in arrows]
    drops = [math.dist(upper[:2], lower[:2]) / arrow.one_in for arrow, (upper, lower) in zip(arrows, ends, strict=True)]
    parts = [
        _levels(
            ((peg.shape.x, peg.shape.y) for peg in pegs), [booked.get(peg.id, peg.level_m) for peg in pegs], levelling_m
        ),
        _differences(ends, drops, levelling_m * math.sqrt(2)),
    ]
    if contours:
        points, levels = _along_contours(site, MOST_THIN_PLATE - len(pegs) - len(arrows))
        parts.append(_levels(points, levels, max(site.settings.ground_error_m, _LEAST_ERROR_M)))
    measured = parts[0].joined(parts[1])
    for part in parts[2:]:
        measured = measured.joined(part)
    return Gathered(measured, len(pegs), len(arrows), len(contours), notices)


def _booked_levels(site: Site) -> tuple[dict[str, float], tuple[str, ...]]:
    """Levels of the pegs that the level book levels; a book that cannot be reduced is left out with a notice."""
    if not site.survey.level_book:
        return {}, ()
    try:
        book = reduce_book(site.survey.level_book)
    except InputError as error:
        return {}, (f"The level book is left out. {error}",)
    units = site.settings.units
    notices = [f"Level book: {line}" for line in book.notices(lambda m: text(m, Quantity.SMALL_MM, units))]
    lost = sorted(peg for peg in book.peg_levels if not isinstance(site.get(peg), LevelPeg))
    if lost:
        named = "a peg that is" if len(lost) == 1 else f"{len(lost)} pegs that are"
        notices.append(f"The level book names {named} not on the plan.")
    return dict(book.peg_levels), tuple(notices)


def _levels(places: Iterable[tuple[float, float]], levels_m: Iterable[float], error_m: float) -> Measured:
    at = np.array(list(places), dtype=np.float64).reshape(-1, 2)
    count = len(at)
    values = np.array(list(levels_m), dtype=np.float64)
    return Measured(at, at, np.zeros(count, dtype=np.bool_), values, np.full(count, error_m))


def _differences(
    ends: Iterable[tuple[tuple[float, ...], tuple[float, ...]]], drops_m: Iterable[float], error_m: float
) -> Measured:
    both = np.array([(upper[:2], lower[:2]) for upper, lower in ends], dtype=np.float64).reshape(-1, 2, 2)
    count = len(both)
    values = np.array(list(drops_m), dtype=np.float64)
    return Measured(both[:, 0], both[:, 1], np.ones(count, dtype=np.bool_), values, np.full(count, error_m))


def _along_contours(site: Site, wanted: int) -> tuple[list[tuple[float, float]], list[float]]:
    """Points evenly along the contours, and their levels.

    As many as the thin plate takes with the pegs, while that is at least one for each twenty-fifth of the extent along
    each contour; else up to 6,000, for straight laying.
    """
    contours = [contour for contour in site.survey.contours if contour.shape.length > 0]
    length_m = sum(contour.shape.length for contour in contours)
    west, south, east, north = shapely.total_bounds([contour.shape for contour in contours])
    coarsest_m = math.hypot(east - west, north - south) / 25
    room = wanted - 2 * len(contours)
    step_m = length_m / room if room > 0 else math.inf
    if step_m > coarsest_m:
        step_m = max(coarsest_m / 4, length_m / _MOST_CONTOUR_POINTS)
    points: list[tuple[float, float]] = []
    levels: list[float] = []
    for contour in contours:
        count = max(2, math.ceil(contour.shape.length / step_m) + 1)
        along = np.linspace(0.0, contour.shape.length, count)
        places = shapely.get_coordinates(shapely.line_interpolate_point(contour.shape, along))
        points.extend((float(x), float(y)) for x, y in places)
        levels.extend([contour.level_m] * count)
    return points, levels
