"""What undo says about an edit: "Move Shed tank", "Change stand height of 2 tanks"."""

from __future__ import annotations

from enum import StrEnum

from gardenwater.site.edits.base import Ids, chosen
from gardenwater.site.fields import specs
from gardenwater.site.model import Settings, Site
from gardenwater.site.names import name_of
from gardenwater.site.things import BY_KIND


class Verb(StrEnum):
    """What was done to things."""

    DRAW = "Draw"
    MOVE = "Move"
    TURN = "Turn"
    RESHAPE = "Reshape"
    RAISE = "Raise"
    LOWER = "Lower"
    CHANGE = "Change"
    RENAME = "Rename"
    LOCK = "Lock"
    UNLOCK = "Unlock"
    REORDER = "Reorder"
    PASTE = "Paste"
    CUT = "Cut"
    DELETE = "Delete"


def things_in_words(site: Site, ids: Ids) -> str:
    """The things in a few words: the name of one, "3 tanks" of a kind, "3 things" of several.

    Raises EditError for an id that no thing has.
    """
    things = chosen(site, ids)
    if len(things) == 1:
        return name_of(site, things[0].id)
    kinds = {thing.kind for thing in things}
    return f"{len(things)} {_PLURALS[kinds.pop()] if len(kinds) == 1 else 'things'}"


def label(verb: Verb, site: Site, ids: Ids, *, field: str = "") -> str:
    """What undo says about an edit of things; `field` names the one field that was changed.

    site: the one that has the things (the one before the edit, but for drawn and pasted things).
    """
    subject = things_in_words(site, ids)
    if not field:
        return f"{verb} {subject}"
    declared = next((specs(type(thing))[field] for thing in chosen(site, ids) if field in specs(type(thing))), None)
    return f"{verb} {declared.label.lower()} of {subject}" if declared else f"{verb} {subject}"


def settings_label(field: str) -> str:
    """What undo says about a change of a setting."""
    declared = specs(Settings).get(field)
    return f"Change {declared.label.lower()}" if declared else "Change settings"


_PLURALS = {kind: f"{each.word.lower()}s" for kind, each in BY_KIND.items()} | {
    "boundary": "boundaries",
    "first_flush": "first-flush devices",
    "ditch": "ditches",
    "keep_dry": "pieces of keep-dry ground",
    "tree": "trees or hedges",
}
