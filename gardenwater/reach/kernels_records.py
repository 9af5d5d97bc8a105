"""What the kernels work on, bundled. In a kernel module, so that a changed field starts a new cache."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Ints = NDArray[np.int32]
Longs = NDArray[np.int64]
Bits = NDArray[np.uint8]

Flag = int | np.uint8
Index = int | np.int64 | np.int32
Number = float | np.floating[Any]


class Place(NamedTuple):
    """The grid and the tank on it.

    tank: flat index of its cell. cell_x, cell_y: width and height of a cell, m. off_x, off_y: how far the tank stands
    off its cell's centre, east and south, m.
    """

    rows: int
    cols: int
    tank: int
    cell_x: float
    cell_y: float
    off_x: float
    off_y: float


class Law(NamedTuple):
    """What the water may do, in levels, m: `head_*` with nothing lost, the others at the wanted flow.

    a_way: level that the ground may have under the way, at no distance; slope: what friction takes of it each metre.
    a_end: the same at the end, with lift and least head taken off. head_way, head_end: the same for standing water.
    All fittings but the exit are charged at the tank.
    """

    a_way: float
    slope: float
    head_way: float
    a_end: float
    head_end: float


class Errors(NamedTuple):
    """How wrong levels are relative to the tank's, one standard error, m.

    level: of each cell by itself, by cell, or of size 0 where all have `usual`; NaN is not known. tank: that at the
    tank. alike: by distance, how far two errors go along (1 all the way, 0 not at all), at steps of 1 / per_m; beyond
    its end they do not. before: what the way has behind it at the start, m.
    """

    level: Floats
    usual: float
    tank: float
    alike: Doubles
    per_m: float
    before: float


class Stage(NamedTuple):
    """One pass round corners: a cell is entered while its level is at most a_way - slope x way.

    Bits of the state: opened, which cells it may begin on; have, which have a way; final, whose way stays as it is;
    mark, what a cell that it settles gets.
    """

    a_way: float
    slope: float
    opened: np.uint8
    have: np.uint8
    final: np.uint8
    mark: np.uint8


class Cells(NamedTuple):
    """Arrays by cell, flat.

    level: what bars the way, infinite on barriers, NaN without data. state: see `kernels_sight`.
    root: turning point of the way, below 0 without one. way: its length, m. margin: least head over the line of all
    its points at the wanted flow, m. sure: the least of the margins less the error of the ground there, m. flow: least
    flow that the heads at all its points drive, L/min.
    """

    level: Floats
    state: Bits
    root: Ints
    way: Floats
    margin: Floats
    sure: Floats
    flow: Floats


class Given(NamedTuple):
    """What one tank's map says, by cell, flat; NaN is out. reason: uint8; sureness: uint8, the higher the surer."""

    minutes: Floats
    head: Floats
    distance: Floats
    flow: Floats
    reason: Bits
    sureness: Bits


class Best(NamedTuple):
    """The best of several maps, by cell; NaN is out. tank: int16, the number of the best map, -1 where none arrives."""

    minutes: Floats
    head: Floats
    distance: Floats
    flow: Floats
    reason: Bits
    tank: NDArray[np.int16]
    sureness: Bits


class Buckets(NamedTuple):
    """A queue, see `kernels_queue`.

    heads: first slot of each bucket, -1 none; the last takes all that is farther off. slot_cell, slot_next:
    the slots. marks: see the names there. scale: key at which the first bucket begins, and the width of each.
    """

    heads: Ints
    slot_cell: Ints
    slot_next: Ints
    marks: Longs
    scale: Doubles
