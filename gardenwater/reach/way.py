"""A line from the side: ground, pipe and grade line along its way, where air gathers and where silt settles."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import LineString

from gardenwater.ground import Ground, profile
from gardenwater.hydraulics import Line, charge_m, friction_slope, wanted_head_m

Floats = NDArray[np.float64]

LEAST_RISE_M = 0.10
"""A high or low point of less is none: a hose lies as uneven on any lawn (judgement, no source)."""


@dataclass(frozen=True, slots=True)
class WayPoint:
    """A high or a low point of a line.

    distance_m: along the line from the tank. at: x and y, m. level_m: of the line there. by_m: how far it stands over
    (or under) the lower (higher) of the two sides that it parts.
    """

    distance_m: float
    at: tuple[float, float]
    level_m: float
    by_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WayProfile:
    """A line from the side. Arrays are float64 (n,), from the tank to the end, m; NaN where the ground has no level.

    distance_m: along the way. ground_m: level of the ground. line_m: of the line, from the outlet on. grade_m: of the
    grade line at the wanted flow: the water level less what is lost up to there. end_level_m: where it delivers, its
    lift included. spare_head_m: what is left there at the wanted flow. highs, lows: its high and low points, from the
    tank on. over_m: how far the line stands over the grade line at its worst (negative: under it everywhere);
    over_at_m: where that is, along the way.
    """

    way: LineString
    water_level_m: float
    distance_m: Floats = field(repr=False)
    ground_m: Floats = field(repr=False)
    line_m: Floats = field(repr=False)
    grade_m: Floats = field(repr=False)
    end_level_m: float
    spare_head_m: float
    highs: tuple[WayPoint, ...]
    lows: tuple[WayPoint, ...]
    over_m: float
    over_at_m: float

    @property
    def length_m(self) -> float:
        """How much line the way takes, m."""
        return float(self.distance_m[-1])


def way_profile(
    ground: Ground, *, way: LineString, water_level_m: float, outlet_level_m: float, line: Line
) -> WayProfile:
    """What a line along a way looks like from the side.

    way: from the tank to where it delivers. outlet_level_m: of the tank's outlet, where the line begins. line: its
    losses; all fittings but the exit are charged at the tank. High points hold air and low points silt where they stand
    out by `LEAST_RISE_M`. Raises InputError for a way without length.
    """
    found = profile(ground, way)
    at_m, ground_m = found.distance_m, found.level_m
    line_m = ground_m + line.line_height_m
    line_m[0] = outlet_level_m
    charge = float(charge_m(line.flow_l_min, line))
    grade = water_level_m - charge - float(friction_slope(line.flow_l_min, line)) * at_m
    over = np.where(np.isnan(line_m), -np.inf, line_m - grade)
    over[0] = -np.inf  # the outlet stands under the water or gives none
    worst = int(np.argmax(over))
    return WayProfile(
        way=way,
        water_level_m=water_level_m,
        distance_m=at_m,
        ground_m=ground_m,
        line_m=line_m,
        grade_m=grade,
        end_level_m=float(ground_m[-1]) + line.lift_m,
        spare_head_m=float(grade[-1]) - float(ground_m[-1]) - wanted_head_m(line),
        highs=_points(way, at_m, line_m, 1.0),
        lows=_points(way, at_m, line_m, -1.0),
        over_m=float(over[worst]),
        over_at_m=float(at_m[worst]),
    )


def _points(way: LineString, at_m: Floats, line_m: Floats, sign: float) -> tuple[WayPoint, ...]:
    """The high points (sign 1) or low points (-1) that stand out; ends are none."""
    from scipy.signal import find_peaks

    known = ~np.isnan(line_m)
    at, level = at_m[known], sign * line_m[known]
    if at.size < 3:
        return ()
    peaks, told = find_peaks(level, prominence=LEAST_RISE_M, plateau_size=1)
    spots = [way.interpolate(float(at[peak])) for peak in peaks]
    return tuple(
        WayPoint(float(at[peak]), (spot.x, spot.y), sign * float(level[peak]), float(by))
        for peak, spot, by in zip(peaks, spots, told["prominences"], strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PipeProfile:
    """A pipe between two levels from the side. Arrays are float64 (n,), m; NaN where the ground has no level.

    distance_m: along the way. ground_m: level of the ground. line_m: of the pipe. highs, lows: its high and low points.
    """

    distance_m: Floats = field(repr=False)
    ground_m: Floats = field(repr=False)
    line_m: Floats = field(repr=False)
    highs: tuple[WayPoint, ...]
    lows: tuple[WayPoint, ...]

    def even_m(self, distance_m: float) -> float:
        """Level at a distance of a pipe that goes straight from end to end, m."""
        share = distance_m / float(self.distance_m[-1])
        return float(self.line_m[0] + share * (self.line_m[-1] - self.line_m[0]))

    def holds_m(self, low: WayPoint) -> float:
        """How much of the pipe stays full of water at a low point when nothing runs, m of its length."""
        full_m = low.level_m + low.by_m
        with np.errstate(invalid="ignore"):
            dry = np.flatnonzero(~(self.line_m < full_m))
        at = int(np.searchsorted(self.distance_m, low.distance_m))
        before, after = dry[dry < at], dry[dry > at]
        start_m = self.distance_m[before[-1]] if before.size else 0.0
        end_m = self.distance_m[after[0]] if after.size else self.distance_m[-1]
        return float(end_m - start_m)


def pipe_profile(
    ground: Ground, *, way: LineString, start_level_m: float, end_level_m: float, on_ground: bool
) -> PipeProfile:
    """What a pipe between two levels looks like from the side.

    on_ground: it lies on the ground from end to end; else it goes straight, and over what ground stands in its way.
    Raises InputError for a way without length.
    """
    found = profile(ground, way)
    at_m, ground_m = found.distance_m, found.level_m
    straight_m = start_level_m + (end_level_m - start_level_m) * at_m / at_m[-1]
    line_m = ground_m.copy() if on_ground else np.fmax(straight_m, ground_m)
    line_m[0], line_m[-1] = start_level_m, end_level_m
    return PipeProfile(
        distance_m=at_m,
        ground_m=ground_m,
        line_m=line_m,
        highs=_points(way, at_m, line_m, 1.0),
        lows=_points(way, at_m, line_m, -1.0),
    )
