"""What all edits share: finding things by id, and making the changed site."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from gardenwater.errors import EditError
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.settle import settled
from gardenwater.site.things import Thing
from gardenwater.site.validate import check, reference_errors

Ids = str | Iterable[str]
"""One id, or several."""


def chosen(site: Site, ids: Ids) -> tuple[Thing, ...]:
    """The things with these ids, each once. Raises EditError for an id that no thing has."""
    found: dict[str, Thing] = {}
    for thing_id in [ids] if isinstance(ids, str) else ids:
        thing = site.get(thing_id)
        if thing is None:
            raise EditError(f"No thing has the id {thing_id!r}.", where=site.name, mend="It may have been removed.")
        found[thing_id] = thing
    return tuple(found.values())


def refuse_locked(things: Iterable[Thing]) -> None:
    """Raise EditError when one of the things is locked."""
    for thing in things:
        if thing.locked:
            raise EditError("It is locked.", where=called(thing), mend="Unlock it first.")


def with_changed(site: Site, changed: Mapping[str, Thing]) -> Site:
    """The site with these things in the place of those with their ids, settled and checked; new ids come last."""
    kept = {thing_id: settled(thing) for thing_id, thing in changed.items()}
    kept = {thing_id: thing for thing_id, thing in kept.items() if site.get(thing_id) != thing}
    if not kept:
        return site
    for thing in kept.values():
        check(thing, system=site.settings.units)
    old = tuple(kept.get(thing.id, thing) for thing in site)
    after = site.replace(things=old + tuple(thing for thing in kept.values() if thing.id not in site))
    for thing in kept.values():
        for error in reference_errors(after, thing):
            raise error
    return after
