"""Edits of where things are: moved, turned, given another shape, raised."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Any

import shapely
from shapely import LineString, Point
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import EditError
from gardenwater.site.edits.base import Ids, chosen, refuse_locked, with_changed
from gardenwater.site.edits.follow import following
from gardenwater.site.fields import specs
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Bed, Thing

RAISED_FIELD: dict[str, str] = {
    "roof": "eaves_height_m",
    "diverter": "height_m",
    "tank": "stand_height_m",
    "tap": "height_m",
    "link": "height_m",
    "watering_line": "line_height_m",
    "bed": "raised_m",
    "bank": "height_m",
    "building": "height_m",
    "door": "sill_height_m",
    "wall": "height_m",
    "tree": "height_m",
    "level_peg": "level_m",
}
"""What is raised and lowered, by kind of thing."""

_BEARINGS = ("bearing_deg", "fall_deg")
_TENTH_MM = 4  # raised step by step, a height keeps no dust of binary fractions


@dataclass(frozen=True, slots=True)
class _Motion:
    """A turn clockwise about a spot, then a shift."""

    dx_m: float = 0.0
    dy_m: float = 0.0
    degrees: float = 0.0
    about: tuple[float, float] = (0.0, 0.0)

    def shape(self, shape: Any) -> Any:
        """A shape after the motion."""
        turned = rotate(shape, -self.degrees, origin=self.about) if self.degrees else shape
        return translate(turned, self.dx_m, self.dy_m) if self.dx_m or self.dy_m else turned

    def line(self, line: BaseGeometry, end: int) -> LineString:
        """A line of which one end has moved."""
        corners = list(line.coords)
        corners[end] = self.shape(Point(corners[end])).coords[0]
        return LineString(corners)

    def thing(self, thing: Thing) -> Thing:
        """A thing after the motion: its shape, its bearings, its delivery spot."""
        moved: dict[str, Any] = {"shape": self.shape(thing.shape)}
        for name in _BEARINGS:
            bearing = getattr(thing, name, None)
            if bearing is not None and self.degrees:
                moved[name] = (bearing + self.degrees) % 360.0
        if isinstance(thing, Bed) and thing.deliver_x_m is not None and thing.deliver_y_m is not None:
            spot = self.shape(Point(thing.deliver_x_m, thing.deliver_y_m))
            moved |= {"deliver_x_m": spot.x, "deliver_y_m": spot.y}
        return dataclasses.replace(thing, **moved)


def _moved(site: Site, things: tuple[Thing, ...], motion: _Motion) -> Site:
    along = following(site, [thing.id for thing in things])
    changed: dict[str, Thing] = {}
    for thing in site:
        if thing.id in along.whole:
            changed[thing.id] = motion.thing(thing)
        elif thing.id in along.ends:
            line = motion.line(thing.shape, along.ends[thing.id])
            changed[thing.id] = dataclasses.replace(thing, shape=line)
    return with_changed(site, changed)


def _refuse_not_finite(site: Site, **numbers: float) -> None:
    for name, number in numbers.items():
        if not math.isfinite(number):
            raise EditError(f"{name} is no number.", where=site.name, mend="Give a finite number.")


def move(site: Site, ids: Ids, dx_m: float, dy_m: float) -> Site:
    """Move things east by dx_m and north by dy_m, with what hangs on them.

    A roof takes its gutters and downpipes along, a downpipe its diverter and first-flush device, a tank its taps and
    the ends of its pipes that touch it, a taker the mouth of an overflow in it, a building its doors; what is locked
    stays.
    Raises EditError for a locked thing, an id that no thing has, and where a pipe would shrink to nothing.
    """
    _refuse_not_finite(site, dx_m=dx_m, dy_m=dy_m)
    things = chosen(site, ids)
    refuse_locked(things)
    return _moved(site, things, _Motion(dx_m=dx_m, dy_m=dy_m)) if things and (dx_m or dy_m) else site


def turn(site: Site, ids: Ids, degrees: float, *, about: tuple[float, float] | None = None) -> Site:
    """Turn things clockwise about a spot, with what hangs on them.

    about: x and y, m; the middle of their common box unless given. Bearings of tanks, doors and roofs turn too. Raises
    EditError as `move` does.
    """
    _refuse_not_finite(site, degrees=degrees)
    things = chosen(site, ids)
    refuse_locked(things)
    if not things or degrees % 360.0 == 0.0:
        return site
    if about is None:
        middle = shapely.box(*shapely.total_bounds([thing.shape for thing in things])).centroid
        about = (middle.x, middle.y)
    return _moved(site, things, _Motion(degrees=degrees, about=about))


def reshape(site: Site, thing_id: str, shape: BaseGeometry) -> Site:
    """Give a thing another shape of its type; nothing goes along (to take pipes along, `move` it).

    A delivery spot that no longer lies on its bed is left out. Raises EditError for a locked thing, and for a shape
    that is of another type, empty, not finite, or crosses itself.
    """
    (thing,) = chosen(site, thing_id)
    refuse_locked([thing])
    changed = dataclasses.replace(thing, shape=shape)
    if isinstance(changed, Bed) and changed.deliver_x_m is not None and changed.deliver_y_m is not None:
        spot = Point(changed.deliver_x_m, changed.deliver_y_m)
        if isinstance(shape, BaseGeometry) and shape.distance(spot) > 0.0:
            changed = dataclasses.replace(changed, deliver_x_m=None, deliver_y_m=None)
    return with_changed(site, {thing_id: changed})


def raise_(site: Site, ids: Ids, by_m: float) -> Site:
    """Raise things by so much (lower them, when negative): stand, eaves, level or height, as `RAISED_FIELD` says.

    Each stops at the end of its range; kinds that have no height stay. Raises EditError when no thing can be raised.
    """
    _refuse_not_finite(site, by_m=by_m)
    things = chosen(site, ids)
    changed: dict[str, Thing] = {}
    for thing in things:
        name = RAISED_FIELD.get(thing.kind)
        if name is not None:
            spec = specs(type(thing))[name]
            wanted = round(getattr(thing, name) + by_m, _TENTH_MM)
            raised: dict[str, Any] = {name: min(max(wanted, spec.least), spec.most)}
            changed[thing.id] = dataclasses.replace(thing, **raised)
    if things and not changed:
        what = f"A {things[0].word.lower()} has no height to raise."
        raise EditError(what, where=called(things[0]), mend="Choose a tank, a roof or a level peg.")
    return with_changed(site, changed)
