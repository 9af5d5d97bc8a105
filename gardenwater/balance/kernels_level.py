"""Water levels in tanks that links join.

Tanks that are joined make one vessel, as a tree: the lowest link joins its two tanks first, then the next. Up to a
link's level its two sides are apart; water above it goes to the other side until that stands as high, and from there on
both stand level. So each total has one place to be, however it came in. The lowest rim of a vessel spills for all.

All functions take the tree as four arrays (`records.Works`): nodes, members, and the tables of level and volume.
"""

from __future__ import annotations

from gardenwater.balance.records import Number, Records
from gardenwater.work import kernel_inline_part, kernel_part


@kernel_inline_part
def between(at: float, given: Records, sought: Records, first: int, last: int) -> Number:
    """What a rising table says at a place: straight on past its last point, and its first value before its first."""
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


@kernel_inline_part
def volume_at(nodes: Records, levels: Records, volumes: Records, node: int, level: float) -> Number:
    """What a node holds up to a level, m3."""
    return between(level, levels, volumes, nodes[node].first, nodes[node].last)


@kernel_inline_part
def level_at(nodes: Records, levels: Records, volumes: Records, node: int, volume: float) -> Number:
    """Where the water of a node stands, m."""
    return between(volume, volumes, levels, nodes[node].first, nodes[node].last)


@kernel_inline_part
def held(nodes: Records, members: Records, node: int, volume: Records) -> Number:
    """What the tanks of a node hold, m3."""
    total = 0.0
    for at in range(nodes[node].member, nodes[node].member + nodes[node].members):
        total += volume[members[at]]
    return total


@kernel_inline_part
def stand(
    nodes: Records, members: Records, levels: Records, volumes: Records, node: int, level: float, volume: Records
) -> None:
    """Set all tanks of a node to one level."""
    for at in range(nodes[node].member, nodes[node].member + nodes[node].members):
        tank = members[at]
        volume[tank] = volume_at(nodes, levels, volumes, tank, level)


@kernel_part
def side_of(nodes: Records, members: Records, node: int, tank: int) -> Number:
    """Which of the two sides of a join a tank is on."""
    side = nodes[nodes[node].a]
    for at in range(side.member, side.member + side.members):
        if members[at] == tank:
            return nodes[node].a
    return nodes[node].b


@kernel_inline_part
def find_levels(
    nodes: Records, members: Records, levels: Records, volumes: Records, root: int, volume: Records
) -> None:
    """Let the water of a vessel find its levels, join by join, until none passes any more."""
    again = True
    turns = 0
    while again and turns <= nodes[root].members:
        again = False
        turns += 1
        for node in range(nodes[root].begin, root + 1):
            join = nodes[node]
            in_a, in_b = held(nodes, members, join.a, volume), held(nodes, members, join.b, volume)
            if in_a + in_b >= join.join_a_m3 + join.join_b_m3:
                level = level_at(nodes, levels, volumes, node, in_a + in_b)
                stand(nodes, members, levels, volumes, node, level, volume)
                continue
            giver, taker, end, over = join.a, join.b, join.end_b, in_a - join.join_a_m3
            if over <= 0.0:
                giver, taker, end, over = join.b, join.a, join.end_a, in_b - join.join_b_m3
            if over > 0.0:
                stand(nodes, members, levels, volumes, giver, join.join_level, volume)
                volume[end] += over
                again = again or nodes[taker].a >= 0


@kernel_part
def settle(
    nodes: Records,
    members: Records,
    levels: Records,
    volumes: Records,
    root: int,
    cut: bool,
    volume: Records,
    levelled: Records,
    over: Records,
) -> None:
    """Settle a vessel and, if `cut`, cut it off at its lowest rim. levelled, over: (tanks,), are added to.

    levelled: what each tank gets from the others; over: what runs over the lowest rim.
    """
    top = nodes[root]
    for at in range(top.member, top.member + top.members):
        levelled[members[at]] -= volume[members[at]]
    spilled = held(nodes, members, root, volume) - top.rim_m3 if cut else 0.0
    if spilled > 0.0:  # full, wherever it came in
        stand(nodes, members, levels, volumes, root, top.rim_level, volume)
        over[top.rim_tank] += spilled
        levelled[top.rim_tank] += spilled
    else:
        find_levels(nodes, members, levels, volumes, root, volume)
    for at in range(top.member, top.member + top.members):
        levelled[members[at]] += volume[members[at]]


@kernel_part
def body_at(nodes: Records, members: Records, root: int, tank: int, level: float) -> Number:
    """The node of all tanks that stand level with a tank when its water stands at a level."""
    node = root
    while nodes[node].a >= 0 and nodes[node].join_level >= level:
        node = side_of(nodes, members, node, tank)
    return node


@kernel_part
def drawable(
    nodes: Records,
    members: Records,
    levels: Records,
    volumes: Records,
    root: int,
    tank: int,
    level: float,
    volume: Records,
) -> Number:
    """What can be drawn at a tank until the water stands at a level there, with what comes to it from the others, m3.

    Volumes have settled. From the root of the vessel down: as long as its two sides stand level, all of it goes down
    together; below the link the tank's own side goes on alone, from the link's level.
    """
    node = root
    total = 0.0
    full, full_level = False, 0.0
    while nodes[node].a >= 0:
        join = nodes[node]
        inside = join.join_a_m3 + join.join_b_m3
        now = volume_at(nodes, levels, volumes, node, full_level) if full else held(nodes, members, node, volume)
        if now >= inside * (1.0 - 1e-12):
            if level >= join.join_level:
                return total + max(now - volume_at(nodes, levels, volumes, node, level), 0.0)
            total += max(now - inside, 0.0)
            full, full_level = True, join.join_level
        node = side_of(nodes, members, node, tank)
    now = volume_at(nodes, levels, volumes, tank, full_level) if full else volume[tank]
    return total + max(now - volume_at(nodes, levels, volumes, tank, level), 0.0)
