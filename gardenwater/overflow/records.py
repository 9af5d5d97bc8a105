"""Records that the kernels of overflow work on, and the bundles of arrays that they are given."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Records = Any
"""An array of records; numba reads and writes their fields by name, which numpy's types do not know."""

GROWING = np.dtype(
    [
        ("up", np.int32),
        ("parent", np.int32),
        ("child", np.int32),
        ("second", np.int32),
        ("sill", np.int32),
        ("ways", np.int32),
        ("count", np.int32),
        ("own", np.int32),
        ("last_m", np.float64),
        ("columns_m", np.float64),
    ],
    align=True,
)
"""A hollow while the sweep goes up. up: towards the hollow that holds it now. sill: the cell it runs over at, -1 while
it is open. ways: bits of the eight steps from the sill that lead out of it. count: its cells; own: those that are not
in hollows within it. columns_m: water up to last_m, summed over its cells."""

HOLLOW = np.dtype(
    [
        ("parent", np.int32),
        ("sibling", np.int32),
        ("first", np.int32),
        ("sill", np.int32),
        ("ways", np.int32),
        ("columns_m", np.float64),
    ],
    align=True,
)
"""A hollow of the finished tree. parent: the hollow that it and its sibling make when both are brimful, 0 when it runs
over to where nothing holds it, -1 when it never does. first: lowest number among the hollows within it and itself, all
numbers between are within it. columns_m: what it holds when brimful, divided by the area of a cell, m."""

REACH = np.dtype(
    [
        ("first", np.int64),
        ("last", np.int64),
        ("next", np.int32),
        ("store", np.int32),
        ("after", np.int32),
        ("source", np.int32),
        ("hollow", np.int32),
        ("taker", np.int32),
        ("feed_m3_s", np.float64),
        ("gathered_m3_s", np.float64),
        ("flow_m3_s", np.float64),
        ("flow_end_m3_s", np.float64),
        ("in_m3", np.float64),
        ("out_m3", np.float64),
    ],
    align=True,
)
"""A stretch of a way. first, last: its points. next: the stretch that it runs into, -1 when it ends in its store.
after: the next stretch of the same store, upper before lower. source, hollow, taker: what it begins at, -1 (0 for
hollow) when it is not that. feed_m3_s: what begins here; gathered_m3_s: what other stretches bring."""

STORE = np.dtype(
    [
        ("kind", np.int32),
        ("hollow", np.int32),
        ("taker", np.int32),
        ("head", np.int32),
        ("tail", np.int32),
        ("joined", np.int32),
        ("full", np.int32),
        ("over", np.int32),
        ("wet", np.int64),
        ("time_s", np.float64),
        ("rise_m", np.float64),
        ("volume_m3", np.float64),
        ("soaked_m3", np.float64),
        ("due_s", np.float64),
        ("room_m3", np.float64),
        ("drain_m3_s", np.float64),
    ],
    align=True,
)
"""What stretches end in: a pool, a taker or a way off the ground. head, tail: its stretches. joined: the store that it
became part of, -1. over: the stretch that takes what runs over, -1. wet: own cells of the hollow under water; rise_m:
above the highest of them. time_s: up to when volumes are worked out; due_s: when it will be full."""


class Land(NamedTuple):
    """A prepared ground, in cells with a rim of one cell round them; all flat, read-only.

    level: float32, m; +inf where no water comes, -inf where it leaves. way: uint8, 0, or 1 + the step out of flat
    ground. label: int32, the hollow of each cell, 0 where none holds water, negative where no water comes.
    hollows: HOLLOW records. starts: int64, where the own cells of each hollow begin in cells: int32, by level.
    """

    level: NDArray[np.float32]
    way: NDArray[np.uint8]
    label: NDArray[np.int32]
    hollows: Records
    starts: NDArray[np.int64]
    cells: NDArray[np.int32]
    stride: int
    cell_x_m: float
    cell_y_m: float


class Flow(NamedTuple):
    """All that changes while an event runs.

    points: float64 (n, 4), columns x and y in cells, level m, thirst. owner: int32, the stretch of each point.
    mark: int32, for each cell 1 + the point at its centre, or 0. store_of: int32, for each hollow 1 + its store, or 0.
    taker_of: int32, for each cell 1 + its taker, or 0; one cell long without takers. closed: uint8, takers that are
    full. rims: int64, the cell where each taker spills, -1 where it cannot. waiting: int32, stores with a due time.
    counts: int64, see the names in `kernels_event`.
    """

    points: NDArray[np.float64]
    owner: NDArray[np.int32]
    mark: NDArray[np.int32]
    store_of: NDArray[np.int32]
    taker_of: NDArray[np.int32]
    closed: NDArray[np.uint8]
    rims: NDArray[np.int64]
    reaches: Records
    stores: Records
    waiting: NDArray[np.int32]
    counts: NDArray[np.int64]


class Walk(NamedTuple):
    """What tracing a way keeps in mind.

    facet: int64 (3), corner, sx and sy. at: float64 (2), u and v. fall: float64 (2), the steepest way on the facet.
    ends: int64 (2), cells at the ends of a side. pick: int64 (4), the way on from a cell. spot: float64 (2), where it
    leaves the ground. ending: int64 (2), how the way ends and in which. now: int64 (4), see `kernels_way`.
    """

    facet: NDArray[np.int64]
    at: NDArray[np.float64]
    fall: NDArray[np.float64]
    ends: NDArray[np.int64]
    pick: NDArray[np.int64]
    spot: NDArray[np.float64]
    ending: NDArray[np.int64]
    now: NDArray[np.int64]
