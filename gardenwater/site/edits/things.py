"""Edits of things as such: drawn, changed, named, locked, put in order, removed."""

from __future__ import annotations

import dataclasses
from typing import Any

from gardenwater.errors import EditError
from gardenwater.site.edits.base import Ids, chosen, refuse_locked, with_changed
from gardenwater.site.edits.companions import companions
from gardenwater.site.fields import references, specs
from gardenwater.site.model import Site, Survey
from gardenwater.site.names import called
from gardenwater.site.things import Thing


def put(site: Site, *things: Thing) -> Site:
    """Put things on the plan: new ones last, those with a known id in the place of the thing that has it.

    Several may refer to each other. Raises EditError for a thing that cannot be taken, for a reference to nothing or to
    the wrong kind, for two things with one id, and for an id that a thing of another kind has.
    """
    by_id: dict[str, Thing] = {}
    for thing in things:
        old = site.get(thing.id)
        if old is not None and type(old) is not type(thing):
            what = f"Its id is that of {called(old)}, a {old.word.lower()}."
            raise EditError(what, where=called(thing), mend="Give it an id of its own (Site.free_id).")
        if thing.id in by_id:
            raise EditError("Two things have the same id.", where=called(thing), mend="Give each an id of its own.")
        by_id[thing.id] = thing
    return with_changed(site, by_id)


def _unhung(thing: Thing, gone: set[str]) -> Thing:
    """The thing without its references to what is gone."""
    lost: dict[str, Any] = {name: "" for name in references(type(thing)) if getattr(thing, name) in gone}
    return dataclasses.replace(thing, **lost) if lost else thing


def _without_pegs(survey: Survey, gone: set[str]) -> Survey:
    if not any(sight.peg in gone for sight in survey.level_book):
        return survey
    book = tuple(dataclasses.replace(sight, peg="") if sight.peg in gone else sight for sight in survey.level_book)
    return dataclasses.replace(survey, level_book=book)


def remove(site: Site, ids: Ids) -> Site:
    """Remove things. What referred to them stays, without the reference.

    Raises EditError for an id that no thing has, and for a locked thing.
    """
    gone_things = chosen(site, ids)
    refuse_locked(gone_things)
    gone = {thing.id for thing in gone_things}
    if not gone:
        return site
    kept = tuple(_unhung(thing, gone) for thing in site if thing.id not in gone)
    return site.replace(things=kept, survey=_without_pegs(site.survey, gone))


def change(site: Site, ids: Ids, /, **fields: Any) -> Site:
    """Give fields of things new values, the same for each: `change(site, "tank-1", stand_height_m=0.4)`.

    Fields that belong together go along (`edits.companions`): a tank's capacity with its overflow's height, its water
    with its capacity, one half of a delivery spot with the other, the fittings of a line with its end.
    Raises EditError for a field that a thing does not have (its shape is changed by `reshape`, its id never), for a
    value that cannot be taken, and for an id that no thing has.
    """
    changed: dict[str, Thing] = {}
    for thing in chosen(site, ids):
        known = {*specs(type(thing)), "locked"}
        for name in fields:
            if name not in known:
                raise EditError(
                    f"A {thing.word.lower()} has no field {name!r}.",
                    where=called(thing),
                    mend=f"Its fields are: {', '.join(sorted(known))}.",
                )
        changed[thing.id] = dataclasses.replace(thing, **fields, **companions(thing, fields))
    return with_changed(site, changed)


def rename(site: Site, thing_id: str, name: str) -> Site:
    """Call a thing by another name; empty: by the word for its kind. Raises EditError for words that cannot be kept."""
    return change(site, thing_id, name=name)


def lock(site: Site, ids: Ids, *, locked: bool) -> Site:
    """Lock things, so that they are not moved, turned, reshaped or removed; or unlock them."""
    return change(site, ids, locked=locked)


def reorder(site: Site, ids: Ids, *, to: int) -> Site:
    """Put things, in their present order, so that the first of them is the `to`-th of all (0: drawn first, lowest).

    Raises EditError for an id that no thing has, and for a place that is none.
    """
    moved = {thing.id for thing in chosen(site, ids)}
    rest = [thing for thing in site if thing.id not in moved]
    if not 0 <= to <= len(rest):
        raise EditError(f"There is no place {to} in the order.", where=site.name, mend=f"Give 0 to {len(rest)}.")
    things = (*rest[:to], *(thing for thing in site if thing.id in moved), *rest[to:])
    return site if things == site.things else site.replace(things=things)
