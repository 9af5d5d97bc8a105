"""Copy and paste: things out of one site, into the same or another, with ids of their own."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from typing import Any

import shapely
from shapely.affinity import translate

from gardenwater.errors import InputError
from gardenwater.site.edits.base import Ids, chosen, with_changed
from gardenwater.site.fields import references
from gardenwater.site.model import Site
from gardenwater.site.names import free_name
from gardenwater.site.plain import thing_from_plain, thing_to_plain
from gardenwater.site.things import Bed, Thing

_SIGN = "gardenwater things"
_VERSION = 1


@dataclass(frozen=True, slots=True)
class Known:
    """A thing outside the clip that one inside refers to: enough to know it again in another site."""

    id: str
    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Clip:
    """Copied things, and what they refer to outside.

    crs: the map reference that their x and y are in.
    """

    things: tuple[Thing, ...]
    outside: tuple[Known, ...] = ()
    crs: str = ""

    def __len__(self) -> int:
        return len(self.things)

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the box round all things, x and y in m; NaN for none."""
        west, south, east, north = shapely.total_bounds([thing.shape for thing in self.things])
        return (west + east) / 2.0, (south + north) / 2.0

    def to_text(self) -> str:
        """The clip as words, for the clipboard of the system."""
        told = {
            "what": _SIGN,
            "version": _VERSION,
            "crs": self.crs,
            "things": [thing_to_plain(thing) for thing in self.things],
            "outside": [dataclasses.asdict(known) for known in self.outside],
        }
        return json.dumps(told, ensure_ascii=False, allow_nan=False)

    @classmethod
    def from_text(cls, words: str) -> Clip:
        """The clip of such words.

        Raises InputError for words that are no clip, and EditError for a thing that cannot be taken.
        """
        try:
            told = json.loads(words)
        except (ValueError, RecursionError):
            told = None
        if not isinstance(told, dict) or told.get("what") != _SIGN:
            raise InputError("What was copied are no things of a garden.", where="clipboard", mend="Copy things first.")
        if told.get("version") != _VERSION:
            mend = "Use the same version of gardenwater on both sides."
            raise InputError("It was copied by another version.", where="clipboard", mend=mend)
        return cls(_things(told.get("things")), _outside(told.get("outside")), str(told.get("crs", "")))


def _things(plain: Any) -> tuple[Thing, ...]:
    things = tuple(thing_from_plain(each) for each in plain) if isinstance(plain, list) else ()
    if len({thing.id for thing in things}) != len(things):
        raise InputError("Two of the copied things have the same id.", where="clipboard", mend="Copy them again.")
    return things


def _outside(plain: Any) -> tuple[Known, ...]:
    rows = plain if isinstance(plain, list) else []
    names = [each.name for each in dataclasses.fields(Known)]
    return tuple(
        Known(*(str(row[name]) for name in names)) for row in rows if isinstance(row, dict) and {*names} <= row.keys()
    )


def copy(site: Site, ids: Ids) -> Clip:
    """Copies of things, in the site's order. Raises EditError for an id that no thing has."""
    wanted = {thing.id for thing in chosen(site, ids)}
    things = tuple(thing for thing in site if thing.id in wanted)
    outside = {
        target.id: Known(target.id, target.kind, target.name)
        for thing in things
        for name in references(type(thing))
        if (target := site.get(getattr(thing, name))) is not None and target.id not in wanted
    }
    return Clip(things, tuple(outside.values()), site.crs)


def _new_ids(site: Site, clip: Clip) -> dict[str, str]:
    """Ids for the pasted things, and those of outside things that the site has too, by the ids in the clip.

    The same id may be another thing in another site, so kind and name must agree too.
    """
    ids: dict[str, str] = {}
    for known in clip.outside:
        target = site.get(known.id)
        if target is not None and (target.kind, target.name) == (known.kind, known.name):
            ids[known.id] = known.id
    taken: set[str] = set()
    for thing in clip.things:
        ids[thing.id] = site.free_id(thing.kind, taken)
        taken.add(ids[thing.id])
    return ids


def _shifted(thing: Thing, dx_m: float, dy_m: float) -> dict[str, Any]:
    if not dx_m and not dy_m:
        return {}
    fields: dict[str, Any] = {"shape": translate(thing.shape, dx_m, dy_m)}
    if isinstance(thing, Bed) and thing.deliver_x_m is not None and thing.deliver_y_m is not None:
        fields |= {"deliver_x_m": thing.deliver_x_m + dx_m, "deliver_y_m": thing.deliver_y_m + dy_m}
    return fields


def paste(site: Site, clip: Clip, at: tuple[float, float] | None = None) -> Site:
    """The site with the clip's things, last, under new ids; they are the things that the site before does not have.

    at: x and y that the middle of the clip comes to, m; None: where they were copied. References among them are kept,
    those to outside things where the site has the same thing (id, kind and name), else left out. A name that is taken
    gets a number ("Shed tank 2"); what is pasted is unlocked. Raises EditError when a thing cannot be there.
    """
    if not clip.things:
        return site
    middle = clip.middle
    dx_m, dy_m = (0.0, 0.0) if at is None else (at[0] - middle[0], at[1] - middle[1])
    ids = _new_ids(site, clip)
    pasted: dict[str, Thing] = {}
    for thing in clip.things:
        names = frozenset(each.name for each in pasted.values())
        fields: dict[str, Any] = {name: ids.get(getattr(thing, name), "") for name in references(type(thing))}
        fields |= _shifted(thing, dx_m, dy_m)
        fields |= {"id": ids[thing.id], "name": free_name(site, thing.name, names), "locked": False}
        pasted[ids[thing.id]] = dataclasses.replace(thing, **fields)
    return with_changed(site, pasted)
