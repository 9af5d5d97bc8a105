"""Records that the kernels of overflow work on, and the bundles of arrays that they are given."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Records = Any
"""An array of records; numba reads and writes their fields by name, which numpy's types do not know."""

GROWING = np.dtype(
    [
        ("up", np.int64),
        ("parent", np.int64),
        ("child", np.int64),
        ("second", np.int64),
        ("sill", np.int64),
        ("ways", np.int64),
        ("count", np.int64),
        ("own", np.int64),
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
        ("parent", np.int64),
        ("sibling", np.int64),
        ("first", np.int64),
        ("sill", np.int64),
        ("ways", np.int64),
        ("start", np.int64),
        ("columns_m", np.float64),
    ],
    align=True,
)
"""A hollow of the finished tree; one more record than hollows, to end the last. parent: the hollow that it and its
sibling make when both are brimful, 0 when it runs over to where nothing holds it, -1 when it never does. first: lowest
number among the hollows within it and itself, all numbers between are within it. start: where its own cells begin in
the list of cells. columns_m: what it holds when brimful, divided by the area of a cell, m."""

POINT = np.dtype(
    [
        ("x", np.float64),
        ("y", np.float64),
        ("level_m", np.float64),
        ("thirst", np.float64),
        ("reach", np.int64),
    ],
    align=True,
)
"""A point of a way. x, y: in cells. thirst: of the way up to here, see `kernels_width`. reach: the stretch it is on."""

WALK = np.dtype(
    [
        ("sill", np.int64),
        ("ways", np.int64),
        ("x", np.float64),
        ("y", np.float64),
        ("cell", np.int64),
        ("corner", np.int64),
        ("sx", np.int64),
        ("sy", np.int64),
        ("u", np.float64),
        ("v", np.float64),
        ("fall_u", np.float64),
        ("fall_v", np.float64),
        ("out_x", np.float64),
        ("out_y", np.float64),
        ("kind", np.int64),
        ("how", np.int64),
        ("which", np.int64),
        ("begin", np.int64),
        ("count", np.int64),
        ("stalled", np.int64),
    ],
    align=True,
)
"""What tracing a way keeps in mind. sill, ways: the cell it begins at and the steps allowed there, or -1: then x and y
are where it begins. cell: at whose centre it is, -1 on a facet. corner, sx, sy: the facet; u, v: where on it; fall_u,
fall_v: its steepest way. out_x, out_y: where it leaves the ground. kind: of the way on from a cell. how, which: how it
ends and in what. begin, count: its first point, and all points with it. stalled: steps that did not go down (rounding,
on ground that is all but level)."""

REACH = np.dtype(
    [
        ("first", np.int64),
        ("last", np.int64),
        ("next", np.int64),
        ("store", np.int64),
        ("after", np.int64),
        ("source", np.int64),
        ("hollow", np.int64),
        ("taker", np.int64),
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
        ("kind", np.int64),
        ("hollow", np.int64),
        ("taker", np.int64),
        ("head", np.int64),
        ("tail", np.int64),
        ("joined", np.int64),
        ("full", np.int64),
        ("over", np.int64),
        ("waits", np.int64),
        ("trial", np.int64),
        ("rim", np.int64),
        ("wet", np.int64),
        ("time_s", np.float64),
        ("rise_m", np.float64),
        ("volume_m3", np.float64),
        ("soaked_m3", np.float64),
        ("due_s", np.float64),
        ("room_m3", np.float64),
        ("drain_m3_s", np.float64),
        ("rain_m3_s", np.float64),
    ],
    align=True,
)
"""What stretches end in: a pool, a taker or a way off the ground. head, tail: its stretches. joined: the store that it
became part of, -1. over: the stretch that takes what runs over, -1. waits: 1 + its place in the heap of due times, 0
when it never had one. trial: 1 while what would happen is worked out. rim: the cell where a taker spills, -1. wet: own
cells of the hollow under water; rise_m: above the highest of them. time_s: up to when volumes are worked out; due_s:
when it will be full. rain_m3_s: what comes to it over the ground, by no way that is laid."""


class Surface(NamedTuple):
    """Levels of the cells of a ground with a rim of one cell round it; float32, m, flat, stride cells in a row.

    +inf where no water comes, -inf where it leaves.
    """

    level: NDArray[np.float32]
    stride: int
    cell_x_m: float
    cell_y_m: float


class Land(NamedTuple):
    """A prepared ground; arrays are flat and read-only.

    way: uint8, for each cell 0, or 1 + the step out of flat ground. label: int32, the hollow of each cell, 0 where none
    holds water, negative where no water comes. hollows: HOLLOW records. cells: int32, the own cells of each hollow, by
    level.
    """

    surface: Surface
    way: NDArray[np.uint8]
    label: NDArray[np.int32]
    hollows: Records
    cells: NDArray[np.int32]


class Net(NamedTuple):
    """Ways and what they end in: POINT, REACH and STORE records. due: int64, stores by their due times, a heap."""

    points: Records
    reaches: Records
    stores: Records
    due: NDArray[np.int64]


class Flow(NamedTuple):
    """All that changes while an event runs.

    mark: int32, for each cell 1 + the point at its centre, or 0. store_of: int32, for each hollow 1 + its store, or 0.
    taker_of: int32, for each cell 1 + its taker, or 0; one cell long without takers. rain_m3_s: float64, what runs down
    to each hollow over the ground; one long without rain. counts: int64, see `kernels_way`.
    """

    net: Net
    mark: NDArray[np.int32]
    store_of: NDArray[np.int32]
    taker_of: NDArray[np.int32]
    rain_m3_s: NDArray[np.float64]
    counts: NDArray[np.int64]
