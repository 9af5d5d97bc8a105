"""What things are called."""

from __future__ import annotations

import re

from gardenwater.site.model import Site
from gardenwater.site.things import BY_KIND, TAKERS, Thing

_NUMBERED = re.compile(r"(.*\S)\s+(\d+)")


def called(thing: Thing) -> str:
    """The name of a thing, or the word for its kind when it has none."""
    return thing.name or thing.word


def kinds_of(refers: str) -> tuple[str, ...]:
    """The kinds that a reference to `refers` takes: "taker" stands for all that take overflow."""
    return TAKERS if refers == "taker" else (refers,)


def word_of(refers: str) -> str:
    """The word, within a sentence, for what a reference refers to."""
    return "taker of overflow" if refers == "taker" else BY_KIND[refers].word.lower()


def default_name(site: Site, kind: str) -> str:
    """A name for a new thing: its word and the least number that makes it new ("Tank 1", "Tank 2")."""
    return free_name(site, f"{BY_KIND[kind].word} 1")


def free_name(site: Site, wanted: str, taken: frozenset[str] = frozenset()) -> str:
    """`wanted` where nothing is called so, else with the next free number ("Shed tank 2"); empty stays empty."""
    used = {thing.name for thing in site} | taken
    numbered = _NUMBERED.fullmatch(wanted)
    stem, number = (numbered.group(1), int(numbered.group(2))) if numbered else (wanted, 1)
    name = wanted
    while name and name in used:
        number += 1
        name = f"{stem} {number}"
    return name


def name_of(site: Site, thing_id: str) -> str:
    """What a thing is called in a sentence: its name, else its word, numbered where there are several without a name.

    The empty id stands for the site itself. An id that no thing has is given back as it is.
    """
    thing = site.get(thing_id)
    if thing is None:
        return thing_id or site.name
    if thing.name:
        return thing.name
    nameless = [each.id for each in site.of(type(thing)) if not each.name]
    return thing.word if len(nameless) == 1 else f"{thing.word} {nameless.index(thing.id) + 1}"
