"""What goes along when things are moved or turned.

- With a roof: its gutters and downpipes. With a downpipe: its diverters and first-flush devices, and the end of a
  gutter that leads to it.
- With a tank: taps at its side, and the ends that touch it of its links, watering lines and overflow.
- With a taker: the mouth of an overflow that ends in it.
- With a building: doors in its walls.

A line whose two ends both go along goes along whole. What is locked stays. A roof and the building under it are moved
apart unless both are chosen, since either may be put right alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from shapely import Point
from shapely.geometry.base import BaseGeometry

from gardenwater.site.model import Site
from gardenwater.site.things import (
    Building,
    Ditch,
    Diverter,
    Door,
    Downpipe,
    FirstFlush,
    Gutter,
    Link,
    Overflow,
    Swale,
    Tank,
    Tap,
    Thing,
    WateringLine,
)

_TOUCH_M = 0.5
"""How near counts as touching: pipes are drawn to the side of a tank as often as to its middle."""


@dataclass(frozen=True, slots=True)
class Following:
    """Ids of things that go along whole, and of lines of which one end does (0: the first point, -1: the last)."""

    whole: frozenset[str]
    ends: dict[str, int]


def _ground_of(thing: Thing) -> BaseGeometry:
    """The ground that a thing covers on the plan, m."""
    if isinstance(thing, Tank):
        return thing.footprint
    return thing.shape.buffer(thing.width_m / 2) if isinstance(thing, Swale | Ditch) else thing.shape


def _touches(site: Site, spot: Point, anchor_id: str) -> bool:
    anchor = site.get(anchor_id)
    return anchor is not None and spot.distance(_ground_of(anchor)) <= _TOUCH_M


def _hung(site: Site, moved: set[str], kinds: Iterable[type[Thing]], field: str) -> set[str]:
    """Things of these kinds, not locked, whose `field` refers to something that moves."""
    return {
        thing.id for kind in kinds for thing in site.of(kind) if getattr(thing, field) in moved and not thing.locked
    }


def _fitted(site: Site, moved: set[str]) -> set[str]:
    """Taps at the side of tanks, and doors in the walls of buildings, that move."""
    taps = {tap.id for tap in site.of(Tap) if tap.tank in moved and _touches(site, tap.shape, tap.tank)}
    walls = [building.shape.exterior for building in site.of(Building) if building.id in moved]
    doors = {door.id for door in site.of(Door) if any(door.shape.distance(wall) <= _TOUCH_M for wall in walls)}
    return {thing_id for thing_id in taps | doors if not site.thing(thing_id, Thing).locked}


def _anchors(line: Any) -> tuple[str, ...]:
    """Ids of the things that the ends of a line hang on."""
    match line:
        case Link():
            return line.tank_a, line.tank_b
        case Overflow():
            return line.tank or line.downpipe, line.taker
        case WateringLine():
            return (line.tank,)
        case Gutter():
            return (line.downpipe,)
    return ()


def _ends(site: Site, line: Thing, moved: set[str]) -> set[int]:
    """Which ends of a line touch something that moves."""
    first, last = Point(line.shape.coords[0]), Point(line.shape.coords[-1])
    found: set[int] = set()
    for anchor_id in _anchors(line):
        anchor = site.get(anchor_id) if anchor_id in moved else None
        if anchor is not None:
            ground = _ground_of(anchor)
            near, end = min((first.distance(ground), 0), (last.distance(ground), -1))
            found |= {end} if near <= _TOUCH_M else set()
    return found


def following(site: Site, ids: Iterable[str]) -> Following:
    """What goes along when the things with these ids are moved; they themselves are in `whole`."""
    whole = set(ids)
    whole |= _hung(site, whole, (Gutter, Downpipe), "roof")
    whole |= _hung(site, whole, (Diverter, FirstFlush), "downpipe")
    whole |= _fitted(site, whole)
    ends: dict[str, int] = {}
    both: set[str] = set()
    for kind in (Link, Overflow, WateringLine, Gutter):
        for line in site.of(kind):
            if line.id in whole or line.locked:
                continue
            touched = _ends(site, line, whole)
            if len(touched) == 2:
                both.add(line.id)
            elif touched:
                ends[line.id] = touched.pop()
    return Following(frozenset(whole | both), ends)
