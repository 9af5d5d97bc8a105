"""Water levels in tanks that links join.

Tanks that are joined make one vessel, as a tree: the lowest link joins its two tanks first, then the next. Up to a
link's level its two sides are apart; water above it goes to the other side until that stands as high, and from there on
both stand level. So each total has one place to be, however it came in. The lowest rim of a vessel spills for all.
"""

from __future__ import annotations

from gardenwater.balance.records import Records
from gardenwater.work import kernel


@kernel
def between(at: float, given: Records, sought: Records, first: int, last: int) -> float:
    """What a rising table says at a place between its points; it goes on straight past its end, not before its start."""
    if at <= given[first]:
        return sought[first]
    low, high = first, last
    while high - low > 1:
        middle = (low + high) // 2
        if given[middle] <= at:
            low = middle
        else:
            high = middle
    share = (at - given[low]) / (given[high] - given[low])
    return sought[low] + share * (sought[high] - sought[low])


@kernel
def volume_at(works: Records, node: int, level: float) -> float:
    """What a node holds up to a level."""
    record = works.nodes[node]
    return between(level, works.table_level, works.table_m3, record.first, record.last)


@kernel
def level_at(works: Records, node: int, volume: float) -> float:
    """Where the water of a node stands."""
    record = works.nodes[node]
    return between(volume, works.table_m3, works.table_level, record.first, record.last)


@kernel
def held(works: Records, node: int, volume: Records) -> float:
    """What the tanks of a node hold."""
    record = works.nodes[node]
    total = 0.0
    for at in range(record.member, record.member + record.members):
        total += volume[works.members[at]]
    return total


@kernel
def stand(works: Records, node: int, level: float, volume: Records) -> None:
    """Set all tanks of a node to one level."""
    record = works.nodes[node]
    for at in range(record.member, record.member + record.members):
        tank = works.members[at]
        volume[tank] = volume_at(works, tank, level)


@kernel
def side_of(works: Records, node: int, tank: int) -> int:
    """Which of the two sides of a join a tank is on."""
    side = works.nodes[works.nodes[node].a]
    for at in range(side.member, side.member + side.members):
        if works.members[at] == tank:
            return works.nodes[node].a
    return works.nodes[node].b


@kernel
def body_at(works: Records, tank: int, level: float) -> int:
    """The node of all tanks that stand level with a tank when its water stands at a level."""
    node = works.tanks[tank].root
    while works.nodes[node].a >= 0 and works.nodes[node].join_level >= level:
        node = side_of(works, node, tank)
    return node


@kernel
def settle(works: Records, root: int, cut: bool, volume: Records) -> float:
    """Let the water of a vessel find its levels and, if `cut`, cut it off at its lowest rim: what spills there, m3."""
    top = works.nodes[root]
    if top.a < 0:
        over = volume[root] - top.rim_m3
        if cut and over > 0.0:
            volume[root] = top.rim_m3
            return over
        return 0.0
    again = True
    turns = 0
    while again and turns <= top.members:
        again = False
        turns += 1
        for node in range(top.begin, root + 1):
            join = works.nodes[node]
            in_a, in_b = held(works, join.a, volume), held(works, join.b, volume)
            if in_a + in_b >= join.join_a_m3 + join.join_b_m3:
                stand(works, node, level_at(works, node, in_a + in_b), volume)
            elif in_a > join.join_a_m3:
                stand(works, join.a, join.join_level, volume)
                volume[join.end_b] += in_a - join.join_a_m3
                again = again or join.b >= works.tanks.size
            elif in_b > join.join_b_m3:
                stand(works, join.b, join.join_level, volume)
                volume[join.end_a] += in_b - join.join_b_m3
                again = again or join.a >= works.tanks.size
    over = held(works, root, volume) - top.rim_m3
    if cut and over > 0.0:
        stand(works, root, top.rim_level, volume)
        return over
    return 0.0


@kernel
def drawable(works: Records, tank: int, level: float, volume: Records) -> float:
    """What can be drawn at a tank until the water stands at a level there, with what comes to it from the others, m3.

    Volumes have settled. From the root of the vessel down: as long as its two sides stand level, all of it goes down
    together; below the link the tank's own side goes on alone.
    """
    node = works.tanks[tank].root
    total = 0.0
    full = False
    full_level = 0.0
    while works.nodes[node].a >= 0:
        join = works.nodes[node]
        inside = join.join_a_m3 + join.join_b_m3
        now = volume_at(works, node, full_level) if full else held(works, node, volume)
        if now >= inside * (1.0 - 1e-12):
            if level >= join.join_level:
                return total + max(now - volume_at(works, node, level), 0.0)
            total += max(now - inside, 0.0)
            full = True
            full_level = join.join_level
        node = side_of(works, node, tank)
    now = volume_at(works, tank, full_level) if full else volume[tank]
    return total + max(now - volume_at(works, tank, level), 0.0)


@kernel
def flow(works: Records, valve: Records, head: float) -> float:
    """m3/s through a link at a difference of levels."""
    return between(head, works.head_m, works.flow_m3_s, valve.first, valve.last)
