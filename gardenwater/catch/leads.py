"""What leads to what: the references between things, and the nearest where one is not given."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeVar

from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from gardenwater.site.model import Site
from gardenwater.site.things import (
    Diverter,
    Downpipe,
    FirstFlush,
    Gutter,
    Link,
    Overflow,
    Roof,
    Tank,
    Tap,
    Thing,
    WateringLine,
)
from gardenwater.units import Quantity, text

T = TypeVar("T", bound=Thing)

GUTTER_REACH_M = 0.6
"""How far from the eaves a gutter may be drawn and still catch their water."""

PIPE_TO_ROOF_M = 1.5
GUTTER_TO_PIPE_M = 1.5
ON_PIPE_M = 1.5
FEEDER_M = 10.0
AT_TANK_M = 1.5
TAP_M = 5.0


@dataclass(frozen=True, slots=True)
class Joined:
    """A reference that was left empty and is taken as the nearest: from which thing and field, to which, how far, m."""

    thing: str
    field: str
    to: str
    distance_m: float


@dataclass(frozen=True, slots=True)
class Unjoined:
    """A reference that leads nowhere: nothing of the kind within reach (m), or what it names (`named`) is not there."""

    thing: str
    field: str
    reach_m: float
    named: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """What leads to what, by ids. A thing that leads nowhere is in no mapping and in `unjoined`.

    roof_of: of downpipes and gutters. pipe_of: of gutters, diverters, first-flush devices, and overflow pipes that take
    what runs out at a downpipe's foot. tank_of: of diverters, overflows, taps and watering lines. tanks_of: the two
    tanks of a link. joined: what was taken as the nearest.
    """

    roof_of: Mapping[str, str] = field(default_factory=dict)
    pipe_of: Mapping[str, str] = field(default_factory=dict)
    tank_of: Mapping[str, str] = field(default_factory=dict)
    tanks_of: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    joined: tuple[Joined, ...] = ()
    unjoined: tuple[Unjoined, ...] = ()

    def diverters_on(self, site: Site, pipe: str) -> tuple[Diverter, ...]:
        """The diverters on a downpipe that lead to a tank, highest first."""
        found = [d for d in site.of(Diverter) if self.pipe_of.get(d.id) == pipe and d.id in self.tank_of]
        return tuple(sorted(found, key=lambda diverter: -diverter.height_m))

    def overflow_of(self, site: Site, tank: str) -> Overflow | None:
        """The overflow pipe of a tank, or None."""
        return next((pipe for pipe in site.of(Overflow) if self.tank_of.get(pipe.id) == tank), None)

    def foot_of(self, site: Site, pipe: str) -> Overflow | None:
        """The overflow pipe that takes what runs out at the foot of a downpipe, or None."""
        return next((each for each in site.of(Overflow) if self.pipe_of.get(each.id) == pipe), None)

    def notices(self, site: Site) -> tuple[str, ...]:
        """What was taken for granted and what leads nowhere, one sentence each."""
        units = site.settings.units
        words = [
            f"{_name(site, join.thing)} is taken with {_name(site, join.to)}, the nearest:"
            f" {text(join.distance_m, Quantity.LENGTH_M, units)} away."
            for join in self.joined
        ]
        for lost in self.unjoined:
            if lost.named:
                words.append(f"{_name(site, lost.thing)} names something that is not on the plan.")
            else:
                reach = text(lost.reach_m, Quantity.LENGTH_M, units)
                word = lost.field.split("_", maxsplit=1)[0]
                words.append(f"{_name(site, lost.thing)} has no {word} within {reach}.")
        return tuple(words)


def wiring(site: Site) -> Wiring:
    """What leads to what on a site.

    What a thing names counts, however far. Where it names nothing, the nearest within reach is taken (of equals the
    first on the site): a downpipe's roof and a gutter's downpipe (from its low end) 1.5 m, a gutter's roof 0.6 m from
    the eaves, a diverter's or first-flush device's downpipe 1.5 m, a diverter's tank 10 m, the tank of an overflow,
    watering line or link 1.5 m from its end, a tap's tank 5 m; tanks from their outside.
    """
    wires = _Wires(site)
    roofs, pipes, tanks = site.of(Roof), site.of(Downpipe), site.of(Tank)
    for pipe in pipes:
        wires.join(wires.roof_of, pipe, "roof", roofs, _distance_to(pipe.shape), PIPE_TO_ROOF_M)
    for gutter in site.of(Gutter):
        middle = gutter.shape.interpolate(0.5, normalized=True)
        wires.join(wires.roof_of, gutter, "roof", roofs, _to_eaves(middle), GUTTER_REACH_M)
        wires.join(wires.pipe_of, gutter, "downpipe", pipes, _distance_to(_end(gutter.shape, -1)), GUTTER_TO_PIPE_M)
    for device in (*site.of(Diverter), *site.of(FirstFlush)):
        wires.join(wires.pipe_of, device, "downpipe", pipes, _distance_to(device.shape), ON_PIPE_M)
    for diverter in site.of(Diverter):
        wires.join(wires.tank_of, diverter, "tank", tanks, _to_tank(diverter.shape), FEEDER_M)
    from_feet = [each for each in site.of(Overflow) if each.downpipe and not each.tank]
    for foot in from_feet:
        wires.join(wires.pipe_of, foot, "downpipe", pipes, _distance_to(_end(foot.shape, 0)), ON_PIPE_M)
    lines: list[Overflow | WateringLine] = [
        each for each in site.of(Overflow) if each not in from_feet and not each.from_taker
    ]
    lines += site.of(WateringLine)
    for line in lines:
        wires.join(wires.tank_of, line, "tank", tanks, _to_tank(_end(line.shape, 0)), AT_TANK_M)
    for tap in site.of(Tap):
        wires.join(wires.tank_of, tap, "tank", tanks, _to_tank(tap.shape), TAP_M)
    for link in site.of(Link):
        wires.join_link(link, tanks)
    return wires.wiring()


class _Wires:
    """The references as they are found."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self.roof_of: dict[str, str] = {}
        self.pipe_of: dict[str, str] = {}
        self.tank_of: dict[str, str] = {}
        self.tanks_of: dict[str, tuple[str, str]] = {}
        self.joined: list[Joined] = []
        self.unjoined: list[Unjoined] = []

    def join(
        self,
        into: dict[str, str],
        thing: Thing,
        field: str,
        others: Sequence[T],
        distance: Callable[[T], float],
        reach_m: float,
    ) -> None:
        """Find what `thing.field` leads to, and write it into a mapping."""
        found = self._found(thing, field, others, distance, reach_m)
        if found is not None:
            into[thing.id] = found

    def join_link(self, link: Link, tanks: Sequence[Tank]) -> None:
        """A link joins two tanks, one at each end."""
        a = self._found(link, "tank_a", tanks, _to_tank(_end(link.shape, 0)), AT_TANK_M)
        others = [tank for tank in tanks if tank.id != a]
        b = self._found(link, "tank_b", others, _to_tank(_end(link.shape, -1)), AT_TANK_M)
        if a is not None and b is not None:
            self.tanks_of[link.id] = (a, b)

    def _found(
        self, thing: Thing, field: str, others: Sequence[T], distance: Callable[[T], float], reach_m: float
    ) -> str | None:
        named: str = getattr(thing, field)
        if named:
            if any(other.id == named for other in others):
                return named
            self.unjoined.append(Unjoined(thing.id, field, reach_m, named))
            return None
        near = min(((distance(other), other.id) for other in others), key=lambda pair: pair[0], default=None)
        if near is None or near[0] > reach_m:
            self.unjoined.append(Unjoined(thing.id, field, reach_m))
            return None
        self.joined.append(Joined(thing.id, field, near[1], near[0]))
        return near[1]

    def wiring(self) -> Wiring:
        """What was found, as a value."""
        return Wiring(
            roof_of=MappingProxyType(self.roof_of),
            pipe_of=MappingProxyType(self.pipe_of),
            tank_of=MappingProxyType(self.tank_of),
            tanks_of=MappingProxyType(self.tanks_of),
            joined=tuple(self.joined),
            unjoined=tuple(self.unjoined),
        )


def _end(line: LineString, index: int) -> Point:
    return Point(line.coords[index])


def _distance_to(place: BaseGeometry) -> Callable[[Thing], float]:
    return lambda thing: thing.shape.distance(place)


def _to_tank(place: Point) -> Callable[[Tank], float]:
    return lambda tank: tank.footprint.distance(place)


def _to_eaves(place: Point) -> Callable[[Roof], float]:
    return lambda roof: roof.shape.boundary.distance(place)


def _name(site: Site, thing_id: str) -> str:
    thing = site.get(thing_id)
    return (thing.name or f"A {thing.word.lower()} without a name") if thing is not None else thing_id
