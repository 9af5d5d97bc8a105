"""An event: water runs from its sources for some hours, soaks, fills hollows and takers, and runs over.

Fill-spill-merge (Barnes, Callaghan and Wickert, 2021, doi 10.5194/esurf-9-105-2021) moves volumes through the tree of
hollows; here the same moves are made in time, for what soaks depends on how long water stands and runs. Flows are
steady between two moments at which something runs full. Nothing ever falls during an event, so each moment is worked
out once: what is full runs over into the other side of its sill, by the way that is drawn there; when that side is full
too, both become the hollow that holds them. Water runs from sill to sill in seconds or minutes, and the event lasts
hours: the time on the way is not counted.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.kernels_ledger import lay, make_part, open_pool
from gardenwater.overflow.kernels_store import POOL, advance, drains_m3_s, flows_now, holder
from gardenwater.overflow.kernels_way import LAID, LOOKED, NO_ROOM, REACHES, STORES, WAITING, trace
from gardenwater.overflow.records import Flow, Land, Net, Records
from gardenwater.work import kernel, kernel_part

GOES_ON, DONE, GROW = 0, 1, 2
"""What `run` says: there is more to do, the event is over, or the arrays of the flow must grow first."""

_SPARE = 4

Sources = NDArray[np.float64]


@kernel_part
def settle(net: Net, waiting: int, at: int) -> None:
    """Put a store of the heap of due times where it belongs: none is due before the one above it."""
    store = net.due[at]
    due_s = net.stores[store].due_s
    while at > 0 and net.stores[net.due[(at - 1) // 2]].due_s > due_s:
        net.due[at] = net.due[(at - 1) // 2]
        net.stores[net.due[at]].waits = at + 1
        at = (at - 1) // 2
    while 2 * at + 1 < waiting:
        below = 2 * at + 1
        if below + 1 < waiting and net.stores[net.due[below + 1]].due_s < net.stores[net.due[below]].due_s:
            below += 1
        if net.stores[net.due[below]].due_s >= due_s:
            break
        net.due[at] = net.due[below]
        net.stores[net.due[at]].waits = at + 1
        at = below
    net.due[at] = store
    net.stores[store].waits = at + 1


@kernel_part
def wait_until(flow: Flow, store: int, due_s: float) -> None:
    """Let a store wait for the moment at which it is full; inf when there is none."""
    this = flow.net.stores[store]
    this.due_s = due_s
    if this.waits == 0:
        if due_s == np.inf:
            return
        flow.net.due[flow.counts[WAITING]] = store
        flow.counts[WAITING] += 1
        this.waits = flow.counts[WAITING]
    settle(flow.net, flow.counts[WAITING], this.waits - 1)


@kernel_part
def look_ahead(land: Land, flow: Flow, store: int, soak_m_s: float, end_s: float) -> None:
    """Work out when a store will be full, and let it wait for that moment when it comes before the event's end."""
    this = flow.net.stores[store]
    due_s = np.inf
    if this.full == 0 and this.joined < 0:
        this.trial = 1
        due_s = advance(land, flow.net, store, soak_m_s, end_s)
        this.trial = 0
    wait_until(flow, store, due_s if due_s < end_s else np.inf)


@kernel_part
def next_due(flow: Flow) -> int:
    """The store that is full first, -1 when none will be."""
    if flow.counts[WAITING] == 0 or flow.net.stores[flow.net.due[0]].due_s == np.inf:
        return -1
    return int(flow.net.due[0])


@kernel_part
def has_room(flow: Flow) -> bool:
    """Whether one more way can be laid, whatever it meets."""
    return bool(
        flow.counts[REACHES] + _SPARE <= flow.net.reaches.size and flow.counts[STORES] + _SPARE <= flow.net.stores.size
    )


@kernel_part
def other_side(land: Land, flow: Flow, store: int) -> int:
    """The store that makes one pool with a pool that is now full; -1 while the other side of the sill is not full."""
    this = flow.net.stores[store]
    if this.kind != POOL or land.hollows[this.hollow].parent <= 0:
        return -1
    other = int(np.int64(flow.store_of[land.hollows[this.hollow].sibling])) - 1
    return other if other >= 0 and flow.net.stores[other].full == 1 else -1


@kernel_part
def merge(land: Land, flow: Flow, store: int, other: int, soak_m_s: float, end_s: float) -> None:
    """Two brimful pools on both sides of a sill become one."""
    this = flow.net.stores[store]
    wait_until(flow, store, np.inf)
    this.full, this.volume_m3 = 1, this.room_m3
    advance(land, flow.net, other, soak_m_s, this.time_s)
    both = open_pool(land, flow, land.hollows[this.hollow].parent, this.time_s)
    make_part(flow.net, store, both)
    make_part(flow.net, other, both)
    look_ahead(land, flow, both, soak_m_s, end_s)


@kernel_part
def would_come_back(net: Net, store: int, reach: int) -> bool:
    """Whether what runs over by a stretch would come back to its store through others that are full.

    Hollows never do (what leaves one is below its sill on the other side); takers that spill at a given spot may.
    """
    at = holder(net, net.reaches[reach].store)
    while at != store:
        over = net.stores[at].over
        if net.stores[at].full == 0 or over < 0:
            return False
        at = holder(net, net.reaches[over].store)
    return True


@kernel_part
def run_over(land: Land, flow: Flow, store: int, time_s: float, soak_m_s: float, end_s: float) -> None:
    """Pass on what a full store cannot hold, down to the first that is not full."""
    net = flow.net
    while net.stores[store].over >= 0:
        reach = net.stores[store].over
        spills = flows_now(land, net, store, soak_m_s) - drains_m3_s(land, net, store, soak_m_s)
        store = holder(net, net.reaches[reach].store)
        advance(land, net, store, soak_m_s, time_s)
        net.reaches[reach].feed_m3_s = max(spills, 0.0)
        if net.stores[store].full == 0:
            look_ahead(land, flow, store, soak_m_s, end_s)
            return


@kernel_part
def next_over(land: Land, flow: Flow, walk: Records, soak_m_s: float, end_s: float) -> int:
    """The store that runs over next, worked out up to then, and full; -1 when none does by the end of the event.

    The walk is set to begin where it runs over. Pools that become one on the way are made so.
    """
    while True:
        store = next_due(flow)
        if store < 0 or not has_room(flow):
            return store
        this = flow.net.stores[store]
        advance(land, flow.net, store, soak_m_s, this.due_s)
        other = other_side(land, flow, store)
        if other >= 0:
            merge(land, flow, store, other, soak_m_s, end_s)
        elif this.kind == POOL:
            this.full = 1
            walk.sill, walk.ways = land.hollows[this.hollow].sill, land.hollows[this.hollow].ways
            return store
        elif this.rim >= 0:
            this.full = 1  # no water ends any more in a taker that is full
            walk.sill = -1
            walk.x, walk.y = this.rim % land.surface.stride, this.rim // land.surface.stride
            return store
        else:
            this.room_m3 = np.inf
            wait_until(flow, store, np.inf)


@kernel_part
def spill_over(land: Land, flow: Flow, store: int, reach: int, soak_m_s: float, end_s: float) -> None:
    """Let a full store run over by the stretch that was laid for it; it takes on if that would come back to it."""
    this = flow.net.stores[store]
    wait_until(flow, store, np.inf)
    flow.net.reaches[reach].hollow, flow.net.reaches[reach].taker = this.hollow, this.taker
    if would_come_back(flow.net, store, reach):
        this.full, this.room_m3 = 0, np.inf
        return
    this.over, this.volume_m3 = reach, this.room_m3
    run_over(land, flow, store, this.time_s, soak_m_s, end_s)


@kernel_part
def next_source(flow: Flow, walk: Records, sources: Sources) -> int:
    """The source that is to be laid next, where the walk is set to begin; -1 when all are laid."""
    while flow.counts[LAID] < sources.shape[0]:
        number = flow.counts[LAID]
        if sources[number, 2] > 0.0:
            walk.sill, walk.x, walk.y = -1, sources[number, 0], sources[number, 1]
            return int(number)
        flow.counts[LAID] = number + 1
    return -1


@kernel_part
def finish(land: Land, flow: Flow, soak_m_s: float, end_s: float) -> None:
    """Work out every store up to the end of the event."""
    for store in range(flow.counts[STORES]):
        if flow.net.stores[store].joined < 0:
            advance(land, flow.net, store, soak_m_s, end_s)
            flows_now(land, flow.net, store, soak_m_s)


@kernel
def run(land: Land, flow: Flow, walks: Records, sources: Sources, soak_m_s: float, end_s: float, budget: int) -> int:
    """Lay up to `budget` more ways, of sources and of what runs over; what to do next, see GOES_ON.

    sources: float64 (n, 3), columns x and y in cells, m3/s. walks: one WALK record, for tracing.
    """
    walk, stores = walks[0], flow.net.stores
    for _ in range(budget):
        source = next_source(flow, walk, sources)
        if source < 0 and flow.counts[LOOKED] == 0:
            flow.counts[LOOKED] = 1
            for each in range(flow.counts[STORES]):
                look_ahead(land, flow, each, soak_m_s, end_s)
        store = next_over(land, flow, walk, soak_m_s, end_s) if source < 0 else -1
        if source < 0 and store < 0:
            finish(land, flow, soak_m_s, end_s)
            return DONE
        if has_room(flow):
            trace(land, flow, walk)
        if not has_room(flow) or walk.how == NO_ROOM:
            if store >= 0:
                stores[store].full = 0
            return GROW
        reach = lay(land, flow, walk, stores[store].time_s if store >= 0 else 0.0, soak_m_s)
        if store >= 0:
            spill_over(land, flow, store, reach, soak_m_s, end_s)
        else:
            flow.net.reaches[reach].source, flow.net.reaches[reach].feed_m3_s = source, sources[source, 2]
            flow.counts[LAID] = source + 1
    return GOES_ON
