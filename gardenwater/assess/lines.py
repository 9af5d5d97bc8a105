"""The line that a tank waters through, and where its last piece begins."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Point
from shapely.ops import substring

from gardenwater.catch import Wiring
from gardenwater.ground import Ground
from gardenwater.hydraulics import Drive, Line, Piece, drive_before
from gardenwater.site.listing import items_of
from gardenwater.site.model import Site
from gardenwater.site.things import LineFields, Tank, WateringLine
from gardenwater.tables import table

Place = tuple[float, float]

EMITTER_HEAD_M = 10.0
"""The head at which makers give the flow of an emitter: 1 bar, taken as 10 m (common practice, no source)."""
_LEAST_LAID_M = 0.01


@dataclass(frozen=True, slots=True)
class Laying:
    """How a tank's line lies.

    line: its bores and losses. start: where its last piece is carried on from, x and y: the tank, or where the pieces
    end that are laid from it. laid: points of their way, x and y, m, from the tank on; empty without pieces.
    """

    line: Line
    start: Place
    laid: tuple[Place, ...] = ()

    @property
    def laid_m(self) -> float:
        """Length of the pieces before the last."""
        return sum(piece.length_m for piece in self.line.lead)


def drawn_lines(site: Site, wires: Wiring) -> Mapping[str, WateringLine]:
    """The first watering line that is drawn from each tank, by the tank's id."""
    first: dict[str, WateringLine] = {}
    for line in site.of(WateringLine):
        first.setdefault(wires.tank_of.get(line.id, ""), line)
    return first


def line_of(site: Site, drawn: WateringLine | None) -> Line:
    """The line of a tank: the one that is drawn from it, else the site's usual line.

    Raises InputError for a line that the friction law was not made for (a wall rougher than a twentieth of its bore).
    """
    return hydraulic_line(drawn or site.settings.line)


def hydraulic_line(fields: LineFields) -> Line:
    """A line as the engines take it. Raises InputError as `line_of` does."""
    bores = table("line_bores")
    pieces = items_of(fields.pieces) if isinstance(fields, WateringLine) else ()
    each_l_h = fields.emitter_l_h * EMITTER_HEAD_M**-fields.emitter_exponent
    return Line(
        bore_mm=bores.row(fields.bore).bore_mm,
        roughness_mm=fields.roughness_mm,
        fittings_k=fields.fittings_k,
        lift_m=fields.lift_m,
        line_height_m=fields.line_height_m,
        flow_l_min=fields.wanted_l_min,
        least_head_m=fields.least_head_m,
        lead=tuple(Piece(bores.row(key).bore_mm, length_m, fields.roughness_mm) for key, length_m in pieces),
        emitter_l_min=fields.emitters * each_l_h / 60.0,
        emitter_exponent=fields.emitter_exponent,
    )


def laying_of(tank: Tank, line: Line, drawn: WateringLine | None, ground: Ground) -> Laying:
    """How a tank's line lies: pieces before the last follow the drawn line from the tank on.

    A last piece that would begin on ground without a level begins at the tank.
    """
    at = (tank.shape.x, tank.shape.y)
    if drawn is None or not line.lead:
        return Laying(line, at)
    way = drawn.shape
    if Point(way.coords[-1]).distance(tank.shape) < Point(way.coords[0]).distance(tank.shape):
        way = way.reverse()
    laid_m = sum(piece.length_m for piece in line.lead)
    laid = substring(LineString([at, *way.coords[1:]]), 0.0, laid_m)
    points = tuple((float(x), float(y)) for x, y in laid.coords)
    start = points[-1]
    cell = ground.cell_at(*start)
    if cell is None or np.isnan(ground.level_m[cell]) or laid.length < _LEAST_LAID_M:
        return Laying(line, at)
    return Laying(line, start, points)


def before_of(laying: Laying, ground: Ground) -> Drive | None:
    """What the pieces that are laid from the tank let through on their way; None without any."""
    if not laying.laid:
        return None
    way = along(ground, LineString(laying.laid))
    level_m, at_m = way.level_m, way.at_m
    known = ~np.isnan(level_m)
    if not known.any():
        return None
    # pipes that are longer than their way on the plan lie in bends: each point is so much farther along
    stretch = laying.laid_m / max(float(at_m[-1]), _LEAST_LAID_M)
    return drive_before(laying.line, level_m=level_m[known], at_m=at_m[known] * max(stretch, 1.0))


@dataclass(frozen=True, slots=True, eq=False)
class Along:
    """The cells that a way goes over, from its start on.

    level_m: of the ground, NaN off it. at_m: how far along the way each lies, m. cell: flat index, -1 off the ground.
    """

    level_m: NDArray[np.float64] = field(repr=False)
    at_m: NDArray[np.float64] = field(repr=False)
    cell: NDArray[np.intp] = field(repr=False)


def along(ground: Ground, way: LineString, *, most: int = 64) -> Along:
    """The cells that a way goes over, at most `most` of them: of each stretch the one with the highest level."""
    points = np.asarray(way.coords, dtype=np.float64)
    ends_m = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    count = max(2, math.ceil(ends_m[-1] / min(ground.cell_x_m, ground.cell_y_m)) + 1)
    at_m = np.linspace(0.0, ends_m[-1], count)
    x, y = np.interp(at_m, ends_m, points[:, 0]), np.interp(at_m, ends_m, points[:, 1])
    rows, cols = ground.shape
    col = np.floor((x - ground.transform.c) / ground.cell_x_m).astype(np.intp)
    row = np.floor((ground.transform.f - y) / ground.cell_y_m).astype(np.intp)
    cell = np.where((row >= 0) & (row < rows) & (col >= 0) & (col < cols), row * cols + col, -1)
    level_m = np.where(cell >= 0, ground.level_m.ravel()[cell], np.nan).astype(np.float64)
    if count > most:
        first = np.unique(np.linspace(0, count, most, endpoint=False).astype(np.intp))
        known = np.where(np.isnan(level_m), -np.inf, level_m)
        stretch = np.repeat(np.arange(first.size), np.diff(np.append(first, count)))
        # sorted by stretch, then by level: the last of each stretch is its highest
        order = np.lexsort((known, stretch))
        kept = order[np.append(first[1:], count) - 1]
        level_m, at_m, cell = level_m[kept], at_m[kept], cell[kept]
    return Along(level_m, at_m, cell)
