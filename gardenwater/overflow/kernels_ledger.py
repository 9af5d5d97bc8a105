"""Ways and what they end in are entered in the records; a stretch is parted where another joins it."""

from __future__ import annotations

import numpy as np

from gardenwater.overflow.kernels_store import EXIT, POOL, TAKER, advance, flows_now, holder
from gardenwater.overflow.kernels_way import BOTTOM, INTO_TAKER, MEETS, POINTS, REACHES, STORES
from gardenwater.overflow.kernels_width import left_after
from gardenwater.overflow.records import Flow, Land, Net, Records
from gardenwater.work import kernel, kernel_part


@kernel_part
def new_store(flow: Flow, time_s: float) -> int:
    """The number of one more store: a way off the ground, unless it is made something else."""
    store = flow.counts[STORES]
    flow.counts[STORES] = store + 1
    this = flow.net.stores[store]
    this.kind, this.hollow, this.taker = EXIT, 0, -1
    this.head, this.tail, this.joined, this.over, this.rim = -1, -1, -1, -1, -1
    this.full, this.waits, this.trial, this.wet = 0, 0, 0, 1
    this.time_s, this.due_s, this.room_m3 = time_s, np.inf, np.inf
    this.rise_m, this.volume_m3, this.soaked_m3, this.drain_m3_s, this.rain_m3_s = 0.0, 0.0, 0.0, 0.0, 0.0
    return int(store)


@kernel_part
def open_pool(land: Land, flow: Flow, hollow: int, time_s: float) -> int:
    """Make the store of a hollow that water comes to."""
    store = new_store(flow, time_s)
    this = flow.net.stores[store]
    this.kind, this.hollow = POOL, hollow
    this.room_m3 = land.hollows[hollow].columns_m * land.surface.cell_x_m * land.surface.cell_y_m
    if flow.rain_m3_s.size > 1:
        this.rain_m3_s = flow.rain_m3_s[hollow]
    flow.store_of[hollow] = store + 1
    return store


@kernel
def open_taker(flow: Flow, taker: int, room_m3: float, drain_m3_s: float, rain_m3_s: float, rim: int) -> None:
    """Make the store of a taker. Takers come first, so that their numbers are those of their stores."""
    store = new_store(flow, 0.0)
    this = flow.net.stores[store]
    this.kind, this.taker, this.room_m3, this.rim = TAKER, taker, room_m3, rim
    this.drain_m3_s, this.rain_m3_s = drain_m3_s, rain_m3_s


@kernel
def open_rained(land: Land, flow: Flow) -> None:
    """Make the store of each hollow that rain runs down to over the ground; there must be room for all."""
    for hollow in range(1, flow.rain_m3_s.size):
        if flow.rain_m3_s[hollow] > 0.0:
            open_pool(land, flow, hollow, 0.0)


@kernel_part
def new_reach(net: Net, reach: int, first: int, last: int, runs_into: int, store: int) -> None:
    """Write a stretch that carries nothing yet, and note it at its points."""
    this = net.reaches[reach]
    this.first, this.last, this.next, this.store = first, last, runs_into, store
    this.source, this.hollow, this.taker = -1, 0, -1
    this.feed_m3_s, this.gathered_m3_s, this.flow_m3_s, this.flow_end_m3_s = 0.0, 0.0, 0.0, 0.0
    this.in_m3, this.out_m3 = 0.0, 0.0
    for at in range(first, last + 1):
        net.points[at].reach = reach


@kernel_part
def split(flow: Flow, reach: int, point: int, soak_m_s: float) -> int:
    """Part a stretch at one of its points; the lower part. Its store is worked out up to now.

    What the stretch has soaked is shared between the parts as it is soaking now.
    """
    net, lower = flow.net, flow.counts[REACHES]
    flow.counts[REACHES] = lower + 1
    upper, new = net.reaches[reach], net.reaches[lower]
    new_reach(net, lower, point, upper.last, upper.next, upper.store)
    passes = left_after(upper.flow_m3_s, soak_m_s, net.points[point].thirst - net.points[upper.first].thirst)
    passes = max(passes, upper.flow_end_m3_s)
    soaks = upper.flow_m3_s - upper.flow_end_m3_s
    share = (passes - upper.flow_end_m3_s) / soaks if soaks > 0.0 else 0.0
    new.flow_m3_s, new.flow_end_m3_s, new.out_m3 = passes, upper.flow_end_m3_s, upper.out_m3
    new.in_m3 = upper.out_m3 + share * (upper.in_m3 - upper.out_m3)
    upper.last, upper.next, upper.flow_end_m3_s, upper.out_m3 = point, lower, passes, new.in_m3
    new.after, upper.after = upper.after, lower
    store = net.stores[holder(net, upper.store)]
    if store.tail == reach:
        store.tail = lower
    return int(lower)


@kernel_part
def store_at_end(land: Land, flow: Flow, walk: Records, time_s: float) -> int:
    """The store that a traced way ends in."""
    if walk.how == MEETS:
        return holder(flow.net, flow.net.reaches[flow.net.points[walk.which].reach].store)
    if walk.how == INTO_TAKER:
        return int(walk.which)
    if walk.how != BOTTOM:
        return new_store(flow, time_s)
    store = int(np.int64(flow.store_of[walk.which])) - 1
    return holder(flow.net, store) if store >= 0 else open_pool(land, flow, walk.which, time_s)


@kernel_part
def lay(land: Land, flow: Flow, walk: Records, time_s: float, soak_m_s: float) -> int:
    """Make a stretch of the way that was just traced; its number. Its store is worked out up to now."""
    net = flow.net
    store = store_at_end(land, flow, walk, time_s)
    advance(land, net, store, soak_m_s, time_s)
    runs_into = -1
    if walk.how == MEETS:
        met = net.points[walk.which].reach
        if walk.which == net.reaches[met].last:
            runs_into = net.reaches[met].next
        elif walk.which == net.reaches[met].first:
            runs_into = met
        else:
            flows_now(land, net, store, soak_m_s)
            runs_into = split(flow, met, walk.which, soak_m_s)
    reach = flow.counts[REACHES]
    flow.counts[REACHES], flow.counts[POINTS] = reach + 1, walk.count
    new_reach(net, reach, walk.begin, walk.count - 1, runs_into, store)
    net.reaches[reach].after = net.stores[store].head
    net.stores[store].head = reach
    if net.stores[store].tail < 0:
        net.stores[store].tail = reach
    return int(reach)


@kernel_part
def make_part(net: Net, part: int, whole: int) -> None:
    """Let a store become part of another: its water, what it soaked, and its ways; what ran over between them stops."""
    this, both = net.stores[part], net.stores[whole]
    this.joined = whole
    both.volume_m3 += this.volume_m3
    both.soaked_m3 += this.soaked_m3
    both.rain_m3_s += this.rain_m3_s
    if this.over >= 0:
        net.reaches[this.over].feed_m3_s = 0.0
    if this.head < 0:
        return
    if both.tail < 0:
        both.head = this.head
    else:
        net.reaches[both.tail].after = this.head
    both.tail = this.tail
