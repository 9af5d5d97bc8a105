"""Reads a table of choices: every column, every row and every number is looked at before one is used."""

from __future__ import annotations

import csv
import dataclasses
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Generic, Literal, TypeVar, overload

from gardenwater.errors import FileError, InputError
from gardenwater.tables.paths import resource
from gardenwater.tables.rows import (
    Cover,
    Crop,
    LineBore,
    LineEnd,
    LineFitting,
    LineWall,
    Row,
    Shelter,
    Soil,
    Surface,
    TankSize,
)

R_co = TypeVar("R_co", bound=Row, covariant=True)
R = TypeVar("R", bound=Row)

TABLES: Mapping[str, type[Row]] = MappingProxyType(
    {
        "surfaces": Surface,
        "line_bores": LineBore,
        "line_ends": LineEnd,
        "line_fittings": LineFitting,
        "line_walls": LineWall,
        "soils": Soil,
        "crops": Crop,
        "covers": Cover,
        "shelters": Shelter,
        "tank_sizes": TankSize,
    }
)
"""The names of all tables, each with the type of its rows."""


@dataclass(frozen=True, slots=True)
class Table(Generic[R_co]):
    """A table of choices: rows in the file's order, found by their key."""

    name: str
    rows: tuple[R_co, ...]
    _by_key: Mapping[str, R_co] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_by_key", MappingProxyType({row.key: row for row in self.rows}))

    def __iter__(self) -> Iterator[R_co]:
        return iter(self.rows)

    def __contains__(self, key: object) -> bool:
        return key in self._by_key

    def row(self, key: str) -> R_co:
        """The row with this key. Raises InputError, naming the keys there are, where there is none."""
        try:
            return self._by_key[key]
        except KeyError:
            raise InputError(
                f'There is no "{key}" in the table of {self.name.replace("_", " ")}.',
                where=self.name,
                mend=f"Take one of: {', '.join(self._by_key)}.",
            ) from None


def _cell(kind: str, column: str, words: str, where: str) -> str | float:
    """One cell as its field wants it: words that are there, or a finite number that is not negative."""
    if kind == "str":
        if not words.strip():
            raise FileError(f"{column} is empty.", where=where, mend="Fill it in; a source is never left out.")
        return words.strip()
    try:
        number = float(words)
    except ValueError:
        number = math.nan
    if not (math.isfinite(number) and number >= 0.0):
        raise FileError(f'{column} is "{words}".', where=where, mend="Give a number of 0 or more, with a point.")
    return number


def _row(record: Mapping[str | Any, str | Any], kind: type[R], where: str) -> R:
    if None in record or None in record.values():
        raise FileError("A row has too few or too many cells.", where=where, mend="Quote cells that hold commas.")
    cells: dict[str, Any] = {
        each.name: _cell(str(each.type), each.name, record[each.name], where) for each in dataclasses.fields(kind)
    }
    return kind(**cells)


def _records(path: Path, columns: list[str]) -> Iterator[tuple[str, dict[str | Any, str | Any]]]:
    """Each line of the file: where it stands, and its cells by column."""
    try:
        with path.open(encoding="utf-8", newline="") as lines:
            reader = csv.DictReader(lines, strict=True)
            if sorted(reader.fieldnames or ()) != sorted(columns):
                mend = f"Have these columns: {', '.join(columns)}."
                raise FileError("The columns are not those of this table.", where=path.name, mend=mend)
            for record in reader:
                yield f"{path.name}, line {reader.line_num}", record
    except (OSError, UnicodeDecodeError, csv.Error) as cause:
        mend = "Save it as CSV in UTF-8, or install gardenwater again."
        raise FileError(f"The table cannot be read: {cause}.", where=path.name, mend=mend) from cause


def read_table(path: Path, name: str, kind: type[R]) -> Table[R]:
    """Read a table of rows of `kind` from a CSV file. Raises FileError with the line and column, and the mend."""
    by_key: dict[str, R] = {}
    for where, record in _records(path, [each.name for each in dataclasses.fields(kind)]):
        row = _row(record, kind, where)
        if row.key in by_key:
            raise FileError(f'The key "{row.key}" stands twice.', where=where, mend="Give each row a key of its own.")
        by_key[row.key] = row
    if not by_key:
        raise FileError("The table has no rows.", where=path.name, mend="Give at least one row.")
    return Table(name, tuple(by_key.values()))


@cache
def _loaded(name: str) -> Table[Row]:
    kind = TABLES.get(name)
    if kind is None:
        raise InputError(f'There is no table "{name}".', where="tables", mend=f"Take one of: {', '.join(TABLES)}.")
    return read_table(resource(f"tables/{name}.csv"), name, kind)


@overload
def table(name: Literal["surfaces"]) -> Table[Surface]: ...
@overload
def table(name: Literal["line_bores"]) -> Table[LineBore]: ...
@overload
def table(name: Literal["line_ends"]) -> Table[LineEnd]: ...
@overload
def table(name: Literal["line_fittings"]) -> Table[LineFitting]: ...
@overload
def table(name: Literal["line_walls"]) -> Table[LineWall]: ...
@overload
def table(name: Literal["soils"]) -> Table[Soil]: ...
@overload
def table(name: Literal["crops"]) -> Table[Crop]: ...
@overload
def table(name: Literal["covers"]) -> Table[Cover]: ...
@overload
def table(name: Literal["shelters"]) -> Table[Shelter]: ...
@overload
def table(name: Literal["tank_sizes"]) -> Table[TankSize]: ...
@overload
def table(name: str) -> Table[Row]: ...
def table(name: str) -> Table[Any]:
    """A table of choices, by its name; read once and kept.

    Raises InputError for a name that is none, FileError when the file is missing or wrong.
    """
    return _loaded(name)
