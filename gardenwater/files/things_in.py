"""Things from other files: rows and features are gathered first, then made things, then tied to each other by name."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import EditError, FileError, InputError
from gardenwater.files.headers import Heading
from gardenwater.files.words import reason, unreadable
from gardenwater.site.fields import FieldSpec, flags, references
from gardenwater.site.model import Site
from gardenwater.site.names import kinds_of, word_of
from gardenwater.site.things import Thing
from gardenwater.site.validate import check
from gardenwater.tables import table
from gardenwater.units import Quantity, UnitSystem, parse

_YES = {"yes", "y", "true", "1", "x", "ja", "oui"}
_SHAPE_WORDS = {
    "Point": "a point", "LineString": "a line", "Polygon": "an outline",
    "MultiPoint": "several points", "MultiLineString": "several lines", "MultiPolygon": "several outlines",
}  # fmt: skip
_MOST_OPTIONS = 12
_NO = {"no", "n", "false", "0", "", "nein", "non"}


@dataclass(frozen=True, slots=True)
class Raw:
    """A thing as a file has it. where: "row 3" or "feature 12". fields: what stands in which heading."""

    kind: type[Thing]
    where: str
    shape: BaseGeometry
    fields: tuple[tuple[Heading, str, Any], ...]


def made_things(raws: Iterable[Raw], file: Path, site: Site | None) -> tuple[Thing, ...]:
    """The things, with ids that are free in the site, and references by name or id made references by id."""
    taken = {thing.id for thing in site} if site else set[str]()
    made: list[tuple[Raw, Thing]] = []
    for raw in raws:
        made.extend((raw, thing) for thing in _parts(raw, file, taken))
    there = [*(site or ()), *(thing for _, thing in made)]
    return tuple(_tied(raw, thing, there, file) for raw, thing in made)


def _parts(raw: Raw, file: Path, taken: set[str]) -> Iterator[Thing]:
    values = {heading.field: _value(raw, heading, column, given, file) for heading, column, given in raw.fields}
    values = {field: value for field, value in values.items() if value is not None}
    wanted = str(values.pop("id", ""))
    if wanted in taken:
        raise _at(file, raw, "id", f'the id "{wanted}" is taken', "Give each thing an id of its own, or none.")
    for shape in _shapes(raw, file):
        thing_id = wanted if wanted and wanted not in taken else _free_id(raw.kind.kind, taken)
        thing = raw.kind(**{**values, "id": thing_id, "shape": shape})
        unchecked: dict[str, Any] = dict.fromkeys(references(raw.kind), "")
        try:
            check(dataclasses.replace(thing, **unchecked))
        except EditError as problem:
            raise unreadable(file, f"{raw.where}, {reason(problem)}", problem.mend) from problem
        taken.add(thing_id)
        yield thing


def _free_id(kind: str, taken: set[str]) -> str:
    number = 1
    while f"{kind}-{number}" in taken:
        number += 1
    return f"{kind}-{number}"


def _shapes(raw: Raw, file: Path) -> list[BaseGeometry]:
    """The parts that the kind is made of; an outline that crosses itself is mended first."""
    shape = shapely.force_2d(raw.shape)
    if raw.kind.geometry == "Polygon" and not shape.is_valid:
        shape = shapely.make_valid(shape, method="structure", keep_collapsed=False)
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == raw.kind.geometry and not part.is_empty]
    if not parts:
        found = "empty" if shape.is_empty else _SHAPE_WORDS.get(shape.geom_type, shape.geom_type)
        why = f"{raw.kind.word.lower()} is {_SHAPE_WORDS[raw.kind.geometry]}, and this is {found}"
        raise _at(file, raw, "shape", why, "Draw it so, or say which kind of thing it is.")
    return parts


def _value(raw: Raw, heading: Heading, column: str, given: Any, file: Path) -> Any:
    """The field's value; None where nothing is given, so that the default holds."""
    if given is None or (isinstance(given, str) and not given.strip()):
        return None
    try:
        return _read(raw.kind, heading, given)
    except InputError as problem:
        raise _at(file, raw, column, problem.what.rstrip("."), problem.mend) from problem


def _read(kind: type[Thing], heading: Heading, given: Any) -> Any:
    spec = heading.spec
    if heading.field == "locked" or heading.field in flags(kind):
        return _flag(given)
    if spec is not None and spec.quantity is not None:
        return _number(given, heading, spec.quantity)
    words = str(given).strip()
    if spec is not None and spec.options is not None:
        found = [option for option in spec.options if words.lower() in (option.value, option.name.lower())]
        return found[0] if found else _none_of(words, [option.value for option in spec.options])
    return _row_key(words, spec) if spec is not None and spec.table else words


def _row_key(words: str, spec: FieldSpec) -> str:
    rows = table(spec.table).rows
    found = [row.key for row in rows if words.lower() in (row.key.lower(), row.name.lower())]
    return found[0] if found else str(_none_of(words, [row.key for row in rows]))


def _none_of(words: str, options: list[str]) -> Any:
    more = f" and {len(options) - _MOST_OPTIONS} more" if len(options) > _MOST_OPTIONS else ""
    near = get_close_matches(words.lower(), options, n=1)
    meant = f'Did you mean "{near[0]}"? ' if near else ""
    raise InputError(
        f'"{words}" is not known.', mend=f"{meant}Give one of: {', '.join(options[:_MOST_OPTIONS])}{more}."
    )


def _flag(given: Any) -> bool:
    words = str(given).strip().lower()
    if words in _YES | _NO:
        return words in _YES
    raise InputError(f'"{given}" is neither yes nor no.', mend="Give yes or no.")


def _number(given: Any, heading: Heading, quantity: Quantity) -> float:
    """A bare number is in the unit of the heading; one with a unit is in that."""
    if isinstance(given, int | float) and not isinstance(given, bool):
        return float(given) * heading.factor
    words = str(given).strip()
    try:
        return float(words) * heading.factor
    except ValueError:
        return parse(words, quantity, UnitSystem.METRIC)


def _tied(raw: Raw, thing: Thing, there: list[Thing], file: Path) -> Thing:
    """The thing with its references by id; those given by name are looked up among all things there."""
    found: dict[str, Any] = {}
    for name, spec in references(type(thing)).items():
        wanted = getattr(thing, name)
        if not wanted:
            continue
        fitting = [each for each in there if each.kind in kinds_of(spec.refers)]
        ids = [each.id for each in fitting if each.id == wanted] or [e.id for e in fitting if e.name == wanted]
        if len(ids) != 1:
            how = "no" if not ids else "more than one"
            why = f'there is {how} {word_of(spec.refers)} called "{wanted}"'
            raise _at(file, raw, name, why, "Give its name or id as it stands in its own row, or leave it empty.")
        found[name] = ids[0]
    return dataclasses.replace(thing, **found) if found else thing


def _at(file: Path, raw: Raw, column: str, why: str, mend: str) -> FileError:
    return unreadable(file, f'{raw.where}, "{column}": {why}', mend)
