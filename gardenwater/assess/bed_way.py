"""The way that a line takes to a bed: its tightest point, what it lets through, how long water takes to be drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import LineString

from gardenwater.assess.lines import Along, along
from gardenwater.hydraulics import Drive, Line, charge_m, drive_along, friction_slope, wanted_head_m
from gardenwater.reach import LevelError, ReachMap
from gardenwater.site.things import Tank

Place = tuple[float, float]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class BedWay:
    """The way to a bed that water arrives at.

    line: of the last piece, as it delivers to the bed. drive: what water level drives what flow over all of it.
    """

    route: LineString
    line: Line
    end_level_m: float
    along: Along = field(repr=False)
    before: Drive | None = field(repr=False)
    drive: Drive = field(repr=False)


@dataclass(frozen=True, slots=True)
class Tight:
    """The tightest point of a way: the margin there and the error that it is held against, m, and where it is."""

    margin_m: float
    error_m: float
    at: Place | None = None


def way_to(reach: ReachMap, at: Place, *, line: Line, end_level_m: float, before: Drive | None) -> BedWay | None:
    """The way to a spot; None where no water arrives.

    line: as it delivers there. before: what the pieces that are laid up to where the map begins let through.
    """
    route = reach.route_to(*at)
    if route is None:
        return None
    over = along(reach.ground, route)
    known = ~np.isnan(over.level_m)
    drive = drive_along(
        line,
        end_level_m=end_level_m,
        length_m=route.length,
        way_level_m=over.level_m[known],
        way_m=over.at_m[known],
    )
    return BedWay(route, line, end_level_m, over, before, drive if before is None else drive.with_before(before))


def tightest(way: BedWay, *, water_level_m: float, errors: LevelError) -> Tight:
    """Where on the way the margin at the wanted flow, less the error of the ground there, is least."""
    line, over = way.line, way.along
    grade_m = water_level_m - float(charge_m(line.flow_l_min, line))
    slope = float(friction_slope(line.flow_l_min, line))
    margin = np.append(
        grade_m - slope * over.at_m - line.line_height_m - over.level_m, grade_m - slope * way.route.length
    )
    margin[-1] -= way.end_level_m + wanted_head_m(line)
    at_m, own_m = np.append(over.at_m, way.route.length), _own_errors(over, errors)
    error = errors.relative_m(at_m, np.append(own_m, own_m[-1]))
    error = np.where(np.isnan(error), np.inf, error)
    tight = int(np.nanargmin(np.where(np.isinf(error), -np.inf, margin - error)))
    spot = way.route.interpolate(float(at_m[tight]))
    found = Tight(float(margin[tight]), float(error[tight]), (spot.x, spot.y))
    if way.before is None:
        return found
    # no point that is laid up to the start lies farther from the tank than the start does
    start = way.route.interpolate(0.0)
    laid = Tight(water_level_m - way.before.level_for(line.flow_l_min), float(error[0]), (start.x, start.y))
    return min(found, laid, key=lambda each: each.margin_m - each.error_m)


def draw_s(way: BedWay, tank: Tank, *, floor_level_m: float, from_level_m: float, to_level_m: float) -> float:
    """How long a tank's water takes to be drawn through the way from one level to another, the line full open, s."""

    def litres_at(level_m: Floats) -> Floats:
        return np.array([tank.volume_at_m(float(level) - floor_level_m) for level in level_m])

    return way.drive.draw_s(from_level_m, to_level_m, litres_at) if from_level_m > to_level_m else 0.0


def _own_errors(over: Along, errors: LevelError) -> Floats:
    """The error of each cell by itself, m; NaN where it is not known."""
    if isinstance(errors.level_m, int | float):
        return np.full(over.cell.size, float(errors.level_m))
    own: Floats = np.where(over.cell >= 0, errors.level_m.ravel()[over.cell], math.nan).astype(np.float64)
    return own
