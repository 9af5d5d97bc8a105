"""From grids to pictures: finer cells, lines of equal value, rings round what is above a value."""

from __future__ import annotations

import itertools
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from gardenwater.ground import Ground
from gardenwater.report.drawing import Points
from gardenwater.report.view import View

Field: TypeAlias = NDArray[np.float32]
"""float32 (rows, cols) on a ground's grid, NaN where nothing is known."""

Affine6: TypeAlias = tuple[float, float, float, float, float, float]

MOST_CELLS = 1_500_000
_LONGEST_FINE_CELL_M = 0.2
_MOST_TIMES = 6
_NEAR_CELLS = 0.06


class Curve(NamedTuple):
    """A line on the map. points: float64 (n, 2), m. value: what is equal along it (m, minutes ...)."""

    points: Points
    value: float


def corners(ground: Ground) -> Affine6:
    """From the corner of a cell (col, row) to the map."""
    a, b, c, d, e, f = tuple(ground.transform)[:6]
    return a, b, c, d, e, f


def to_view(transform: Affine6, view: View) -> Affine6:
    """From the corner of a cell to px."""
    a, b, c, d, e, f = transform
    scale, _, left, _, _, top = view.transform
    return a * scale, b * scale, c * scale + left, -d * scale, -e * scale, top - f * scale


def times_finer(ground: Ground, most_cells: int = MOST_CELLS) -> int:
    """How many cells to draw for each of the ground's along a side, so that edges of classes are not seen as steps."""
    rows, cols = ground.shape
    wanted = int(np.ceil(max(ground.cell_x_m, ground.cell_y_m) / _LONGEST_FINE_CELL_M))
    room = int(np.sqrt(most_cells / (rows * cols)))
    return max(1, min(wanted, room, _MOST_TIMES))


def finer(field: Field, times: int) -> Field:
    """Bilinear between the cells' centres, `times` cells for one; NaN where the nearest cell has none."""
    if times == 1:
        return field
    rows, cols = (_stops(count, times) for count in field.shape)
    known = ~np.isnan(field)
    filled = np.where(known, field, np.float32(0))
    weight = known.astype(np.float32)
    if known.all():
        return _blend(filled, rows, cols)
    total, share = _blend(filled, rows, cols), _blend(weight, rows, cols)
    with np.errstate(invalid="ignore", divide="ignore"):
        result: Field = total / share
    nearest = np.repeat(np.repeat(known, times, axis=0), times, axis=1)
    result[~nearest] = np.nan
    return result


class _Stops(NamedTuple):
    low: NDArray[np.intp]
    high: NDArray[np.intp]
    share: Field


def _stops(count: int, times: int) -> _Stops:
    at = np.clip((np.arange(count * times) + 0.5) / times - 0.5, 0, count - 1)
    low = at.astype(np.intp)
    return _Stops(low, np.minimum(low + 1, count - 1), (at - low).astype(np.float32))


def _blend(field: Field, rows: _Stops, cols: _Stops) -> Field:
    across: Field = field[:, cols.low] * (1 - cols.share) + field[:, cols.high] * cols.share
    down = rows.share[:, None]
    blended: Field = across[rows.low] * (1 - down) + across[rows.high] * down
    return blended


def _tracer(field: Field, ground: Ground) -> Any:
    """Contourpy's tracer over cell centres, gone on to the grid's outer edges."""
    import contourpy

    rows, cols = field.shape
    x = ground.transform.c + np.concatenate(([0.0], np.arange(cols) + 0.5, [cols])) * ground.cell_x_m
    y = ground.transform.f - np.concatenate(([0.0], np.arange(rows) + 0.5, [rows])) * ground.cell_y_m
    values = np.pad(field.astype(np.float64), 1, mode="edge")
    masked = np.ma.masked_invalid(values) if np.isnan(values).any() else values
    return contourpy.contour_generator(
        x, y, masked, name="serial", line_type=contourpy.LineType.Separate, fill_type=contourpy.FillType.OuterOffset
    )


def equal_lines(field: Field, ground: Ground, values: tuple[float, ...], *, least_cells: float = 8.0) -> list[Curve]:
    """Smooth lines along which the field has one of the values; short ones are left out."""
    tracer = _tracer(field, ground)
    cell_m = max(ground.cell_x_m, ground.cell_y_m)
    curves = [
        Curve(_smooth(points, cell_m), value)
        for value in values
        for points in tracer.lines(value)
        if len(points) > 2 and _length(points) >= least_cells * cell_m
    ]
    return [curve for curve in curves if len(curve.points) > 1]


def rings_above(field: Field, ground: Ground, value: float) -> list[Points]:
    """Rings round the ground where the field is `value` or more, m; even-odd, holes among them."""
    low = np.where(np.isnan(field), np.float32(value - 1e6), field)
    polygons, offsets = _tracer(low, ground).filled(value, np.inf)
    cell_m = max(ground.cell_x_m, ground.cell_y_m)
    rings: list[Points] = []
    for points, starts in zip(polygons, offsets, strict=True):
        for first, last in itertools.pairwise(starts):
            ring = _smooth(points[first:last], cell_m)[:-1]
            if len(ring) >= 3:
                rings.append(ring)
    return rings


def _length(points: Points) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _smooth(points: Points, cell_m: float) -> Points:
    """Corners cut by a quarter once (Chaikin 1974), then points left out that the line misses by a hair only."""
    closed = bool(np.array_equal(points[0], points[-1]))
    if len(points) > 3:
        ahead, back = 0.75 * points[:-1] + 0.25 * points[1:], 0.25 * points[:-1] + 0.75 * points[1:]
        cut = np.stack((ahead, back), axis=1).reshape(-1, 2)
        points = np.concatenate((cut, cut[:1])) if closed else np.concatenate((points[:1], cut[1:-1], points[-1:]))
    line = shapely.simplify(shapely.LineString(points), _NEAR_CELLS * cell_m, preserve_topology=False)
    return shapely.get_coordinates(line)


class Curves:
    """Many curves kept so that those in sight are found and put into px at once."""

    __slots__ = ("_all", "_bounds", "_starts", "values")

    def __init__(self, curves: list[Curve]) -> None:
        self.values = [curve.value for curve in curves]
        self._starts = np.cumsum([0, *(len(curve.points) for curve in curves)]).tolist()
        self._all = np.concatenate([curve.points for curve in curves]) if curves else np.empty((0, 2))
        self._bounds = np.array([(*c.points.min(axis=0), *c.points.max(axis=0)) for c in curves]).reshape(-1, 4)

    def __len__(self) -> int:
        return len(self.values)

    def in_sight(self, view: View) -> list[Curve]:
        """The curves in px, cut to a little more than the sheet."""
        if not self.values:
            return []
        room = 40 * view.metres_per_px
        west, south, east, north = view.bounds
        west, south, east, north = west - room, south - room, east + room, north + room
        low_x, low_y, high_x, high_y = self._bounds.T
        near = (low_x < east) & (high_x > west) & (low_y < north) & (high_y > south)
        whole = (low_x > west) & (high_x < east) & (low_y > south) & (high_y < north)
        px = view.all_to_px(self._all) if np.count_nonzero(whole) * 2 > len(self.values) else None
        seen: list[Curve] = []
        for index in np.flatnonzero(near).tolist():
            first, last = self._starts[index], self._starts[index + 1]
            if px is not None and whole[index]:
                seen.append(Curve(px[first:last], self.values[index]))
                continue
            pieces = _cut(self._all[first:last], (west, south, east, north))
            seen.extend(Curve(view.all_to_px(piece), self.values[index]) for piece in pieces)
        return seen


def _cut(points: Points, bounds: tuple[float, float, float, float]) -> list[Points]:
    """The runs of a line that lie in sight, each with one point more at either end."""
    west, south, east, north = bounds
    x, y = points.T
    inside = (x >= west) & (x <= east) & (y >= south) & (y <= north)
    if len(points) < 40:
        return [points]
    keep = inside.copy()
    keep[1:] |= inside[:-1]
    keep[:-1] |= inside[1:]
    edges = np.flatnonzero(np.diff(np.concatenate(([0], keep.astype(np.int8), [0]))))
    pieces = [points[first:last] for first, last in zip(edges[::2], edges[1::2], strict=True)]
    return [piece for piece in pieces if len(piece) > 1]
