"""What ways end in: pools that fill and soak, takers, ways off the ground. How they stand at a time, and when full.

A pool's bottom is taken in steps, the levels of its cells: between two of them its area is steady, and so is what soaks
from it. What its ways bring is looked at anew each time the water has risen by a part of the hollow's height, for the
higher it stands, the less of them is left to soak on. A pool whose area soaks all that comes rises no further.
"""

from __future__ import annotations

import numpy as np

from gardenwater.overflow.kernels_width import left_after
from gardenwater.overflow.records import Land, Net, Records
from gardenwater.work import kernel_part

POOL, TAKER, EXIT = 0, 1, 2

_LOOKS = 64
"""Times that a filling pool's ways are looked at anew."""

_LOOK_M = 0.01
"""Rise between two looks in a pool that nothing lets out, m."""


@kernel_part
def holder(net: Net, store: int) -> int:
    """The store that a store is part of now, itself when it is of its own."""
    at = store
    while net.stores[at].joined >= 0:
        at = net.stores[at].joined
    while store != at:
        joined = net.stores[store].joined
        net.stores[store].joined = at
        store = joined
    return at


@kernel_part
def dry_thirst(points: Records, first: int, last: int, level_m: float) -> float:
    """Thirst of the part of a stretch that lies above a water level."""
    if points[last].level_m >= level_m:
        return float(points[last].thirst - points[first].thirst)
    if points[first].level_m <= level_m:
        return 0.0
    above, below = first, last
    while below - above > 1:
        middle = (above + below) // 2
        if points[middle].level_m >= level_m:
            above = middle
        else:
            below = middle
    part = (points[above].level_m - level_m) / (points[above].level_m - points[below].level_m)
    return float(points[above].thirst + part * (points[below].thirst - points[above].thirst) - points[first].thirst)


@kernel_part
def pour(net: Net, store: int, level_m: float, soak_m_s: float) -> float:
    """Work out the flows of a store's ways while its water stands at a level; what comes to it, m3/s."""
    reaches = net.reaches
    at = net.stores[store].head
    while at >= 0:
        reaches[at].gathered_m3_s = 0.0
        at = reaches[at].after
    comes = float(net.stores[store].rain_m3_s)
    at = net.stores[store].head
    while at >= 0:
        flows = reaches[at].feed_m3_s + reaches[at].gathered_m3_s
        left = flows
        if soak_m_s > 0.0 and flows > 0.0:
            left = left_after(flows, soak_m_s, dry_thirst(net.points, reaches[at].first, reaches[at].last, level_m))
        reaches[at].flow_m3_s, reaches[at].flow_end_m3_s = flows, left
        if reaches[at].next >= 0:
            reaches[reaches[at].next].gathered_m3_s += left
        else:
            comes += left
        at = reaches[at].after
    return comes


@kernel_part
def count_up(net: Net, store: int, seconds: float) -> None:
    """Add what flows in a store's ways for some seconds to what they have carried."""
    at = net.stores[store].head
    while at >= 0:
        net.reaches[at].in_m3 += net.reaches[at].flow_m3_s * seconds
        net.reaches[at].out_m3 += net.reaches[at].flow_end_m3_s * seconds
        at = net.reaches[at].after


@kernel_part
def brim_m(land: Land, net: Net, store: int) -> float:
    """Level at which a pool runs over, inf where it never does."""
    if net.stores[store].room_m3 == np.inf:
        return np.inf
    return float(np.float64(land.surface.level[land.hollows[net.stores[store].hollow].sill]))


@kernel_part
def area_m2(land: Land, hollow: int) -> float:
    """Area of a brimful pool."""
    cells = land.hollows[hollow + 1].start - land.hollows[land.hollows[hollow].first].start
    return float(cells * land.surface.cell_x_m * land.surface.cell_y_m)


@kernel_part
def floor_m(land: Land, hollow: int, wet: int) -> float:
    """Level of the highest of a hollow's own cells that is wet; of the sill within it when there is none."""
    if wet > 0:
        return np.float64(land.surface.level[land.cells[land.hollows[hollow].start + wet - 1]])
    return np.float64(land.surface.level[land.hollows[hollow - 1].sill])


@kernel_part
def wet_now(land: Land, this: Records) -> int:
    """How many of its hollow's own cells a store has wetted: the first is wet from the start, where it has any."""
    own = land.hollows[this.hollow + 1].start - land.hollows[this.hollow].start
    return int(min(own, this.wet))


@kernel_part
def fill_plain(net: Net, store: int, soak_m_s: float, until_s: float) -> float:
    """`advance` for what does not soak as it grows: takers, ways off the ground, pools where nothing soaks."""
    this = net.stores[store]
    comes = pour(net, store, -np.inf, soak_m_s)
    drains = min(this.drain_m3_s, comes)
    rises = comes - drains
    full_s = this.time_s + max(this.room_m3 - this.volume_m3, 0.0) / rises if rises > 0.0 else np.inf
    if this.trial == 0:
        seconds = until_s - this.time_s
        count_up(net, store, seconds)
        this.soaked_m3 += drains * seconds
        this.volume_m3 += rises * seconds
        this.time_s = until_s
    return full_s


@kernel_part
def fill_soaking(land: Land, net: Net, store: int, soak_m_s: float, until_s: float) -> float:
    """`advance` for a pool from which water soaks, by the levels of its own cells."""
    this = net.stores[store]
    hollow, cell_m2 = this.hollow, land.surface.cell_x_m * land.surface.cell_y_m
    begin, end = land.hollows[hollow].start, land.hollows[hollow + 1].start
    below = begin - land.hollows[land.hollows[hollow].first].start
    brim = brim_m(land, net, store)
    wet, rise_m, time_s = wet_now(land, this), this.rise_m, this.time_s
    look_m = (brim - floor_m(land, hollow, wet) - rise_m) / _LOOKS if brim < np.inf else _LOOK_M
    volume_m3, soaked_m3, next_look_m, comes, steady_s, full_s = 0.0, 0.0, -np.inf, 0.0, 0.0, np.inf
    while time_s < until_s:
        level = floor_m(land, hollow, wet) + rise_m
        top = np.float64(land.surface.level[land.cells[begin + wet]]) if begin + wet < end else brim
        if level >= next_look_m:
            if this.trial == 0:
                count_up(net, store, steady_s)
            comes, steady_s, next_look_m = pour(net, store, level, soak_m_s), 0.0, level + look_m
        area = (below + wet) * cell_m2
        soaks = min(soak_m_s * area, comes)
        rises = comes - soaks
        seconds = max(top - level, 0.0) * area / rises if rises > 0.0 else np.inf
        fills = time_s + seconds <= until_s
        if not fills:
            seconds = until_s - time_s
        steady_s += seconds
        soaked_m3 += soaks * seconds
        volume_m3 += max(top - level, 0.0) * area if fills else rises * seconds
        time_s = time_s + seconds if fills else until_s
        if not fills:
            rise_m += rises * seconds / area
        elif begin + wet < end:
            wet, rise_m = wet + 1, 0.0
        else:
            full_s = time_s
            break
    if this.trial == 0:
        count_up(net, store, steady_s)
        this.wet, this.rise_m, this.time_s = wet, rise_m, until_s
        this.volume_m3 += volume_m3
        this.soaked_m3 += soaked_m3
    return full_s


@kernel_part
def drains_m3_s(land: Land, net: Net, store: int, soak_m_s: float) -> float:
    """What leaves a full store at most by soaking, or by a taker's drain, m3/s."""
    this = net.stores[store]
    return float(this.drain_m3_s if this.kind == TAKER else soak_m_s * area_m2(land, this.hollow))


@kernel_part
def flows_now(land: Land, net: Net, store: int, soak_m_s: float) -> float:
    """Work out the flows of a store's ways as it stands now; what comes to it, m3/s."""
    this = net.stores[store]
    level = -np.inf
    if this.kind == POOL and soak_m_s > 0.0:
        full = this.full == 1
        level = brim_m(land, net, store) if full else floor_m(land, this.hollow, wet_now(land, this)) + this.rise_m
    return pour(net, store, level, soak_m_s)


@kernel_part
def advance(land: Land, net: Net, store: int, soak_m_s: float, until_s: float) -> float:
    """Work out a store up to a time, which is not after the moment at which it is full; when that is.

    On trial nothing is kept, and it is said when it will be full if its sources stay as they are, inf when not by then.
    """
    this = net.stores[store]
    if this.full == 0:
        if this.kind == POOL and soak_m_s > 0.0:
            return fill_soaking(land, net, store, soak_m_s, until_s)
        return fill_plain(net, store, soak_m_s, until_s)
    if this.trial == 0:
        seconds = until_s - this.time_s
        comes = flows_now(land, net, store, soak_m_s)
        count_up(net, store, seconds)
        this.soaked_m3 += min(drains_m3_s(land, net, store, soak_m_s), comes) * seconds
        this.time_s = until_s
    return np.inf
