"""The declared inputs of each stage, as values that can be hashed: equal inputs, equal key, nothing worked out again.

Names, notes and locks are inputs of nothing. A ground counts by its content.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Hashable

from gardenwater.assess.event import event_of
from gardenwater.ground.grid import extent_of
from gardenwater.site.model import Site
from gardenwater.site.things import (
    Diverter,
    Downpipe,
    FirstFlush,
    Gutter,
    LevelPeg,
    Link,
    Overflow,
    Roof,
    SlopeArrow,
    Tank,
    Tap,
    Thing,
    WateringLine,
)

_PIPES = (Roof, Gutter, Downpipe, Diverter, FirstFlush)
_WIRED = (*_PIPES, Tank, Tap, Link, WateringLine, Overflow)
_MOST_KNOWN = 20_000


class Hashed:
    """A value with its hash worked out once: keys of hundreds of things are looked up at each move of the pointer."""

    __slots__ = ("_hash", "value")

    def __init__(self, value: Hashable) -> None:
        self.value = value
        self._hash = hash(value)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        if self is other:
            return True
        return isinstance(other, Hashed) and self._hash == other._hash and self.value == other.value

    def __repr__(self) -> str:
        return f"Hashed({self.value!r})"


class Inputs:
    """Inputs of sites that share most of their things: each thing is stripped and hashed once in its life."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[Thing, Hashed]] = {}

    def thing(self, thing: Thing) -> Hashed:
        """A thing without what no engine reads."""
        known = self._known.get(id(thing))
        if known is not None and known[0] is thing:
            return known[1]
        bare = Hashed(dataclasses.replace(thing, name="", note="", locked=False))
        if len(self._known) > _MOST_KNOWN:
            self._known.clear()
        self._known[id(thing)] = (thing, bare)
        return bare

    def of(self, site: Site, *kinds: type[Thing]) -> Hashable:
        """All things of these kinds, kind by kind."""
        return tuple(self.thing(thing) for kind in kinds for thing in site.of(kind))

    def all_of(self, site: Site) -> Hashable:
        """All things of a site."""
        return tuple(self.thing(thing) for thing in site)

    def ground(self, site: Site) -> Hashable:
        """What the ground of a site is made of; its notices are in people's units, so these count."""
        settings = site.settings
        common = (site.crs, settings.units, settings.ground_error_m)
        if site.ground is not None:
            return (*common, site.ground)
        return (
            *common,
            self.of(site, LevelPeg, SlopeArrow),
            site.survey,
            settings.levelling_error_m,
            settings.cell_m,
            settings.flat_level_m,
            extent_of(site),
        )

    def weather(self, site: Site) -> Hashable:
        """The days that a site is run on, by their content."""
        record = None if site.weather is None else site.weather.digest
        return (record, site.monthly, site.change, site.settings.latitude_deg, site.settings.altitude_m)

    def wiring(self, site: Site) -> Hashable:
        """What leads to what: all that water runs through."""
        return self.of(site, *_WIRED)

    def roofs(self, site: Site) -> Hashable:
        """Whose water a roof's parts are: roofs, gutters, downpipes; a tank that is dragged changes none of them."""
        return self.of(site, Roof, Gutter, Downpipe)

    def catch(self, site: Site) -> Hashable:
        """Litres: the wiring and the rain."""
        settings = site.settings
        rain = (settings.rain_year_mm, settings.wet_day_mm, settings.wet_day_h, settings.tanks_full, event_of(site))
        return (self.wiring(site), *rain, settings.units)
