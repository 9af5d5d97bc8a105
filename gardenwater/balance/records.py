"""The records that the kernels of the balance work on, and the bundles of arrays that they are given."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Records = Any
"""An array of records; numba reads and writes their fields by name, which numpy's types do not know."""

Number = Any
"""An element of such an array."""

NODE = np.dtype(
    [
        ("a", np.int64),
        ("b", np.int64),
        ("end_a", np.int64),
        ("end_b", np.int64),
        ("begin", np.int64),
        ("first", np.int64),
        ("last", np.int64),
        ("member", np.int64),
        ("members", np.int64),
        ("rim_tank", np.int64),
        ("join_level", np.float64),
        ("join_a_m3", np.float64),
        ("join_b_m3", np.float64),
        ("rim_level", np.float64),
        ("rim_m3", np.float64),
    ],
    align=True,
)
"""A tank (nodes are numbered like tanks first), or two nodes that a link joins. a, b: the two, -1 of a tank; end_a,
end_b: the tanks at the link's ends. begin: the first of the joins that make one vessel, which end with their root.
first, last: its points in the tables of level and volume. member, members: where its tanks are listed, and how many.
join_level: of the link; join_a_m3, join_b_m3: what the two hold up to it. rim_level, rim_tank, rim_m3: the lowest rim
of its tanks, whose it is, and what the node holds up to it."""

TANK = np.dtype(
    [
        ("root", np.int64),
        ("carry_to", np.int64),
        ("carry_link", np.int64),
        ("carry_way", np.int64),
        ("dead_m3", np.float64),
        ("can_level", np.float64),
        ("can_m3", np.float64),
        ("open_m2", np.float64),
        ("leak_m3", np.float64),
        ("drained", np.int64),
    ],
    align=True,
)
"""A tank. root: the node that it spills with, itself when nothing is joined to it. carry_to: the tank that its
overflow runs into, or -1; carry_link: the link that it runs through, or -1 when it is an overflow pipe; carry_way: 1
from the link's first tank to its second, -1 the other way. dead_m3: below its outlet. can_level, can_m3: where cans can
no longer be filled. drained: 1 while it stands empty for the winter."""

FEED = np.dtype(
    [
        ("tank", np.int64),
        ("pipe", np.int64),
        ("last", np.int64),
        ("stops", np.int64),
        ("share", np.float64),
        ("share_after", np.float64),
    ],
    align=True,
)
"""A diverter; those of a pipe follow each other, highest first. last: the last feed of its pipe."""

VALVE = np.dtype(
    [
        ("link", np.int64),
        ("a", np.int64),
        ("b", np.int64),
        ("level", np.float64),
        ("float_level", np.float64),
        ("first", np.int64),
        ("last", np.int64),
    ],
    align=True,
)
"""A link that does not level at once: a float valve (float_level, else NaN), or a thin pipe. first, last: its points in
the tables of head and flow; last < first where it lets through whatever comes."""

PLOT = np.dtype([("area_m2", np.float64), ("zone", np.int64), ("by_can", np.int64)], align=True)
"""A bed. zone: its column among the root zones, or -1 when its need is given."""


class Works(NamedTuple):
    """Tanks and what joins them. carries: tanks whose overflow runs into another, each before the one it fills."""

    nodes: Records
    tanks: Records
    members: NDArray[np.int64]
    table_level: NDArray[np.float64]
    table_m3: NDArray[np.float64]
    feeds: Records
    carries: NDArray[np.int64]
    thin: Records
    floats: Records
    head_m: NDArray[np.float64]
    flow_m3_s: NDArray[np.float64]


class Wants(NamedTuple):
    """Beds and the rules of serving them.

    least_level, least_m3: (beds, tanks), water below it does not come to the bed (NaN: none does); least_m3 the same of
    the tank alone. minutes_l: (beds, tanks). tank_order: (tanks,), where it does not change. orders: the rule of tanks,
    the rule of beds, and whether yield is before spillage.
    """

    plots: Records
    least_level: NDArray[np.float64]
    least_m3: NDArray[np.float64]
    minutes_l: NDArray[np.float64]
    tank_order: NDArray[np.int64]
    orders: NDArray[np.int64]
    cans_m3: float
    minutes_can_m3: float


OF_TANKS = ("volume_m3", "inflow_m3", "passed_m3", "spill_m3", "drawn_m3", "lost_m3", "levelled_m3")
"""What is kept of each tank on each day, as `result.Balance` has it; levelled: through links that level at once."""

OF_BEDS = ("wanted_l", "need_l", "met_gravity_l", "met_can_l", "short_l", "depletion_mm")
"""What is kept of each bed on each day, as `result.Balance` has it."""

TOTALS = ("need", "met", "wanting_days", "short_days", "inflow", "spill")
"""Columns of the totals, one row for each year: m3 and days."""
