"""What a column of a table of things is about: a field by its name or label, in one of the units that people use."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from gardenwater.site.fields import FieldSpec, specs
from gardenwater.site.things import KINDS, Thing

_UNITS: tuple[dict[str, float], ...] = (
    {"_l_min": 1.0, "_l_s": 60.0, "_gal_min": 3.785411784, "_gpm": 3.785411784},
    {"_mm_h": 1.0, "_in_h": 25.4},
    {"_mm_m": 1.0, "_per_cent": 10.0},
    {"_m": 1.0, "_cm": 0.01, "_mm": 0.001, "_ft": 0.3048, "_in": 0.0254},
    {"_mm": 1.0, "_cm": 10.0, "_m": 1000.0, "_in": 25.4},
    {"_l": 1.0, "_m3": 1000.0, "_gal": 3.785411784, "_ft3": 28.316846592},
    {"_kg": 1.0, "_lb": 0.45359237},
    {"_deg": 1.0},
)
"""Endings of names, and how many of the first each is. The inch is 25.4 mm, the US gallon 231 cubic inches, the pound
0.45359237 kg (NIST Handbook 44, appendix C)."""


@dataclass(frozen=True, slots=True)
class Heading:
    """The field that a column fills, and how many of the field's unit one of the column's is."""

    field: str
    spec: FieldSpec | None
    factor: float = 1.0
    unit: str = ""


def plain(words: str) -> str:
    """A heading as a name: lower case, one underscore between words, "(ft)" and "[ft]" taken as endings."""
    return re.sub(r"[^\w%]+", "_", words.strip().lower()).replace("%", "per_cent").strip("_")


@cache
def _headings(kind: str) -> dict[str, Heading]:
    found: dict[str, Heading] = {"id": Heading("id", None), "locked": Heading("locked", None)}
    owner = next(each for each in KINDS if each.kind == kind)
    for field, spec in specs(owner).items():
        units = next((units for units in _UNITS if spec.quantity and field.endswith(next(iter(units)))), {})
        if not units:
            found.update(dict.fromkeys((plain(spec.label), field), Heading(field, spec)))
            continue
        base = field.removesuffix(next(iter(units)))
        for unit, factor in units.items():
            heading = Heading(field, spec, factor, unit)
            found.setdefault(plain(spec.label) + unit, heading)
            found[base + unit] = heading
    return found


def heading_for(kind: type[Thing], column: str) -> Heading | None:
    """The field of a kind that a column fills, or None."""
    return _headings(kind.kind).get(plain(column))


def is_heading(column: str) -> bool:
    """Whether any kind has a field for the column."""
    return any(heading_for(kind, column) for kind in KINDS)


def nearest(column: str, others: tuple[str, ...]) -> str:
    """The heading that was perhaps meant, or nothing."""
    names = [*others, *sorted({name for kind in KINDS for name in _headings(kind.kind)})]
    close = get_close_matches(plain(column), names, n=1)
    return close[0] if close else ""


def kind_called(words: str) -> type[Thing] | None:
    """The kind that people or files call so ("Level peg", "level_peg", "tank", "Tanks"), or None."""
    wanted = plain(words)
    for kind in KINDS:
        names = {kind.kind, plain(kind.word), *plain(kind.word).split("_or_")}
        if wanted in names or wanted.removesuffix("s") in names:
            return kind
    return None
