"""The signs of a site's things, parted into the layers of a plan."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence

import shapely

from gardenwater.findings import Question
from gardenwater.report.drawing import Group, LayerName, Mark, Subpath
from gardenwater.report.look import PlanLook
from gardenwater.report.signs import LOCKED_STRENGTH, Drafting, Order, Sign, faded, sign
from gardenwater.report.signs.built import paths
from gardenwater.report.view import View
from gardenwater.site.model import Site
from gardenwater.site.things import KINDS, Building, Path, Roof, Thing

OTHERS_STRENGTH = 0.30
"""Of what a filter leaves out."""

_LAYER_OF_KIND = {
    "boundary": LayerName.THINGS_BELOW,
    "keep_dry": LayerName.THINGS_BELOW,
    "soakaway": LayerName.THINGS_BELOW,
    "rain_garden": LayerName.THINGS_BELOW,
    "earthwork": LayerName.THINGS_BELOW,
    "path": LayerName.THINGS_BELOW,
    "swale": LayerName.THINGS_BELOW,
    "ditch": LayerName.THINGS_BELOW,
    "bank": LayerName.THINGS_BELOW,
    "pond": LayerName.THINGS_BELOW,
    "tree": LayerName.THINGS_BELOW,
    "bed": LayerName.THINGS_BELOW,
    "wall": LayerName.THINGS_BELOW,
    "building": LayerName.BUILT,
    "roof": LayerName.BUILT,
    "door": LayerName.BUILT,
    "watering_line": LayerName.BUILT,
    "overflow": LayerName.ANSWERS,
}
_LAYER_BY_DAY = {
    "bed": LayerName.BEDS,
    "wall": LayerName.BEDS,
    "tank": LayerName.STORES,
    "slope_arrow": LayerName.STORES,
    "level_peg": LayerName.STORES,
}
"""Beds and tanks, with what is drawn over them."""

_GIVES_WAY = frozenset({Order.KEEP_DRY_LINE})
_ROOM_PX = 60.0
_MEASURED_FROM = 24.0
_REFERENCES = ("roof", "downpipe", "tank", "tank_a", "tank_b", "from_taker")
_REFERENCES_OF = {
    kind: tuple(each for each in _REFERENCES if each in {field.name for field in dataclasses.fields(kind)})
    for kind in KINDS
}
"""The fields by which things of a kind hang on others."""


def layer_of(thing: Thing, *, by_day: bool = False) -> LayerName:
    """The layer that a thing's sign lies in. by_day: the plan shows one day, so beds and tanks lie apart."""
    if by_day and thing.kind in _LAYER_BY_DAY:
        return _LAYER_BY_DAY[thing.kind]
    return _LAYER_OF_KIND.get(thing.kind, LayerName.THINGS_ABOVE)


def in_sight(site: Site, on: Drafting, look: PlanLook) -> tuple[Thing, ...]:
    """The things of a site whose signs touch the sheet; pegs and slope arrows in Ground or from near only."""
    if not site.things:
        return ()
    low_x, low_y, high_x, high_y = shapely.bounds([thing.shape for thing in site.things]).T
    room = _ROOM_PX * on.view.metres_per_px
    west, south, east, north = on.view.bounds
    near = (low_x < east + room) & (high_x > west - room) & (low_y < north + room) & (high_y > south - room)
    kept = (thing for thing, is_near in zip(site.things, near.tolist(), strict=True) if is_near)
    return tuple(thing for thing in kept if _is_drawn(thing, on, look))


def _is_drawn(thing: Thing, on: Drafting, look: PlanLook) -> bool:
    if thing.kind not in ("level_peg", "slope_arrow"):
        return True
    asked = thing.id in look.selection or thing.id == look.hover
    return asked or on.question is Question.GROUND or on.px_per_m >= _MEASURED_FROM


def seen_things(site: Site, view: View, question: Question) -> tuple[Thing, ...]:
    """The things whose signs a sheet bears, for its legend; those that are drawn from near only are left out afar."""
    on = Drafting(view=view, site=site, question=question)
    near = on.is_near("")
    things = in_sight(site, on, PlanLook())
    return tuple(thing for thing in things if near or thing.kind not in ("diverter", "first_flush"))


def followers(site: Site, dragged: frozenset[str]) -> frozenset[str]:
    """Ids of what is dragged and of what hangs on it: its feeders, its gutters, its links."""
    if not dragged:
        return dragged
    hanging = {
        thing.id
        for thing in site.things
        if (references := _REFERENCES_OF[type(thing)]) and any(getattr(thing, each) in dragged for each in references)
    }
    return dragged | hanging


def signs_of(things: Sequence[Thing], on: Drafting, look: PlanLook) -> Sign:
    """The signs of things; paths as one ground."""
    drawn: Sign = []
    for locked in (False, True):
        ways = tuple(thing for thing in things if isinstance(thing, Path) and thing.locked is locked)
        ground = paths(ways, on)
        drawn += faded(ground, LOCKED_STRENGTH) if locked else ground
    for thing in things:
        if isinstance(thing, Path):
            continue
        own = sign(thing, on)
        drawn += faded(own, OTHERS_STRENGTH) if look.only and thing.id not in look.only else own
    return drawn


def marks_clear(drawn: Sign, clear: tuple[Subpath, ...]) -> list[Mark]:
    """Marks in their order; those that give way to words are clipped to what is `clear` of them."""
    return [Group((mark,), clear) if order in _GIVES_WAY else mark for order, mark in sorted(drawn, key=_order)]


def _order(pair: tuple[Order, Mark]) -> Order:
    return pair[0]


def by_layer(things: Iterable[Thing], *, by_day: bool = False) -> dict[LayerName, tuple[Thing, ...]]:
    """The things that lie in each layer, in their order; see `layer_of`."""
    found: dict[LayerName, list[Thing]] = {}
    for thing in things:
        found.setdefault(layer_of(thing, by_day=by_day), []).append(thing)
    return {name: tuple(own) for name, own in found.items()}


def depends_on(name: LayerName, own: tuple[Thing, ...], site: Site) -> tuple[object, ...]:
    """What the signs of a layer, with its own things, are made of, besides the view and the question."""
    if name is LayerName.BUILT and any(isinstance(thing, Building) for thing in own):
        return (own, site.of(Roof))
    if name is LayerName.THINGS_ABOVE:
        return (own, tuple(owner for thing in own for owner in _owners(thing, site)))
    return (own,)


def _owners(thing: Thing, site: Site) -> tuple[Thing | None, ...]:
    return tuple(site.get(getattr(thing, reference)) for reference in _REFERENCES_OF[type(thing)])


def near_ids(look: PlanLook, site: Site) -> frozenset[str]:
    """Ids of what is drawn in full although the scale is small: what is selected or pointed at."""
    asked = {*look.selection, look.hover}
    kinds = ("diverter", "downpipe", "first_flush", "gutter", "boundary")
    return frozenset(each for each in asked if (thing := site.get(each)) is not None and thing.kind in kinds)
