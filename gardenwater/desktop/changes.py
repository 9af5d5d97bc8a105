"""Edits that gestures make, as functions Site -> Site: nudged, raised, pasted, taken away."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence

from gardenwater.errors import EditError
from gardenwater.site import clipboard, edits
from gardenwater.site.clipboard import Clip
from gardenwater.site.fields import specs
from gardenwater.site.model import Site
from gardenwater.site.things import Thing

RAISED_FIELD: dict[str, str] = {
    "tank": "stand_height_m",
    "level_peg": "level_m",
    "diverter": "height_m",
    "tap": "height_m",
    "link": "height_m",
    "roof": "eaves_height_m",
    "watering_line": "line_height_m",
    "bed": "raised_m",
    "bank": "height_m",
    "building": "height_m",
    "door": "sill_height_m",
    "wall": "height_m",
    "tree": "height_m",
}
"""What Page Up and Page Down raise and lower, by kind."""


def moved(site: Site, ids: Iterable[str], dx_m: float, dy_m: float) -> Site:
    """The site with these things moved; locked ones stay."""
    free = tuple(thing_id for thing_id in ids if (thing := site.get(thing_id)) is not None and not thing.locked)
    return edits.move(site, free, dx_m, dy_m) if free else site


def raised(site: Site, ids: Sequence[str], by_m: float) -> Site:
    """The site with the stands, levels or heights of these things raised by `by_m`, kept within what each may be.

    Raises EditError when none of them has a height that can be raised.
    """
    able = [thing for thing_id in ids if (thing := site.get(thing_id)) is not None and thing.kind in RAISED_FIELD]
    if not able:
        raise EditError("What is selected has no height to raise.", mend="Select a tank, a level peg or a roof.")
    for thing in able:
        site = _raised_one(site, thing, by_m)
    return site


def _raised_one(site: Site, thing: Thing, by_m: float) -> Site:
    name = RAISED_FIELD[thing.kind]
    spec = specs(type(thing))[name]
    wanted = round(getattr(thing, name) + by_m, 4)
    return edits.change(site, thing.id, **{name: min(max(wanted, spec.least), spec.most)})


def without(site: Site, ids: Iterable[str]) -> Site:
    """The site without these things; locked ones stay.

    Raises EditError when all of them are locked.
    """
    things = [thing for thing_id in ids if (thing := site.get(thing_id)) is not None]
    free = tuple(thing.id for thing in things if not thing.locked)
    if things and not free:
        raise EditError(
            f"{things[0].name or things[0].word} is locked.", mend="Unlock it in its row of the drawing tray."
        )
    return edits.remove(site, free)


def pasted(site: Site, clip: Clip, at: tuple[float, float] | None) -> Site:
    """The site with copies of what the clip holds, in the middle of `at`, or beside where they were."""
    return clipboard.paste(site, clip, at)


def doubled(site: Site, ids: Iterable[str], dx_m: float, dy_m: float) -> Site:
    """The site with copies of these things, put aside by so much."""
    twice = clipboard.paste(site, clipboard.copy(site, tuple(ids)), None)
    return edits.move(twice, new_ids(site, twice), dx_m, dy_m)


def locked(site: Site, ids: Iterable[str], *, lock: bool) -> Site:
    """The site with these things locked, or unlocked."""
    for thing_id in ids:
        thing = site.get(thing_id)
        if thing is not None and thing.locked is not lock:
            site = edits.put(site, dataclasses.replace(thing, locked=lock))
    return site


def new_ids(before: Site, after: Site) -> tuple[str, ...]:
    """Ids of the things that `after` has and `before` has not."""
    return tuple(thing.id for thing in after if thing.id not in before)
