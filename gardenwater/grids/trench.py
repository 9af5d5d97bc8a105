"""Ways for a pipe or a ditch: the cheapest that always falls, from one spot to any other."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from affine import Affine
from numpy.typing import NDArray
from shapely import LineString

from gardenwater.errors import InputError
from gardenwater.work import Cancel, stop_if

_RIM = 2
_CELLS_AT_ONCE = 1 << 15
_LOOSE_CELLS = (2.0, 1.0, 0.5)

Floats = NDArray[np.float64]
Spot = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trench:
    """How a trench is dug. fall: least, m/m. cover_m: least depth of its bed. deepest_m: greatest. All of the bed."""

    fall: float
    cover_m: float
    deepest_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way of a trench. line: m, from its start. beds_m: level of the bed at each corner. cost: in weighted metres."""

    line: LineString
    beds_m: tuple[float, ...]
    cost: float

    @property
    def fall_m(self) -> float:
        """By how much its bed falls from one end to the other, m."""
        return self.beds_m[0] - self.beds_m[-1]


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """The cheapest falling ways from one spot. Arrays are float64 (rows, cols) on the ground's grid, read-only.

    cost: in weighted metres, inf where no way leads. bed_m: level of the trench's bed, NaN where none leads.
    """

    cost: Floats
    bed_m: Floats
    _start: Spot
    _transform: Affine
    _trench: Trench
    _level: Floats
    _weight: Floats
    _before: NDArray[np.int32]

    def to(self, row: int, col: int) -> Way | None:
        """The way to the centre of a cell, with no more corners than it needs; None where none leads there."""
        if not np.isfinite(self.cost[row, col]) or np.hypot(*(self._centre(row, col) - self._start)) == 0.0:
            return None
        cells, at = [], (row + _RIM) * self._level.shape[1] + col + _RIM
        while at >= 0:
            cells.append(at)
            at = int(self._before.ravel()[at])
        rows, cols = np.divmod(np.array(cells[::-1]), self._level.shape[1])
        points = np.array([self._centre(*pair) for pair in zip(rows - _RIM, cols - _RIM, strict=True)])
        points[0] = self._start
        whole = LineString(points) if len(points) > 1 else LineString([points[0], self._centre(row, col)])
        cell_m = min(self._transform.a, -self._transform.e)
        for loose in _LOOSE_CELLS:
            line = shapely.simplify(whole, loose * cell_m)
            beds = self._beds(line)
            if beds is not None:
                return Way(line=line, beds_m=beds, cost=float(self.cost[row, col]))
        return Way(line=whole, beds_m=self._beds(whole, strict=False) or (), cost=float(self.cost[row, col]))

    def _centre(self, row: int, col: int) -> NDArray[np.float64]:
        t = self._transform
        return np.array((t.c + (col + 0.5) * t.a, t.f + (row + 0.5) * t.e))

    def _beds(self, line: LineString, *, strict: bool = True) -> tuple[float, ...] | None:
        """Level of the bed at each corner of a line; None where the line leaves what the trench may do.

        The bed falls evenly between corners, by no less than it must, and lies deep enough all along.
        """
        trench, beds = self._trench, []
        corners = shapely.get_coordinates(line)
        bed = float("inf")
        for first, last in pairwise(corners):
            length = float(np.hypot(*(last - first)))
            share = np.linspace(0.0, 1.0, max(int(length / (0.5 * min(self._transform.a, -self._transform.e))), 1) + 1)
            spots = first + share[:, None] * (last - first)
            level, weight = self._at(spots)
            if strict and not np.isfinite(weight).all():
                return None
            bed = min(bed, float(level[0]) - trench.cover_m)
            beds.append(bed)
            # an even fall that clears the ground at each spot by the cover
            run = share[1:] * length
            slope = max(trench.fall, float(((bed - (level[1:] - trench.cover_m)) / run).max()))
            after = bed - slope * length
            if strict and float((level - (bed - slope * share * length)).max()) > trench.deepest_m + 1e-9:
                return None
            bed = after
        return (*beds, bed)

    def _at(self, spots: Floats) -> tuple[Floats, Floats]:
        """Level and weight of the cells that spots lie in."""
        t = self._transform
        cols = np.floor((spots[:, 0] - t.c) / t.a).astype(np.intp) + _RIM
        rows = np.floor((spots[:, 1] - t.f) / t.e).astype(np.intp) + _RIM
        rows, cols = np.clip(rows, 0, self._level.shape[0] - 1), np.clip(cols, 0, self._level.shape[1] - 1)
        return self._level[rows, cols], self._weight[rows, cols]


def ways_from(
    level_m: NDArray[np.floating],
    weight: NDArray[np.floating],
    transform: Affine,
    *,
    start: Spot,
    trench: Trench,
    cancel: Cancel | None = None,
) -> Ways:
    """The cheapest ways for a trench that always falls, from one spot to every cell.

    level_m: (rows, cols), m, NaN: no way. weight: (rows, cols), what a metre costs there beside open ground, inf: no
    way. transform: of the grid. start: x and y, m; its own cell may be dug whatever its weight. See `kernels_trench`.
    Raises InputError for a start off the grid, weights not above zero, and a trench that cannot be dug.
    """
    t = transform
    row, col = int((start[1] - t.f) // t.e), int((start[0] - t.c) // t.a)
    rows, cols = level_m.shape
    if not (0 <= row < rows and 0 <= col < cols) or not np.isfinite(level_m[row, col]):
        raise InputError("A way needs a start on the ground.", where="start", mend="Give a spot with a level.")
    if not (0.0 <= trench.fall < 1.0 and 0.0 <= trench.cover_m <= trench.deepest_m):
        raise InputError("This trench cannot be dug.", where="trench", mend="Let it be as deep as its cover.")
    if not (weight > 0.0).all():
        raise InputError("A metre must cost something.", where="weight", mend="Give weights above 0, or inf.")
    level = np.pad(np.asarray(level_m, dtype=np.float64), _RIM, constant_values=np.nan)
    cost_of = np.pad(np.asarray(weight, dtype=np.float64), _RIM, constant_values=np.inf)
    cost_of[np.isnan(level)] = np.inf
    cost_of[row + _RIM, col + _RIM] = min(cost_of[row + _RIM, col + _RIM], 1.0)
    cost, bed, before = _searched(level, cost_of, (row + _RIM, col + _RIM), t, trench, cancel)
    inner = (slice(_RIM, -_RIM), slice(_RIM, -_RIM))
    bed[np.isinf(cost)] = np.nan
    for array in (cost, bed):
        array.flags.writeable = False
    return Ways(cost[inner], bed[inner], start, t, trench, level, cost_of, before)


def _searched(
    level: Floats, weight: Floats, start: tuple[int, int], t: Affine, trench: Trench, cancel: Cancel | None
) -> tuple[Floats, Floats, NDArray[np.int32]]:
    from gardenwater.grids import kernels_trench as kernels

    rows, cols = level.shape
    steps, lengths = _steps(cols, t.a, -t.e)
    first = start[0] * cols + start[1]
    cost, bed = np.full(level.size, np.inf), np.full(level.size, np.nan)
    cost[first], bed[first] = 0.0, level.ravel()[first] - trench.cover_m
    before = np.full(level.size, kernels.NO_CELL, dtype=np.int32)
    heap, place = np.empty(level.size, dtype=np.int32), np.full(level.size, -1, dtype=np.int32)
    heap[0], place[first] = first, 0
    marks = np.array([1, 0], dtype=np.int64)
    given = (level.ravel(), weight.ravel(), steps, lengths, trench.fall, trench.cover_m, trench.deepest_m)
    while not marks[kernels.DONE]:
        stop_if(cancel)
        kernels.search(*given, cost, bed, before, heap, place, marks, _CELLS_AT_ONCE)
    return cost.reshape(rows, cols), bed.reshape(rows, cols), before.reshape(rows, cols)


def _steps(cols: int, cell_x_m: float, cell_y_m: float) -> tuple[NDArray[np.int64], Floats]:
    """The eight neighbours and the eight knight's moves, each with the two cells between; and their lengths, m."""
    moves = [(down, right) for down in (-2, -1, 0, 1, 2) for right in (-2, -1, 0, 1, 2)]
    near = [(down, right) for down, right in moves if max(abs(down), abs(right)) == 1]
    far = [(down, right) for down, right in moves if {abs(down), abs(right)} == {1, 2}]
    steps = [(down * cols + right, 0, 0) for down, right in near]
    for down, right in far:
        half = (down // 2, right) if abs(down) == 2 else (down, right // 2)
        along = (down // 2, 0) if abs(down) == 2 else (0, right // 2)
        steps.append((down * cols + right, half[0] * cols + half[1], along[0] * cols + along[1]))
    lengths = [float(np.hypot(down * cell_y_m, right * cell_x_m)) for down, right in near + far]
    return np.array(steps, dtype=np.int64), np.array(lengths)
