"""The tables of a site file: which there are, their columns, and how a value stands in a column.

A layer for each kind of thing, named by its word-key, its columns named after the fields (the unit is the last part of
the name); plain tables for what has no place on the plan. All of it is read off the declared fields: a new field or
kind needs nothing here but a migration.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from gardenwater.site.fields import FieldSpec
from gardenwater.site.model import LogEntry, Settings, Sight, UsualLine
from gardenwater.site.things import KINDS, Thing
from gardenwater.weather.model import COLUMNS

SCHEMA_VERSION = 1
SHAPE = "shape"
ORDER = "drawn_order"

Record = dict[str, Any]
Records = dict[str, list[Record]]
"""Rows of each table, by its name; values as the columns hold them, shapes as shapely geometries."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column, of SQL type REAL, INTEGER, BOOLEAN or TEXT.

    default: what a file that lacks the column is taken to hold. needed: empty is not taken. options: the enum its words
    are of. label: what people call it.
    """

    name: str
    sql: str
    default: Any = None
    needed: bool = True
    options: type[StrEnum] | None = None
    label: str = ""

    def stored(self, value: Any) -> Any:
        """The value as the column holds it."""
        if isinstance(value, StrEnum):
            return value.value
        return int(value) if isinstance(value, bool) else value

    def read(self, stored: Any) -> Any:
        """The value that the column holds; ValueError in words when it is not of the column's type."""
        if stored is None:
            if self.needed:
                raise ValueError("is empty")
            return None
        held: Any = stored
        if not isinstance(stored, _HELD[self.sql]) or isinstance(stored, bool):
            raise ValueError(f'is "{stored}", which is not {_WORDS[self.sql]}')  # noqa: TRY004 - a value of a file
        if self.sql == "BOOLEAN":
            return bool(held)
        if self.sql == "REAL":
            return float(held)
        return held if self.options is None else self._option(held)

    def _option(self, stored: str) -> StrEnum:
        options = tuple(self.options or ())
        for option in options:
            if option.value == stored:
                return option
        raise ValueError(f'is "{stored}", which is none of: {", ".join(options)}')


_HELD: dict[str, tuple[type, ...]] = {"REAL": (int, float), "INTEGER": (int,), "BOOLEAN": (int,), "TEXT": (str,)}
_WORDS = {"REAL": "a number", "INTEGER": "a whole number", "BOOLEAN": "yes (1) or no (0)", "TEXT": "text"}


@dataclass(frozen=True, slots=True)
class Table:
    """One table: a layer when it has a `geometry` (Point, LineString or Polygon), else plain. `title` is for people."""

    name: str
    columns: tuple[Column, ...]
    geometry: str = ""
    title: str = ""


def _column(name: str, default: Any, spec: FieldSpec | None) -> Column:
    label = spec.label if spec else name
    if isinstance(default, StrEnum):
        return Column(name, "TEXT", default.value, options=type(default), label=label)
    if isinstance(default, bool):
        return Column(name, "BOOLEAN", default, label=label)
    if spec and spec.quantity:
        return Column(name, "REAL", default, needed=not spec.optional, label=label)
    return Column(name, "TEXT", default, label=label)


def _columns(owner: type[Any], prefix: str = "", leave: tuple[str, ...] = ()) -> tuple[Column, ...]:
    return tuple(
        _column(prefix + f.name, f.default, f.metadata.get("spec"))
        for f in dataclasses.fields(owner)
        if f.name not in leave
    )


def _kind_table(kind: type[Thing]) -> Table:
    """The layer of a kind of thing. A row added by another program has no id and no order: it gets them on reading."""
    own = (Column(ORDER, "INTEGER", needed=False), Column("id", "TEXT", needed=False))
    columns = own + _columns(kind, leave=("id", SHAPE))
    return Table(kind.kind, columns, kind.geometry, kind.word)


_OF_KIND = {kind.kind: _kind_table(kind) for kind in KINDS}


def kind_table(kind: type[Thing]) -> Table:
    """The layer of a kind of thing."""
    return _OF_KIND[kind.kind]


def _plain(table: str, title: str, /, **types: str) -> Table:
    """A table by its columns' types; a type that ends in `?` may be empty."""
    columns = tuple(Column(c, t.removesuffix("?"), needed=not t.endswith("?")) for c, t in types.items())
    return Table(table, columns, title=title)


_GRID = dict.fromkeys(("rows", "cols"), "INTEGER") | {f"transform_{letter}": "REAL" for letter in "abcdef"}

SITE = _plain("site", "Site", schema_version="INTEGER", written_by="TEXT", name="TEXT", about="TEXT", crs="TEXT")
SETTINGS = Table("settings", _columns(Settings, leave=("line",)) + _columns(UsualLine, "line_"), title="Settings")
LOG = _plain("log", "Log", **{f.name: "TEXT" for f in dataclasses.fields(LogEntry)})
LEVEL_BOOK = _plain(
    "level_book",
    "Level book",
    **{f.name: "REAL?" if f.name.endswith("_m") else "TEXT" for f in dataclasses.fields(Sight)},
)
CONTOUR = Table("contour", (Column("level_m", "REAL"),), "LineString", "Traced contour")
GROUND_GRID = _plain(
    "ground_grid", "What the ground's levels are and where they lie",
    digest="TEXT", source="TEXT", kind="TEXT", crs="TEXT", notices="TEXT",
    **_GRID, shift_m="REAL", tilt_east="REAL", tilt_north="REAL",
)  # fmt: skip
WEATHER_RECORD = _plain(
    "weather_record", "What the record of days is",
    digest="TEXT", source="TEXT", start="TEXT", days="INTEGER", made="BOOLEAN", notices="TEXT",
)  # fmt: skip
WEATHER = _plain("weather", "Record of days", day="TEXT", **dict.fromkeys(COLUMNS, "REAL?"), left_out="BOOLEAN")
MONTHLY = _plain(
    "monthly", "Twelve monthly figures",
    month="INTEGER", rain_mm="REAL", wet_days="REAL?", t_min_c="REAL", t_max_c="REAL", source="TEXT",
)  # fmt: skip
CHANGE = _plain(
    "changed_climate", "What the weather is changed by",
    month="INTEGER", rain_factor="REAL", t_shift_c="REAL", source="TEXT",
)  # fmt: skip
UNDERLAY_PLACE = _plain(
    "underlay_place", "Where the underlay picture lies",
    digest="TEXT", source="TEXT", notices="TEXT", **_GRID, opacity="REAL", shown="BOOLEAN",
)  # fmt: skip

_PLAIN = (CONTOUR, LEVEL_BOOK, LOG, MONTHLY, CHANGE, WEATHER_RECORD, WEATHER, GROUND_GRID, UNDERLAY_PLACE)
TABLES: Mapping[str, Table] = {table.name: table for table in (SITE, SETTINGS, *_OF_KIND.values(), *_PLAIN)}
"""Every table of a site file but the two rasters, by its name, in the order of the file."""
