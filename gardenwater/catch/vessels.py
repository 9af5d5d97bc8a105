"""Tanks that fill together: alone, or joined by links to one vessel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from gardenwater.catch.leads import Wiring
from gardenwater.ground import Ground, level_at
from gardenwater.site.model import Site
from gardenwater.site.things import Link, Tank

_SAME_RIM_M = 0.01


def floor_level_m(ground: Ground | None, tank: Tank) -> float:
    """Level of a tank's floor, m: the ground at its middle and its stand; above level ground where none is given."""
    foot_m = 0.0 if ground is None else level_at(ground, tank.shape.x, tank.shape.y)
    return foot_m + tank.stand_height_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """Tanks that fill together.

    rooms: litres that each still takes, up to the lowest overflow of them all. spills_at: the tank with that overflow.
    last: the tanks whose own overflow is as low (within 1 cm): a diverter that stops by itself stops when one of these
    is full; in a higher tank its float never rises so far.
    """

    rooms: Mapping[str, float]
    spills_at: str
    last: frozenset[str]

    @property
    def room_l(self) -> float:
        """Litres that all of them still take."""
        return math.fsum(self.rooms.values())


def vessels_of(site: Site, wires: Wiring, ground: Ground | None) -> tuple[Vessel, ...]:
    """The site's tanks as vessels. A link joins two tanks when it lies below both overflows; it is taken as open."""
    tanks = {tank.id: tank for tank in site.of(Tank)}
    floors = {tank.id: floor_level_m(ground, tank) for tank in tanks.values()}
    rims = {tank.id: floors[tank.id] + tank.overflow_height_m for tank in tanks.values()}
    group = {tank: tank for tank in tanks}
    for link in site.of(Link):
        a, b = wires.tanks_of.get(link.id, ("", ""))
        if a and floors[a] + link.height_m < min(rims[a], rims[b]):
            old, new = group[b], group[a]
            group = {tank: new if of == old else of for tank, of in group.items()}
    found = []
    for first in dict.fromkeys(group.values()):
        members = [tanks[tank] for tank, of in group.items() if of == first]
        found.append(_vessel(members, floors, rims))
    return tuple(found)


def _vessel(members: list[Tank], floors: Mapping[str, float], rims: Mapping[str, float]) -> Vessel:
    lowest = min(members, key=lambda tank: rims[tank.id])
    if len(members) == 1:
        room_l = max(lowest.capacity_l - lowest.water_l, 0.0)
        return Vessel(rooms={lowest.id: room_l}, spills_at=lowest.id, last=frozenset((lowest.id,)))
    rim_m = rims[lowest.id]
    rooms = {tank.id: max(tank.volume_at_m(rim_m - floors[tank.id]) - tank.water_l, 0.0) for tank in members}
    last = frozenset(tank.id for tank in members if rims[tank.id] <= rim_m + _SAME_RIM_M)
    return Vessel(rooms=rooms, spills_at=lowest.id, last=last)
