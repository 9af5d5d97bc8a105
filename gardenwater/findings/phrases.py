"""Fills the blanks of a sentence: names of things, numbers in people's units, one or many.

Blanks: `{subject}`, `{other}`, `{other2}` are names, `{all}` the names of all others; with `'s` (`{subject's}`) they
own something. `{too_high_m:height_m}` is a number shown as that quantity. `{beds#bed|beds}` counts ("1 bed", "3 beds");
`{beds?is|are}` follows such a count. `{=reason}` is one of the finding's words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from gardenwater.units import Quantity, UnitSystem, text

NameOf = Callable[[str], str]
"""What people call the thing with this id."""

_BLANK = re.compile(r"\{([^{}]+)\}")
_APOSTROPHE = "\u2019"


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """What the blanks of one sentence are filled with. names: by the blank's word (`subject`, `other`, `all`)."""

    names: Mapping[str, str]
    numbers: Mapping[str, float]
    words: Mapping[str, str]
    system: UnitSystem


def names_for(subject: str, others: tuple[str, ...], name_of: NameOf) -> dict[str, str]:
    """The names that blanks may ask for."""
    named = [name_of(thing_id) for thing_id in others]
    names = {f"other{number}" if number > 1 else "other": name for number, name in enumerate(named, start=1)}
    names["all"] = listed(named)
    if subject:
        names["subject"] = name_of(subject)
    return names


def listed(names: list[str]) -> str:
    """Names in a row: A and B; A, B and C."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def phrase(template: str, filling: Filling, *, capital: bool = True) -> str:
    """The sentence with its blanks filled; it begins with a capital. KeyError for a blank that nothing fills."""
    words = _BLANK.sub(lambda blank: _filled(blank.group(1), filling), template)
    return words[:1].upper() + words[1:] if capital else words


def _filled(blank: str, filling: Filling) -> str:
    if blank.startswith("="):
        return filling.words[blank[1:]]
    if "#" in blank:
        name, forms = blank.split("#")
        count = filling.numbers[name]
        return f"{text(count, Quantity.NUMBER, filling.system)} {_form(count, forms)}"
    if "?" in blank:
        name, forms = blank.split("?")
        return _form(filling.numbers[name], forms)
    if ":" in blank:
        name, quantity = blank.split(":")
        return text(filling.numbers[name], Quantity(quantity), filling.system)
    owner = blank.removesuffix("'s")
    return filling.names[owner] + (f"{_APOSTROPHE}s" if owner != blank else "")


def _form(count: float, forms: str) -> str:
    one, many = forms.split("|")
    return one if count == 1 else many
