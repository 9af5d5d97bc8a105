"""Tables of things in text: one row for each, comma, semicolon or tab between columns."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely
from shapely import Point

from gardenwater.errors import FileError
from gardenwater.files.headers import heading_for, is_heading, kind_called, nearest, plain
from gardenwater.files.placing import crs_of_words, moved
from gardenwater.files.text_in import EXPORT_AGAIN, text_of
from gardenwater.files.things_in import Raw
from gardenwater.files.words import unreadable
from gardenwater.site.things import Thing

_SHAPES = ("wkt", "shape", "geometry", "geom")
_KINDS = ("kind", "thing", "what")
_EASTS = {"x": 1.0, "x_m": 1.0, "east": 1.0, "east_m": 1.0, "easting": 1.0, "x_ft": 0.3048, "east_ft": 0.3048}
_NORTHS = {"y": 1.0, "y_m": 1.0, "north": 1.0, "north_m": 1.0, "northing": 1.0, "y_ft": 0.3048, "north_ft": 0.3048}
_LONGITUDES = dict.fromkeys(("lon", "long", "lng", "longitude", "longitude_deg"), 1.0)
_LATITUDES = dict.fromkeys(("lat", "latitude", "latitude_deg"), 1.0)
_OWN = (*_SHAPES, *_KINDS, *_EASTS, *_NORTHS, *_LONGITUDES, *_LATITUDES)
_GROUPED = re.compile(r"[-+]?[1-9]\d{0,2}(,\d{3})+(\.\d*)?")
_DECIMAL_COMMA = re.compile(r"[-+]?\d*,\d+")


@dataclass(frozen=True, slots=True)
class _Row:
    """One row: its number in the file (the heading is 1) and its cells by heading."""

    file: Path
    number: int
    cells: dict[str, str]

    def at(self, column: str, why: str, mend: str) -> FileError:
        """The error of one cell."""
        return unreadable(self.file, f'row {self.number}, "{column}": {why}', mend)

    def first_of(self, columns: tuple[str, ...] | dict[str, float]) -> tuple[str, str]:
        """The first of these columns that has something in it: its heading, and what."""
        return next(((name, cell) for name, cell in self.cells.items() if plain(name) in columns and cell), ("", ""))


def rows_of_table(file: Path, kind: type[Thing] | None, site_crs: str, written_in: str | None) -> Iterator[Raw]:
    """The things in a table, as it has them; FileError that names row and column."""
    if written_in:
        crs_of_words(written_in, file)
    for row in _rows(file):
        if not any(row.cells.values()):
            continue
        own = kind or _kind(row)
        yield Raw(own, f"row {row.number}", _shape(row, site_crs, written_in), tuple(_fields(row, own)))


def _rows(file: Path) -> Iterator[_Row]:
    text = text_of(file, too_large="No table of a garden is; give the rows of this one.")
    heading = text.partition("\n")[0]
    mark = max((";", "\t", ","), key=heading.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    names: list[str] = []
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            break
        except csv.Error as problem:
            raise unreadable(file, f"line {reader.line_num} is not of a table ({problem})", EXPORT_AGAIN) from problem
        if not names:
            names = _names(file, cells)
            continue
        if len(cells) > len(names) and any(cells[len(names) :]):
            raise unreadable(
                file,
                f"row {reader.line_num} has more cells than there are headings",
                "Put words with commas in quotes.",
            )
        padded = [_number_as_usual(cell.strip(), mark) for cell in cells] + [""] * len(names)
        yield _Row(file, reader.line_num, dict(zip(names, padded, strict=False)))


def _names(file: Path, cells: list[str]) -> list[str]:
    names = [cell.strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    known = [name for name in names if plain(name) in _OWN or is_heading(name)]
    if not known:
        raise unreadable(
            file, "its first row has no heading that is known", "Head the columns kind, name, x, y and so on."
        )
    twice = next((name for name in names if names.count(name) > 1), "")
    if twice:
        raise unreadable(file, f'two columns are called "{twice}"', "Leave one of them out.")
    for name in names:
        if name not in known:
            near = nearest(name, _OWN)
            mend = f'Call it "{near}", or leave it out.' if near else "Leave it out."
            raise unreadable(file, f'no thing has a field for the column "{name}"', mend)
    return names


def _number_as_usual(cell: str, mark: str) -> str:
    """A number with a decimal comma (where the comma parts no columns) or with grouped thousands, as 1234.5."""
    number = cell.replace("−", "-")
    if mark != "," and _DECIMAL_COMMA.fullmatch(number):
        return number.replace(",", ".")
    return number.replace(",", "") if _GROUPED.fullmatch(number) else cell


def _kind(row: _Row) -> type[Thing]:
    column, words = row.first_of(_KINDS)
    found = kind_called(words) if words else None
    if found is None:
        why = f'no thing is called "{words}"' if words else "it does not say what the thing is"
        raise row.at(column or "kind", why, 'Give the kind, for example "tank" or "level peg".')
    return found


def _fields(row: _Row, kind: type[Thing]) -> Iterator[tuple[Any, str, str]]:
    for column, cell in row.cells.items():
        if plain(column) in _OWN or not cell:
            continue
        heading = heading_for(kind, column)
        if heading is None:
            raise row.at(column, f"a {kind.word.lower()} has no such field", "Leave the cell empty.")
        yield heading, column, cell


def _shape(row: _Row, site_crs: str, written_in: str | None) -> Any:
    column, words = row.first_of(_SHAPES)
    shape = _of_wkt(row, column, words) if words else None
    in_degrees = False
    if shape is None:
        in_degrees = bool(row.first_of(_LONGITUDES)[1] and row.first_of(_LATITUDES)[1])
        pair = (_LONGITUDES, _LATITUDES) if in_degrees else (_EASTS, _NORTHS)
        shape = Point(*(_coordinate(row, columns) for columns in pair))
    source = "EPSG:4326" if in_degrees else written_in
    if not source or source == site_crs:
        return shape
    if not site_crs:
        raise row.at(
            "place", "the site is not placed on the Earth, and this is", "Give the site a map reference first."
        )
    return moved(shape, source, site_crs)


def _of_wkt(row: _Row, column: str, words: str) -> Any:
    try:
        return shapely.from_wkt(words)
    except shapely.errors.ShapelyError as problem:
        raise row.at(
            column, "it is no shape in well-known text", "For example POLYGON ((0 0, 8 0, 8 6, 0 0))."
        ) from problem


def _coordinate(row: _Row, columns: dict[str, float]) -> float:
    column, cell = row.first_of(columns)
    if not column:
        raise row.at(next(iter(columns)), "it has no place", 'Give x and y in metres, or a shape in a column "wkt".')
    try:
        return float(cell) * columns[plain(column)]
    except ValueError:
        raise row.at(column, f'"{cell}" is no number', "Give metres, as 1234.5.") from None
