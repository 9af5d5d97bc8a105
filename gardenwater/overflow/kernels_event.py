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

from gardenwater.overflow.kernels_facets import Ints
from gardenwater.overflow.kernels_store import (
    EXIT,
    POOL,
    TAKER,
    advance,
    flows_now,
    foresee,
    holder,
    overflow_of,
    settle_full,
)
from gardenwater.overflow.kernels_way import BOTTOM, INTO_TAKER, MEETS, NO_ROOM, POINTS, trace
from gardenwater.overflow.kernels_width import left_after
from gardenwater.overflow.records import Flow, Land, Walk
from gardenwater.work import kernel

REACHES, STORES, WAITING = 1, 2, 3
"""Where in the counts of a flow the numbers of its stretches, stores and waiting stores stand (see also POINTS)."""

GOES_ON, DONE, GROW = 0, 1, 2
"""What `run` says: there is more to do, the event is over, or the arrays of the flow must grow first."""

_SPARE = 4


@kernel
def new_store(land: Land, flow: Flow, kind: int, hollow: int, taker: int, time_s: float) -> int:
    """The number of one more store, empty."""
    store = flow.counts[STORES]
    flow.counts[STORES] = store + 1
    this = flow.stores[store]
    this.kind, this.hollow, this.taker = kind, hollow, taker
    this.head = this.tail = this.joined = this.over = -1
    this.full, this.wet = 0, 1
    this.time_s, this.due_s = time_s, np.inf
    this.rise_m = this.volume_m3 = this.soaked_m3 = this.drain_m3_s = 0.0
    this.room_m3 = land.hollows[hollow].columns_m * land.cell_x_m * land.cell_y_m if kind == POOL else np.inf
    return int(store)


@kernel
def wait(flow: Flow, store: int) -> None:
    """Note that a store has a time at which it will be full."""
    for at in range(flow.counts[WAITING]):
        if flow.waiting[at] == store:
            return
    flow.waiting[flow.counts[WAITING]] = store
    flow.counts[WAITING] += 1


@kernel
def look_ahead(land: Land, flow: Flow, store: int, soak_m_s: float, end_s: float) -> None:
    """Work out when a store will be full, and let it wait for that moment when it comes before the event's end."""
    due_s = foresee(land, flow, store, soak_m_s, end_s)
    flow.stores[store].due_s = due_s
    if due_s < end_s:
        wait(flow, store)


@kernel
def split(flow: Flow, reach: int, point: int, soak_m_s: float) -> int:
    """Part a stretch at one of its points; the lower part. Its store is worked out up to now.

    What the stretch has soaked is shared between the parts as it is soaking now.
    """
    lower = flow.counts[REACHES]
    flow.counts[REACHES] = lower + 1
    upper, new = flow.reaches[reach], flow.reaches[lower]
    passes = left_after(upper.flow_m3_s, soak_m_s, flow.points[point, 3] - flow.points[upper.first, 3])
    passes = max(passes, upper.flow_end_m3_s)
    soaks = upper.flow_m3_s - upper.flow_end_m3_s
    share = (passes - upper.flow_end_m3_s) / soaks if soaks > 0.0 else 0.0
    new.first, new.last, new.next, new.store = point, upper.last, upper.next, upper.store
    new.source, new.hollow, new.taker = -1, 0, -1
    new.feed_m3_s, new.gathered_m3_s, new.flow_m3_s, new.flow_end_m3_s = 0.0, passes, passes, upper.flow_end_m3_s
    new.out_m3 = upper.out_m3
    new.in_m3 = upper.out_m3 + share * (upper.in_m3 - upper.out_m3)
    upper.last, upper.next, upper.flow_end_m3_s, upper.out_m3 = point, lower, passes, new.in_m3
    new.after, upper.after = upper.after, lower
    store = flow.stores[holder(flow, upper.store)]
    if store.tail == reach:
        store.tail = lower
    for at in range(point, new.last + 1):
        flow.owner[at] = lower
    return int(lower)


@kernel
def end_in(land: Land, flow: Flow, walk: Walk, time_s: float, soak_m_s: float) -> tuple[int, int]:
    """The store that a traced way ends in, worked out up to now, and the stretch that it runs into (-1: none)."""
    how, which = walk.ending[0], walk.ending[1]
    if how == MEETS:
        met = flow.owner[which]
        store = holder(flow, flow.reaches[met].store)
        advance(land, flow, store, soak_m_s, time_s)
        flows_now(land, flow, store, soak_m_s)
        if which == flow.reaches[met].last:
            met = flow.reaches[met].next
        elif which != flow.reaches[met].first:
            met = split(flow, met, which, soak_m_s)
        return store, met
    if how == INTO_TAKER:
        store = which
    elif how == BOTTOM:
        store = flow.store_of[which] - 1
        if store < 0:
            store = new_store(land, flow, POOL, which, -1, time_s)
            flow.store_of[which] = store + 1
        store = holder(flow, store)
    else:
        store = new_store(land, flow, EXIT, 0, -1, time_s)
    advance(land, flow, store, soak_m_s, time_s)
    return store, -1


@kernel
def lay(land: Land, flow: Flow, walk: Walk, time_s: float, soak_m_s: float) -> int:
    """Make a stretch of the way that was just traced; its number."""
    store, runs_into = end_in(land, flow, walk, time_s, soak_m_s)
    reach = flow.counts[REACHES]
    flow.counts[REACHES] = reach + 1
    first, count = flow.counts[POINTS], walk.now[1]
    flow.counts[POINTS] = count
    this = flow.reaches[reach]
    this.first, this.last, this.next, this.store = first, count - 1, runs_into, store
    this.source, this.hollow, this.taker = -1, 0, -1
    this.feed_m3_s = this.gathered_m3_s = this.flow_m3_s = this.flow_end_m3_s = this.in_m3 = this.out_m3 = 0.0
    this.after = flow.stores[store].head
    flow.stores[store].head = reach
    if flow.stores[store].tail < 0:
        flow.stores[store].tail = reach
    for at in range(first, count):
        flow.owner[at] = reach
    return int(reach)


@kernel
def begin(
    land: Land, flow: Flow, steps: Ints, walk: Walk, source: int, x: float, y: float, feed_m3_s: float, soak_m_s: float
) -> bool:
    """Let a source run from the start of the event; False when the arrays must grow first. x, y: in cells."""
    if not has_room(flow):
        return False
    trace(land, flow, steps, walk, x, y, -1, 0)
    if walk.ending[0] == NO_ROOM:
        return False
    reach = lay(land, flow, walk, 0.0, soak_m_s)
    flow.reaches[reach].source = source
    flow.reaches[reach].feed_m3_s = feed_m3_s
    return True


@kernel
def has_room(flow: Flow) -> bool:
    """Whether one more way can be laid, whatever it meets."""
    counts = flow.counts
    return bool(
        counts[REACHES] + _SPARE <= flow.reaches.size
        and counts[STORES] + _SPARE <= flow.stores.size
        and counts[WAITING] + _SPARE <= flow.waiting.size
    )


@kernel
def other_side(land: Land, flow: Flow, store: int) -> int:
    """The store that makes one pool with a pool that is now full; -1 while the other side of the sill is not full."""
    hollow = land.hollows[flow.stores[store].hollow]
    if flow.stores[store].kind != POOL or hollow.parent <= 0:
        return -1
    other = flow.store_of[hollow.sibling] - 1
    return other if other >= 0 and flow.stores[other].full == 1 else -1


@kernel
def make_part(flow: Flow, part: int, whole: int) -> None:
    """Let a store become part of another: its water, what it soaked, and its ways; what ran over between them stops."""
    this, both = flow.stores[part], flow.stores[whole]
    this.joined = whole
    both.volume_m3 += this.volume_m3
    both.soaked_m3 += this.soaked_m3
    if this.over >= 0:
        flow.reaches[this.over].feed_m3_s = 0.0
    if this.head < 0:
        return
    if both.tail < 0:
        both.head = this.head
    else:
        flow.reaches[both.tail].after = this.head
    both.tail = this.tail


@kernel
def merge(land: Land, flow: Flow, one: int, other: int, time_s: float) -> int:
    """Two brimful pools on both sides of a sill become one; its store."""
    parent = land.hollows[flow.stores[one].hollow].parent
    both = new_store(land, flow, POOL, parent, -1, time_s)
    flow.store_of[parent] = both + 1
    make_part(flow, one, both)
    make_part(flow, other, both)
    return both


@kernel
def would_come_back(flow: Flow, store: int, reach: int) -> bool:
    """Whether what runs over by a stretch would come back to its store through others that are full.

    Hollows never do (what leaves one is below its sill on the other side); takers that spill at a given spot may.
    """
    at = holder(flow, flow.reaches[reach].store)
    while at != store:
        over = flow.stores[at].over
        if flow.stores[at].full == 0 or over < 0:
            return False
        at = holder(flow, flow.reaches[over].store)
    return True


@kernel
def run_over(land: Land, flow: Flow, store: int, time_s: float, soak_m_s: float, end_s: float) -> None:
    """Pass on what a full store cannot hold, down to the first that is not full."""
    while True:
        reach = flow.stores[store].over
        if reach < 0:
            return
        spills_m3_s = overflow_of(land, flow, store, soak_m_s)
        store = holder(flow, flow.reaches[reach].store)
        advance(land, flow, store, soak_m_s, time_s)
        flow.reaches[reach].feed_m3_s = spills_m3_s
        if flow.stores[store].full == 0:
            look_ahead(land, flow, store, soak_m_s, end_s)
            return


@kernel
def trace_over(land: Land, flow: Flow, steps: Ints, walk: Walk, store: int) -> bool:
    """Trace where a store that is about to be full runs over; False when the points ran out."""
    this = flow.stores[store]
    if this.kind == POOL:
        hollow = land.hollows[this.hollow]
        trace(land, flow, steps, walk, 0.0, 0.0, hollow.sill, hollow.ways)
        return bool(walk.ending[0] != NO_ROOM)
    rim = flow.rims[this.taker]
    flow.closed[this.taker] = 1
    trace(land, flow, steps, walk, np.float64(rim % land.stride), np.float64(rim // land.stride), -1, 0)
    if walk.ending[0] == NO_ROOM:
        flow.closed[this.taker] = 0
        return False
    return True


@kernel
def fill_up(
    land: Land, flow: Flow, steps: Ints, walk: Walk, store: int, time_s: float, soak_m_s: float, end_s: float
) -> bool:
    """A store runs full: it makes one pool with the other side, or runs over. False when the arrays must grow first."""
    other = other_side(land, flow, store)
    runs_over = other < 0 and (flow.stores[store].kind == POOL or flow.rims[flow.stores[store].taker] >= 0)
    if not has_room(flow) or (runs_over and not trace_over(land, flow, steps, walk, store)):
        return False
    advance(land, flow, store, soak_m_s, time_s)
    flow.stores[store].due_s = np.inf
    if other >= 0:
        settle_full(flow, store)
        advance(land, flow, other, soak_m_s, time_s)
        look_ahead(land, flow, merge(land, flow, store, other, time_s), soak_m_s, end_s)
        return True
    if runs_over:
        reach = lay(land, flow, walk, time_s, soak_m_s)
        if flow.stores[store].kind == POOL:
            flow.reaches[reach].hollow = flow.stores[store].hollow
        else:
            flow.reaches[reach].taker = flow.stores[store].taker
        if not would_come_back(flow, store, reach):
            settle_full(flow, store)
            flow.stores[store].over = reach
            run_over(land, flow, store, time_s, soak_m_s, end_s)
            return True
        if flow.stores[store].kind == TAKER:
            flow.closed[flow.stores[store].taker] = 0
    flow.stores[store].room_m3 = np.inf
    return True


@kernel
def run(land: Land, flow: Flow, steps: Ints, walk: Walk, soak_m_s: float, end_s: float, budget: int) -> int:
    """Go on for up to `budget` moments at which something runs full; what to do next, see GOES_ON."""
    for _ in range(budget):
        soonest, at_slot = np.inf, -1
        for slot in range(flow.counts[WAITING]):
            due_s = flow.stores[flow.waiting[slot]].due_s
            if due_s < soonest:
                soonest, at_slot = due_s, slot
        if at_slot < 0 or soonest >= end_s:
            return DONE
        if not fill_up(land, flow, steps, walk, flow.waiting[at_slot], soonest, soak_m_s, end_s):
            return GROW
        kept = 0
        for slot in range(flow.counts[WAITING]):
            if flow.stores[flow.waiting[slot]].due_s < end_s:
                flow.waiting[kept] = flow.waiting[slot]
                kept += 1
        flow.counts[WAITING] = kept
    return GOES_ON


@kernel
def start(land: Land, flow: Flow, soak_m_s: float, end_s: float) -> None:
    """When the sources are laid: work out when what they run to will be full."""
    for store in range(flow.counts[STORES]):
        look_ahead(land, flow, store, soak_m_s, end_s)


@kernel
def finish(land: Land, flow: Flow, soak_m_s: float, end_s: float) -> None:
    """Work out every store up to the end of the event."""
    for store in range(flow.counts[STORES]):
        if flow.stores[store].joined < 0:
            advance(land, flow, store, soak_m_s, end_s)
            flows_now(land, flow, store, soak_m_s)


@kernel
def open_taker(land: Land, flow: Flow, taker: int, room_m3: float, drain_m3_s: float) -> None:
    """Make the store of a taker; takers come first, so that their numbers are the same."""
    store = new_store(land, flow, TAKER, 0, taker, 0.0)
    flow.stores[store].room_m3 = room_m3
    flow.stores[store].drain_m3_s = drain_m3_s
