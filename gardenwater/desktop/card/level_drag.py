"""A level dragged in the side view: which thing and field it is, and the site while it is dragged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gardenwater.assess.answers import TankChain
from gardenwater.errors import EditError
from gardenwater.site import edits
from gardenwater.site.fields import specs
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Diverter, Roof, Tank, Thing

_OF_TANK = {
    "inlet": "inlet_height_m",
    "overflow": "overflow_height_m",
    "outlet": "outlet_height_m",
    "stand": "stand_height_m",
}
_TO_M = 2  # what is dragged stands on whole centimetres


@dataclass(frozen=True, slots=True)
class Dragged:
    """A level in the hand. kind: thing's class; field: what is changed; height_m: as it was when it was taken."""

    name: str
    thing: str
    field: str
    height_m: float

    def words(self, site: Site) -> str:
        """What undo says."""
        thing = site.get(self.thing)
        return f"{self.name.capitalize()} of {called(thing)}" if thing is not None else self.name.capitalize()

    def at(self, site: Site, up_m: float) -> Site:
        """The site with the level so much higher than it was taken at; held to what the field takes.

        Where the thing's other fields do not allow it, the site as it is.
        """
        thing = site.get(self.thing)
        if thing is None:
            return site
        try:
            return edits.change(site, self.thing, **self._value(thing, round(self.height_m + up_m, _TO_M)))
        except EditError:
            return site

    def _value(self, thing: Thing, height_m: float) -> dict[str, Any]:
        if self.field == "water_l" and isinstance(thing, Tank):
            return {"water_l": round(thing.volume_at_m(height_m), 1)}
        spec = specs(type(thing))[self.field]
        return {self.field: min(max(height_m, spec.least), spec.most)}


def taken(name: str, chain: TankChain, site: Site) -> Dragged | None:
    """What is taken hold of by the name of a level; None for one that belongs to nothing on the site, or is locked."""
    tank = site.get(chain.tank)
    if not isinstance(tank, Tank):
        return None
    if name in _OF_TANK:
        return Dragged(name, tank.id, _OF_TANK[name], float(getattr(tank, _OF_TANK[name])))
    if name == "water level":
        return Dragged(name, tank.id, "water_l", tank.water_height_m)
    feed = chain.feeds[0] if chain.feeds else None
    thing = None if feed is None else site.get(feed.diverter if name == "diverter" else feed.roof)
    if isinstance(thing, Diverter):
        return Dragged(name, thing.id, "height_m", thing.height_m)
    return Dragged(name, thing.id, "eaves_height_m", thing.eaves_height_m) if isinstance(thing, Roof) else None
