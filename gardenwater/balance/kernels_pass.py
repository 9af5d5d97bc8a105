"""Water that passes between tanks and back into pipes: what stopped diverters turn back, overflows, thin links, floats.

These come into play on some days or in some gardens only; the days themselves are in `kernels_days`.
"""

from __future__ import annotations

from gardenwater.balance.kernels_level import between, body_at, drawable, held, level_at, settle, volume_at
from gardenwater.balance.records import Records
from gardenwater.work import kernel_part

_DAY_S = 86_400.0
STEPS = 48
"""Steps of half a day in which thin links run: a quarter of an hour each."""
_LEAST_M3 = 1e-12


@kernel_part
def turn_back(
    nodes: Records,
    tanks: Records,
    feeds: Records,
    offered: Records,
    over: Records,
    inflow: Records,
    levelled: Records,
    foot: Records,
    came: Records,
    back: Records,
) -> bool:
    """Take back what diverters led that stop when their vessel is full, and offer it to those below them.

    A vessel and its diverters fill evenly over the rain, so what runs over is of each in proportion to what it led.
    over: what ran over each tank's rim; what is taken back goes off it. offered: what each led; what each is led anew
    after. foot: what goes on to the foot of each pipe is added. came, back: scratch. Returns whether any is led anew.
    """
    for node in range(nodes.size):
        came[node] = 0.0
    for at in range(feeds.size):
        came[tanks[feeds[at].tank].root] += offered[at]
    for at in range(feeds.size):
        root = tanks[feeds[at].tank].root
        over_m3 = over[nodes[root].rim_tank]
        back[at] = 0.0
        if feeds[at].stops == 1 and offered[at] > 0.0 and over_m3 > _LEAST_M3:
            back[at] = min(over_m3 * offered[at] / came[root], offered[at])
    for at in range(feeds.size):
        offered[at] = 0.0
    some = False
    for at in range(feeds.size):
        left = back[at]
        if left <= 0.0:
            continue
        tank = feeds[at].tank
        rim_tank = nodes[tanks[tank].root].rim_tank
        inflow[tank] -= left
        levelled[tank] += left
        levelled[rim_tank] -= left
        over[rim_tank] = max(over[rim_tank] - left, 0.0)
        for below in range(at + 1, feeds[at].last + 1):
            taken = left * feeds[below].share_after
            offered[below] += taken
            left -= taken
            some = some or taken > 0.0
        foot[feeds[at].pipe] += left
    return some


@kernel_part
def find_place(
    nodes: Records,
    tanks: Records,
    members: Records,
    levels: Records,
    volumes: Records,
    tank: int,
    volume: Records,
    levelled: Records,
    over: Records,
) -> None:
    """Settle the vessel of one tank, and cut it off at its rim."""
    root = tanks[tank].root
    if root != tank:
        settle(nodes, members, levels, volumes, root, True, volume, levelled, over)
    elif volume[tank] > nodes[tank].rim_m3:
        over[tank] += volume[tank] - nodes[tank].rim_m3
        volume[tank] = nodes[tank].rim_m3


@kernel_part
def carry(
    nodes: Records,
    tanks: Records,
    members: Records,
    levels: Records,
    volumes: Records,
    carries: Records,
    volume: Records,
    levelled: Records,
    carried: Records,
    spill: Records,
    link: Records,
) -> None:
    """Overflows that run into another tank, from the top down."""
    for at in range(carries.size):
        tank = carries[at]
        over = spill[tank]
        if over <= 0.0:
            continue
        to = tanks[tank].carry_to
        volume[to] += over
        carried[to] += over
        if tanks[tank].carry_link >= 0:
            spill[tank] = 0.0
            carried[tank] -= over
            link[tanks[tank].carry_link] += over * tanks[tank].carry_way
        find_place(nodes, tanks, members, levels, volumes, to, volume, levelled, spill)


@kernel_part
def run_thin(
    nodes: Records,
    tanks: Records,
    members: Records,
    levels: Records,
    volumes: Records,
    thin: Records,
    heads: Records,
    flows: Records,
    volume: Records,
    levelled: Records,
    carried: Records,
    spill: Records,
    link: Records,
) -> None:
    """Thin links over half a day, in quarters of an hour; never past the level of the other side."""
    for _ in range(STEPS):
        for at in range(thin.size):
            valve = thin[at]
            level_a = level_at(nodes, levels, volumes, valve.a, volume[valve.a])
            level_b = level_at(nodes, levels, volumes, valve.b, volume[valve.b])
            high, low = max(level_a, level_b), max(min(level_a, level_b), valve.level)
            head = high - low
            if head <= 1e-9:
                continue
            giver, taker = valve.a, valve.b
            if level_b > level_a:
                giver, taker = valve.b, valve.a
            gives = volume[giver] - volume_at(nodes, levels, volumes, giver, high - head / 2.0)
            takes = volume_at(nodes, levels, volumes, taker, low + head / 2.0) - volume[taker]
            passes = between(head, heads, flows, valve.first, valve.last) * _DAY_S / (2 * STEPS)
            moved = max(min(passes, gives, takes), 0.0)
            volume[giver] -= moved
            volume[taker] += moved
            carried[giver] -= moved
            carried[taker] += moved
            link[valve.link] += moved if giver == valve.a else -moved
            find_place(nodes, tanks, members, levels, volumes, giver, volume, levelled, spill)
            find_place(nodes, tanks, members, levels, volumes, taker, volume, levelled, spill)


@kernel_part
def run_floats(
    nodes: Records,
    tanks: Records,
    members: Records,
    levels: Records,
    volumes: Records,
    floats: Records,
    heads: Records,
    flows: Records,
    volume: Records,
    levelled: Records,
    carried: Records,
    spill: Records,
    link: Records,
) -> None:
    """Float valves: the second tank fills from the first as far as its float, as long as the first stands higher.

    What flows is driven by the water over the float.
    """
    for at in range(floats.size):
        valve = floats[at]
        find_place(nodes, tanks, members, levels, volumes, valve.a, volume, levelled, spill)
        find_place(nodes, tanks, members, levels, volumes, valve.b, volume, levelled, spill)
        body = body_at(nodes, members, tanks[valve.b].root, valve.b, valve.float_level)
        room = volume_at(nodes, levels, volumes, body, valve.float_level) - held(nodes, members, body, volume)
        stop = max(valve.level, valve.float_level)
        level = level_at(nodes, levels, volumes, valve.a, volume[valve.a])
        if room <= _LEAST_M3 or level <= stop:
            continue
        moved = min(room, drawable(nodes, members, levels, volumes, tanks[valve.a].root, valve.a, stop, volume))
        if valve.last > valve.first:
            passes = between(level - valve.float_level, heads, flows, valve.first, valve.last)
            moved = min(moved, passes * _DAY_S)
        volume[valve.a] -= moved
        volume[valve.b] += moved
        carried[valve.a] -= moved
        carried[valve.b] += moved
        link[valve.link] += moved
        find_place(nodes, tanks, members, levels, volumes, valve.a, volume, levelled, spill)
        find_place(nodes, tanks, members, levels, volumes, valve.b, volume, levelled, spill)
