"""Prepare a ground for overflow: what stands up from it, its hollows and sills, the way out of its flats."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

import numpy as np
from affine import Affine
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn
from gardenwater.ground import Ground
from gardenwater.overflow.made import new_records
from gardenwater.overflow.records import GROWING, HOLLOW, Land, Surface
from gardenwater.site.model import EdgeRule
from gardenwater.work import Cancel, Progress, say, stop_if

Levels = NDArray[np.float32]
Cells = NDArray[np.int32]

_CELLS_AT_ONCE = 1 << 18
"""Cells between two looks at cancel: about 30 ms."""

STEPS = ((-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1))
"""Rows and columns of the eight steps, in the kernels' order; a step back is 7 less its number."""


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A ground made ready for any number of spills.

    transform, shape: of the ground. land: its surface, its tree of hollows, and the way out of its flats, in arrays
    that are read-only (see `records.Land`).
    """

    transform: Affine
    shape: tuple[int, int]
    land: Land

    @property
    def cell_m2(self) -> float:
        """Area of a cell, m²."""
        return self.land.surface.cell_x_m * self.land.surface.cell_y_m

    @property
    def hollow_count(self) -> int:
        """How many hollows there are, those within others included."""
        return len(self.land.hollows) - 2

    def filled_m(self) -> NDArray[np.float64]:
        """Level of each cell when every hollow is brimful; float64 (rows, cols), m, made anew at each call.

        NaN where no water comes, inf where none can leave. The filled surface of eight-neighbour flooding.
        """
        from gardenwater.overflow import kernels_hollows as finished

        surface = self.land.surface
        brim_m = np.full(len(self.land.hollows), np.nan)
        finished.brim_of(self.land.hollows, surface.level, brim_m)
        filled_m = np.empty(self.shape)
        finished.fill(surface.level, self.land.label, brim_m, surface.stride, filled_m)
        return filled_m

    def to_cells(self, x: float, y: float) -> tuple[float, float]:
        """A spot in columns and rows of the kernels' grid, whose whole numbers are centres and which has a rim."""
        return (
            (x - self.transform.c) / self.land.surface.cell_x_m + 0.5,
            (self.transform.f - y) / self.land.surface.cell_y_m + 0.5,
        )

    def to_map(self, xy: NDArray[np.float64]) -> NDArray[np.float64]:
        """Columns and rows of the kernels' grid as x and y, m; float64 (n, 2)."""
        return np.column_stack(
            (
                self.transform.c + (xy[:, 0] - 0.5) * self.land.surface.cell_x_m,
                self.transform.f - (xy[:, 1] - 0.5) * self.land.surface.cell_y_m,
            )
        )


def prepare(
    ground: Ground,
    *,
    barriers: Iterable[BaseGeometry] = (),
    walls: Iterable[tuple[BaseGeometry, float]] = (),
    edge: EdgeRule | str = EdgeRule.OPEN,
    nodata: EdgeRule | str = EdgeRule.WALL,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Prepared:
    """Find the hollows of a ground and where each runs over.

    barriers: shapes that no water enters (buildings). walls: shapes, and the height in m by which each raises the
    ground under it (walls, kerbs, banks); where several overlap the highest counts. Both take every cell that they
    touch, so that neither a thin wall nor a diagonal leaks. edge, nodata: whether water leaves over the edge of the
    ground, and into cells without a level, or is held by them. Raises InputError for a height under zero or an unknown
    rule.

    Depression hierarchy: Barnes, Callaghan and Wickert (2020), by one sweep (see `kernels_tree`). Takes 16 bytes a cell
    besides the ground's own, and 22 more while it works.
    """
    edge, nodata = _rule(edge, "edge"), _rule(nodata, "nodata")
    level = _padded(ground, barriers, walls, edge, nodata)
    say(progress, 0.1, "Sorting the ground by level")
    order, queue = _order(level, cancel)
    say(progress, 0.3, "Looking for hollows")
    land = _land(ground, level, order, queue, cancel, partial(say, progress))
    for array in (land.surface.level, land.way, land.label, land.hollows, land.cells):
        array.flags.writeable = False
    say(progress, 1.0, "Hollows found")
    return Prepared(ground.transform, ground.shape, land)


def _rule(rule: EdgeRule | str, where: str) -> EdgeRule:
    try:
        return EdgeRule(rule)
    except ValueError:
        raise InputError(f'"{rule}" is neither "open" nor "wall".', where=where, mend="Give one of them.") from None


def _padded(
    ground: Ground,
    barriers: Iterable[BaseGeometry],
    walls: Iterable[tuple[BaseGeometry, float]],
    edge: EdgeRule,
    nodata: EdgeRule,
) -> Levels:
    """Levels with a rim of one cell, -inf where water leaves and +inf where none comes; float32, flat."""
    outside = {EdgeRule.OPEN: -np.inf, EdgeRule.WALL: np.inf}
    rows, cols = ground.shape
    padded = np.full((rows + 2, cols + 2), outside[edge], dtype=np.float32)
    inner = padded[1:-1, 1:-1]
    inner[:] = ground.level_m
    risen_m = _risen_m(ground, walls)
    if risen_m is not None:
        inner += risen_m
    inner[np.isnan(inner)] = outside[nodata]
    solid = [shape for shape in barriers if not shape.is_empty]
    if solid:
        inner[burn(solid, ground.transform, ground.shape)] = np.inf
    return padded.ravel()


def _risen_m(ground: Ground, walls: Iterable[tuple[BaseGeometry, float]]) -> Levels | None:
    """By how much walls raise each cell, m; None without walls."""
    by_height: dict[float, list[BaseGeometry]] = {}
    for shape, height_m in walls:
        if not 0.0 <= height_m < np.inf:
            raise InputError(f"A wall cannot be {height_m} m high.", where="walls", mend="Give a height from 0 m up.")
        by_height.setdefault(float(height_m), []).append(shape)
    if not by_height:
        return None
    risen_m = np.zeros(ground.shape, dtype=np.float32)
    for height_m, shapes in sorted(by_height.items()):
        risen_m[burn(shapes, ground.transform, ground.shape)] = height_m
    return risen_m


def _order(level: Levels, cancel: Cancel | None) -> tuple[Cells, Cells]:
    """Numbers of the cells that have a level, lowest first, and room for as many."""
    from gardenwater.overflow import kernels_sort as sort

    packed = np.empty(level.size, dtype=np.uint64)
    count, width = sort.pack(level.view(np.uint32), level, packed)
    packed = packed[:count]
    other = np.empty_like(packed)
    for shift in range(0, width, sort.DIGIT_BITS):
        stop_if(cancel)
        sort.sort_digit(packed, other, shift)
        packed, other = other, packed
    # the room that sorting leaves free is taken on: fresh memory costs as much as a pass of the sort
    free = other.view(np.int32)
    order, queue = free[:count], free[count:]
    sort.unpack(packed, order)
    return order, queue


def _land(
    ground: Ground,
    level: Levels,
    order: Cells,
    queue: Cells,
    cancel: Cancel | None,
    tell: Callable[[float, str], None],
) -> Land:
    from gardenwater.overflow import kernels_hollows as finished
    from gardenwater.overflow import kernels_tree as tree

    rows, cols = ground.shape
    stride = cols + 2
    steps = np.array([down * stride + right for down, right in STEPS], dtype=np.int64)
    lengths_m = np.array([np.hypot(down * ground.cell_y_m, right * ground.cell_x_m) for down, right in STEPS])
    label = np.full(level.size, tree.FRESH, dtype=np.int32)
    label[level == np.inf] = tree.BARRED
    label[level == -np.inf] = tree.OCEAN
    way = np.zeros(level.size, dtype=np.uint8)
    # bottoms of hollows are never neighbours: at most one in each square of two by two, and as many hollows above them
    growing = new_records(2 * ((rows + 1) // 2) * ((cols + 1) // 2) + 1, GROWING)
    marks = np.zeros(tree.SEEN + 1, dtype=np.int64)
    marks[tree.HOLLOWS] = 1
    done = False
    while not done:
        stop_if(cancel)
        done = tree.sweep(level, label, way, order, queue, growing, steps, lengths_m, marks, _CELLS_AT_ONCE)
        tell(0.3 + 0.6 * float(marks[tree.POSITION]) / max(order.size, 1), "Looking for hollows")
    count = int(marks[tree.HOLLOWS])
    hollows = new_records(count + 1, HOLLOW)
    new = np.empty(count, dtype=np.int32)
    finished.number_anew(growing, count, hollows, new)
    cells = np.empty(int(hollows["start"][-1]), dtype=np.int32)
    finished.gather(order, label, new, hollows, cells)
    return Land(Surface(level, stride, ground.cell_x_m, ground.cell_y_m), way, label, hollows, cells)
