"""What ways end in: pools that fill and soak, takers, ways off the ground. How they stand at a time, and when full.

A pool's bottom is taken in steps, the levels of its cells: between two of them its area is steady, and so is what soaks
from it. What its ways bring is looked at anew each time the water has risen by a part of the hollow's height, for the
higher it stands, the less of them is left to soak on. A pool whose area soaks all that comes rises no further.
"""

from __future__ import annotations

import numpy as np

from gardenwater.overflow.kernels_width import left_after
from gardenwater.overflow.records import Flow, Land
from gardenwater.work import kernel

POOL, TAKER, EXIT = 0, 1, 2

_LOOKS = 64
"""Times that a filling pool's ways are looked at anew."""

_LOOK_M = 0.01
"""Rise between two looks in a pool that nothing lets out, m."""

_LEVEL, _THIRST = 2, 3


@kernel
def holder(flow: Flow, store: int) -> int:
    """The store that a store is part of now, itself when it is of its own."""
    at = store
    while flow.stores[at].joined >= 0:
        at = flow.stores[at].joined
    while store != at:
        joined = flow.stores[store].joined
        flow.stores[store].joined = at
        store = joined
    return at


@kernel
def dry_thirst(flow: Flow, first: int, last: int, level_m: float) -> float:
    """Thirst of the part of a stretch that lies above a water level."""
    points = flow.points
    if points[last, _LEVEL] >= level_m:
        return float(points[last, _THIRST] - points[first, _THIRST])
    if points[first, _LEVEL] <= level_m:
        return 0.0
    above, below = first, last
    while below - above > 1:
        middle = (above + below) // 2
        if points[middle, _LEVEL] >= level_m:
            above = middle
        else:
            below = middle
    part = (points[above, _LEVEL] - level_m) / (points[above, _LEVEL] - points[below, _LEVEL])
    on = points[above, _THIRST] + part * (points[below, _THIRST] - points[above, _THIRST])
    return float(on - points[first, _THIRST])


@kernel
def pour(flow: Flow, store: int, level_m: float, soak_m_s: float) -> float:
    """Work out the flows of a store's ways while its water stands at a level; what comes to it, m3/s."""
    reaches = flow.reaches
    at = flow.stores[store].head
    while at >= 0:
        reaches[at].gathered_m3_s = 0.0
        at = reaches[at].after
    comes = 0.0
    at = flow.stores[store].head
    while at >= 0:
        flows = reaches[at].feed_m3_s + reaches[at].gathered_m3_s
        left = flows
        if soak_m_s > 0.0 and flows > 0.0:
            left = left_after(flows, soak_m_s, dry_thirst(flow, reaches[at].first, reaches[at].last, level_m))
        reaches[at].flow_m3_s, reaches[at].flow_end_m3_s = flows, left
        if reaches[at].next >= 0:
            reaches[reaches[at].next].gathered_m3_s += left
        else:
            comes += left
        at = reaches[at].after
    return comes


@kernel
def count_up(flow: Flow, store: int, seconds: float) -> None:
    """Add what flows in a store's ways for some seconds to what they have carried."""
    at = flow.stores[store].head
    while at >= 0:
        flow.reaches[at].in_m3 += flow.reaches[at].flow_m3_s * seconds
        flow.reaches[at].out_m3 += flow.reaches[at].flow_end_m3_s * seconds
        at = flow.reaches[at].after


@kernel
def brim_m(land: Land, flow: Flow, store: int) -> float:
    """Level at which a pool runs over, inf where it never does."""
    if flow.stores[store].room_m3 == np.inf:
        return np.inf
    return np.float64(land.level[land.hollows[flow.stores[store].hollow].sill])


@kernel
def area_m2(land: Land, hollow: int) -> float:
    """Area of a brimful pool."""
    cells = land.starts[hollow + 1] - land.starts[land.hollows[hollow].first]
    return float(cells * land.cell_x_m * land.cell_y_m)


@kernel
def floor_m(land: Land, hollow: int, wet: int) -> float:
    """Level of the highest of a hollow's own cells that is wet; of the sill within it when there is none."""
    if wet > 0:
        return np.float64(land.level[land.cells[land.starts[hollow] + wet - 1]])
    return np.float64(land.level[land.hollows[hollow - 1].sill])


@kernel
def fill_dry(flow: Flow, store: int, until_s: float, keep: bool) -> float:
    """`fill_soaking` for a soil that takes nothing: no need to look at cells."""
    this = flow.stores[store]
    comes = pour(flow, store, -np.inf, 0.0)
    full_s = this.time_s + max(this.room_m3 - this.volume_m3, 0.0) / comes if comes > 0.0 else np.inf
    if keep:
        seconds = until_s - this.time_s
        count_up(flow, store, seconds)
        this.volume_m3 += comes * seconds
        this.time_s = until_s
    return full_s


@kernel
def fill_soaking(land: Land, flow: Flow, store: int, soak_m_s: float, until_s: float, keep: bool) -> float:
    """Let a pool that is not full rise until a time; when it is full, inf when not by then. keep: make it so."""
    this = flow.stores[store]
    hollow, cell_m2 = this.hollow, land.cell_x_m * land.cell_y_m
    begin, end = land.starts[hollow], land.starts[hollow + 1]
    below = begin - land.starts[land.hollows[hollow].first]
    brim = brim_m(land, flow, store)
    low = floor_m(land, hollow, min(1, end - begin))
    look_m = (brim - low) / _LOOKS if brim < np.inf else _LOOK_M
    wet, rise_m, time_s = min(this.wet, end - begin), this.rise_m, this.time_s
    volume_m3, soaked_m3, next_look_m, comes, full_s = this.volume_m3, this.soaked_m3, -np.inf, 0.0, np.inf
    while time_s < until_s:
        floor = floor_m(land, hollow, wet)
        top = np.float64(land.level[land.cells[begin + wet]]) if begin + wet < end else brim
        if floor + rise_m >= next_look_m:
            comes = pour(flow, store, floor + rise_m, soak_m_s)
            next_look_m = floor + rise_m + look_m
        area = (below + wet) * cell_m2
        soaks = min(soak_m_s * area, comes)
        room_m3 = max(top - floor - rise_m, 0.0) * area
        rises = comes - soaks
        seconds = room_m3 / rises if rises > 0.0 else np.inf
        fills = time_s + seconds <= until_s
        if not fills:
            seconds = until_s - time_s
        if keep:
            count_up(flow, store, seconds)
        soaked_m3 += soaks * seconds
        volume_m3 += room_m3 if fills else rises * seconds
        time_s = time_s + seconds if fills else until_s
        if not fills:
            rise_m += rises * seconds / area
        elif begin + wet < end:
            wet, rise_m = wet + 1, 0.0
        else:
            full_s = time_s
            break
    if keep:
        this.wet, this.rise_m, this.time_s = wet, rise_m, until_s
        this.volume_m3, this.soaked_m3 = volume_m3, soaked_m3
    return full_s


@kernel
def flows_now(land: Land, flow: Flow, store: int, soak_m_s: float) -> float:
    """Work out the flows of a store's ways as it stands now; what comes to it, m3/s."""
    this = flow.stores[store]
    if this.kind != POOL or soak_m_s == 0.0:
        return pour(flow, store, -np.inf, soak_m_s)
    if this.full == 1:
        return pour(flow, store, brim_m(land, flow, store), soak_m_s)
    wet = min(this.wet, land.starts[this.hollow + 1] - land.starts[this.hollow])
    return pour(flow, store, floor_m(land, this.hollow, wet) + this.rise_m, soak_m_s)


@kernel
def stand_full(land: Land, flow: Flow, store: int, soak_m_s: float, until_s: float) -> None:
    """Let a full pool or taker stand until a time, while it passes on what it cannot hold."""
    this = flow.stores[store]
    seconds = until_s - this.time_s
    comes = flows_now(land, flow, store, soak_m_s)
    count_up(flow, store, seconds)
    drains = this.drain_m3_s if this.kind == TAKER else soak_m_s * area_m2(land, this.hollow)
    this.soaked_m3 += min(drains, comes) * seconds
    this.time_s = until_s


@kernel
def fill_taker(flow: Flow, store: int, soak_m_s: float, until_s: float, keep: bool) -> float:
    """Let a taker, or a way off the ground, take until a time; when it is full. keep: make it so."""
    this = flow.stores[store]
    comes = pour(flow, store, -np.inf, soak_m_s)
    drains = min(this.drain_m3_s, comes)
    rises = comes - drains
    full_s = this.time_s + max(this.room_m3 - this.volume_m3, 0.0) / rises if rises > 0.0 else np.inf
    if keep:
        seconds = until_s - this.time_s
        count_up(flow, store, seconds)
        this.soaked_m3 += drains * seconds
        this.volume_m3 += rises * seconds
        this.time_s = until_s
    return full_s


@kernel
def advance(land: Land, flow: Flow, store: int, soak_m_s: float, until_s: float) -> None:
    """Work out a store up to a time, not after the moment at which it is full."""
    this = flow.stores[store]
    if this.full == 1:
        stand_full(land, flow, store, soak_m_s, until_s)
    elif this.kind != POOL:
        fill_taker(flow, store, soak_m_s, until_s, True)
    elif soak_m_s > 0.0:
        fill_soaking(land, flow, store, soak_m_s, until_s, True)
    else:
        fill_dry(flow, store, until_s, True)


@kernel
def foresee(land: Land, flow: Flow, store: int, soak_m_s: float, end_s: float) -> float:
    """When a store will be full if its sources stay as they are; inf when not by the end of the event."""
    this = flow.stores[store]
    if this.full == 1 or this.joined >= 0:
        return np.inf
    if this.kind != POOL:
        return fill_taker(flow, store, soak_m_s, end_s, False)
    if soak_m_s > 0.0:
        return fill_soaking(land, flow, store, soak_m_s, end_s, False)
    return fill_dry(flow, store, end_s, False)


@kernel
def overflow_of(land: Land, flow: Flow, store: int, soak_m_s: float) -> float:
    """What a full pool or taker passes on, m3/s."""
    comes = flows_now(land, flow, store, soak_m_s)
    this = flow.stores[store]
    drains = this.drain_m3_s if this.kind == TAKER else soak_m_s * area_m2(land, this.hollow)
    return max(comes - drains, 0.0)


@kernel
def settle_full(flow: Flow, store: int) -> None:
    """Make a store full, to the drop."""
    this = flow.stores[store]
    this.full = 1
    this.due_s = np.inf
    this.volume_m3 = this.room_m3
