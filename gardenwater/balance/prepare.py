"""From a system to the arrays of the kernels: which tanks are one vessel, what runs over into what, which links lag."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from gardenwater.balance.model import Feed, Floats, Pipe, Store, System, straight_on
from gardenwater.balance.records import FEED, NODE, PLOT, TANK, VALVE, Records, Wants, Works
from gardenwater.site.storing import BedOrder, TankOrder, YieldRule

AT_ONCE_H = 2.0
"""A link whose tanks are level within so long, from their greatest difference, is taken to level at once."""
_SAME_RIM_M = 0.01
_LEVEL_M = 0.01
_SAME_LEVEL_M = 1e-9
_TANK_ORDERS = (TankOrder.LOWEST, TankOrder.FULLEST, TankOrder.LISTED)
_BED_ORDERS = (BedOrder.DRIEST, BedOrder.LISTED, BedOrder.SMALLEST)


@dataclass(slots=True)
class _Node:
    """A tank or a join of two nodes, while the tree grows; see `records.NODE`."""

    members: list[int]
    level: Floats
    volume: Floats
    rim_level: float
    rim_tank: int
    a: int = -1
    b: int = -1
    end_a: int = -1
    end_b: int = -1
    join_level: float = -math.inf
    begin: int = -1

    def holds(self, level_m: float) -> float:
        """What it holds up to a level."""
        return float(straight_on(level_m, self.level, self.volume))


@dataclass(slots=True)
class _Joining:
    """How the links of a system act: what is one vessel, what runs over, what lags."""

    rims: list[float]
    carry_to: list[int]
    carry_link: list[int]
    joins: list[tuple[float, int, int]] = field(default_factory=list)
    thin: list[int] = field(default_factory=list)
    floats: list[int] = field(default_factory=list)


def levels_in_h(link: Pipe, first: Store, second: Store) -> float:
    """Hours in which a link brings its tanks from their greatest difference to within 1 cm; 0 for a link at once."""
    if link.head_m is None or link.flow_m3_s is None:
        return 0.0
    top = max(first.rim_level_m, second.rim_level_m) - max(link.level_m, min(first.floor_level_m, second.floor_level_m))
    widths = [tank.capacity_m3 / tank.rim_height_m for tank in (first, second)]
    width_m2 = widths[0] * widths[1] / sum(widths)
    heads = np.geomspace(_LEVEL_M, max(top, 2 * _LEVEL_M), 64)
    flows = np.interp(heads, link.head_m, link.flow_m3_s)
    if not (flows > 0).all():
        return math.inf
    return float(np.trapezoid(width_m2 / flows, heads)) / 3600.0


def joined(system: System, shut: frozenset[str] = frozenset()) -> dict[str, str]:
    """How each link acts: "level" (at once), "thin", "float", "over" (runs over into the lower tank), or "dry"."""
    found = _joining(system, shut)
    acts = dict.fromkeys((link.id for link in system.links), "dry")
    acts |= {system.links[at].id: "thin" for at in found.thin}
    acts |= {system.links[at].id: "float" for at in found.floats}
    acts |= {system.links[at].id: "level" for _, at, _ in found.joins}
    acts |= {system.links[at].id: "over" for at in found.carry_link if at >= 0}
    return acts


def _joining(system: System, shut: frozenset[str]) -> _Joining:
    place = {tank.id: at for at, tank in enumerate(system.tanks)}
    rims = [tank.rim_level_m for tank in system.tanks]
    found = _Joining(rims, [-1] * len(rims), [-1] * len(rims))
    for at, tank in enumerate(system.tanks):
        below = place.get(tank.overflow_to, -1)
        if below >= 0 and not {tank.id, tank.overflow_to} & shut and rims[below] < rims[at]:
            found.carry_to[at] = below
    open_links = [
        (link.level_m, at)
        for at, link in enumerate(system.links)
        if link.first != link.second and not {link.first, link.second} & shut
    ]
    for level, at in sorted(open_links):
        link = system.links[at]
        a, b = place[link.first], place[link.second]
        if link.float_level_m is not None:
            found.floats.append(at)
        elif level < min(rims[a], rims[b]):
            lags = levels_in_h(link, system.tanks[a], system.tanks[b]) > AT_ONCE_H
            found.thin.append(at) if lags else found.joins.append((level, at, 0))
        elif level < max(rims[a], rims[b]):
            giver, taker = (a, b) if rims[a] > rims[b] else (b, a)
            rims[giver], found.carry_to[giver], found.carry_link[giver] = level, taker, at
    return found


def works_of(system: System, shut: frozenset[str] = frozenset()) -> Works:
    """The tanks and what joins them. shut: tanks that stand empty for the winter: nothing is joined to them."""
    place = {tank.id: at for at, tank in enumerate(system.tanks)}
    joining = _joining(system, shut)
    nodes = [_leaf(tank, at, joining.rims[at]) for at, tank in enumerate(system.tanks)]
    roots = _joined_nodes(system, place, joining, nodes)
    nodes = _in_order(nodes, roots, len(system.tanks))
    records, members, level, volume = _packed(nodes)
    of_tank = _roots_of(nodes, len(system.tanks))
    carries = [at for at in np.argsort([-rim for rim in joining.rims], kind="stable") if joining.carry_to[at] >= 0]
    thin, heads, flows = _valves(system, place, joining.thin, [], [])
    floats, heads, flows = _valves(system, place, joining.floats, heads, flows)
    return Works(
        nodes=records,
        tanks=_tanks(system, shut, joining, of_tank),
        members=members,
        table_level=level,
        table_m3=volume,
        feeds=_feeds(system, place, shut, joining, of_tank, nodes),
        carries=np.array(carries, dtype=np.int64),
        thin=thin,
        floats=floats,
        head_m=np.array(heads, dtype=np.float64),
        flow_m3_s=np.array(flows, dtype=np.float64),
    )


def _leaf(tank: Store, at: int, rim_level: float) -> _Node:
    return _Node([at], tank.shape.height_m + tank.floor_level_m, tank.shape.volume_m3, rim_level, at)


def _joined_nodes(system: System, place: dict[str, int], joining: _Joining, nodes: list[_Node]) -> list[int]:
    """Join nodes by links, the lowest first; a link within one vessel joins nothing more. The roots, in order."""
    top = list(range(len(system.tanks)))
    for level, at, _ in sorted(joining.joins):
        ends = place[system.links[at].first], place[system.links[at].second]
        a, b = (next(node for node in dict.fromkeys(top) if end in nodes[node].members) for end in ends)
        if a != b:
            nodes.append(_join(nodes, a, b, ends, level))
            top = [len(nodes) - 1 if node in (a, b) else node for node in top]
    return list(dict.fromkeys(top))


def _join(nodes: Sequence[_Node], a: int, b: int, ends: tuple[int, int], level: float) -> _Node:
    one, other = nodes[a], nodes[b]
    levels = np.unique(np.concatenate([one.level, other.level]))
    levels = levels[np.concatenate(([True], np.diff(levels) > _SAME_LEVEL_M))]
    lower = one if one.rim_level <= other.rim_level else other
    return _Node(
        members=[*one.members, *other.members],
        level=levels,
        volume=straight_on(levels, one.level, one.volume) + straight_on(levels, other.level, other.volume),
        rim_level=lower.rim_level,
        rim_tank=lower.rim_tank,
        a=a,
        b=b,
        end_a=ends[0],
        end_b=ends[1],
        join_level=level,
    )


def _in_order(nodes: list[_Node], roots: list[int], tanks: int) -> list[_Node]:
    """Tanks first, then the joins of one vessel after another, each after what it joins."""
    order = list(range(tanks))
    for root in roots:
        inner = [at for at in range(tanks, len(nodes)) if set(nodes[at].members) <= set(nodes[root].members)]
        for at in inner:
            nodes[at].begin = len(order)
        order.extend(inner)
    new = {old: at for at, old in enumerate(order)}
    for node in nodes[tanks:]:
        node.a, node.b = new[node.a], new[node.b]
    return [nodes[at] for at in order]


def _packed(nodes: Sequence[_Node]) -> tuple[Records, np.ndarray[tuple[int], np.dtype[np.int64]], Floats, Floats]:
    records = np.zeros(len(nodes), NODE)
    members: list[int] = []
    points = 0
    for at, node in enumerate(nodes):
        record = records[at]
        for name in ("a", "b", "end_a", "end_b", "begin", "join_level", "rim_level", "rim_tank"):
            record[name] = getattr(node, name)
        record["rim_m3"] = node.holds(node.rim_level)
        if node.a >= 0:
            record["join_a_m3"] = nodes[node.a].holds(node.join_level)
            record["join_b_m3"] = nodes[node.b].holds(node.join_level)
        record["first"], record["last"] = points, points + node.level.size - 1
        record["member"], record["members"] = len(members), len(node.members)
        points += node.level.size
        members.extend(node.members)
    empty = np.zeros(0)
    level = np.concatenate([empty, *(node.level for node in nodes)])
    volume = np.concatenate([empty, *(node.volume for node in nodes)])
    return records, np.array(members, dtype=np.int64), level, volume


def _roots_of(nodes: Sequence[_Node], tanks: int) -> list[int]:
    """The node that each tank spills with: the largest that it is in."""
    return [
        max(range(len(nodes)), key=lambda at: (tank in nodes[at].members, len(nodes[at].members)))
        for tank in range(tanks)
    ]


def _tanks(system: System, shut: frozenset[str], joining: _Joining, roots: Sequence[int]) -> Records:
    records = np.zeros(len(system.tanks), TANK)
    for at, tank in enumerate(system.tanks):
        can_m = max(tank.outlet_height_m, tank.can_height_m or 0.0)
        record = records[at]
        record["root"] = roots[at]
        record["carry_to"], record["carry_link"] = joining.carry_to[at], joining.carry_link[at]
        over = joining.carry_link[at]
        record["carry_way"] = -1 if over >= 0 and system.links[over].second == tank.id else 1
        record["dead_m3"] = tank.dead_m3
        record["can_level"], record["can_m3"] = tank.floor_level_m + can_m, tank.shape.volume_at(can_m)
        record["open_m2"], record["leak_m3"] = tank.open_m2, tank.leak_m3
        record["drained"] = tank.id in shut
    return records


def _feeds(
    system: System,
    place: dict[str, int],
    shut: frozenset[str],
    joining: _Joining,
    roots: Sequence[int],
    nodes: Sequence[_Node],
) -> Records:
    rows: list[tuple[int, int, int, bool, float, float]] = []
    for pipe, gather in enumerate(system.gathers):
        last = len(rows) + len(gather.feeds) - 1
        above_shut = False
        for feed in gather.feeds:
            tank = place[feed.tank]
            # A float in a tank that is never so full does not shut; see catch.vessels.
            stops = feed.stops and joining.carry_link[tank] < 0
            stops = stops and joining.rims[tank] <= nodes[roots[tank]].rim_level + _SAME_RIM_M
            closed = feed.tank in shut
            rows.append((tank, pipe, last, stops, *_shares(feed, closed=closed, above_shut=above_shut)))
            above_shut = closed
    return np.array(rows, dtype=FEED)


def _shares(feed: Feed, *, closed: bool, above_shut: bool) -> tuple[float, float]:
    if closed:
        return 0.0, 0.0
    return (feed.share_after if above_shut else feed.share), feed.share_after


def _valves(
    system: System, place: dict[str, int], which: Sequence[int], heads: list[float], flows: list[float]
) -> tuple[Records, list[float], list[float]]:
    """Links that lag or have a float; their tables are added to those that are there."""
    records = np.zeros(len(which), VALVE)
    heads, flows = list(heads), list(flows)
    for row, at in enumerate(which):
        link, record = system.links[at], records[row]
        record["link"], record["level"] = at, link.level_m
        record["a"], record["b"] = place[link.first], place[link.second]
        record["float_level"] = math.nan if link.float_level_m is None else link.float_level_m
        record["first"], record["last"] = 0, -1
        if link.head_m is not None and link.flow_m3_s is not None:
            record["first"], record["last"] = len(heads), len(heads) + link.head_m.size - 1
            heads.extend(link.head_m.tolist())
            flows.extend(link.flow_m3_s.tolist())
    return records, heads, flows


def wants_of(system: System) -> Wants:
    """The beds and the rules of serving them."""
    rules = system.rules
    plots = np.zeros(len(system.beds), PLOT)
    zone = 0
    for at, bed in enumerate(system.beds):
        plots[at] = (bed.area_m2, zone if bed.days is not None else -1, bed.by_can)
        zone += bed.days is not None
    shape = (len(system.beds), len(system.tanks))
    outlets = np.array([tank.floor_level_m + tank.outlet_height_m for tank in system.tanks])
    needed = np.array([bed.needed_level_m for bed in system.beds]).reshape(shape)
    least_level = np.where(np.isnan(needed), np.nan, np.maximum(needed, outlets))
    least_m3 = np.full(shape, np.nan)
    for at, tank in enumerate(system.tanks):
        least_m3[:, at] = tank.shape.volumes_at(least_level[:, at] - tank.floor_level_m)
    minutes = [np.zeros(shape[1]) if bed.minutes_per_l is None else bed.minutes_per_l for bed in system.beds]
    order = np.arange(shape[1])
    if rules.tank_order is TankOrder.LOWEST:
        order = np.argsort([tank.rim_level_m for tank in system.tanks], kind="stable")
    numbers = (_TANK_ORDERS.index(rules.tank_order), _BED_ORDERS.index(rules.bed_order))
    return Wants(
        plots=plots,
        least_level=least_level,
        least_m3=least_m3,
        minutes_l=np.nan_to_num(np.array(minutes).reshape(shape)),
        tank_order=np.asarray(order, dtype=np.int64),
        orders=np.array([*numbers, rules.yield_rule is YieldRule.BEFORE_SPILL], dtype=np.int64),
        cans_m3=rules.cans_a_day * rules.can_l / 1000.0,
        minutes_can_m3=rules.minutes_a_can / (rules.can_l / 1000.0),
    )
