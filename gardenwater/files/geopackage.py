"""A GeoPackage (OGC 12-128r18) at its bones: the tables that make one, layers, plain tables, shapes in binary form.

Layers are written with sqlite3 alone, in one transaction, without a spatial index (the standard leaves it open, and its
triggers need functions that SQLite lacks); a GIS adds one if it wants to. Rasters are GDAL's business.
"""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.files.tables import SHAPE, Column, Record, Table

APPLICATION_ID = 0x47504B47  # "GPKG", standard requirement 2
APPLICATION_IDS = (APPLICATION_ID, 0x47503130, 0x47503131)  # and "GP10", "GP11" of its first versions
_USER_VERSION = 10_200  # 1.2, what GDAL writes for rasters of float32

_BASE = """
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT,
  definition_12_063 TEXT NOT NULL);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name), CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
CREATE TABLE gpkg_tile_matrix_set (
  table_name TEXT NOT NULL PRIMARY KEY, srs_id INTEGER NOT NULL,
  min_x DOUBLE NOT NULL, min_y DOUBLE NOT NULL, max_x DOUBLE NOT NULL, max_y DOUBLE NOT NULL,
  CONSTRAINT fk_gtms_table_name FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gtms_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
CREATE TABLE gpkg_tile_matrix (
  table_name TEXT NOT NULL, zoom_level INTEGER NOT NULL, matrix_width INTEGER NOT NULL, matrix_height INTEGER NOT NULL,
  tile_width INTEGER NOT NULL, tile_height INTEGER NOT NULL, pixel_x_size DOUBLE NOT NULL, pixel_y_size DOUBLE NOT NULL,
  CONSTRAINT pk_ttm PRIMARY KEY (table_name, zoom_level),
  CONSTRAINT fk_tmm_table_name FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name));
CREATE TABLE gpkg_extensions (
  table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
INSERT INTO gpkg_extensions VALUES ('gpkg_spatial_ref_sys', 'definition_12_063', 'gpkg_crs_wkt',
  'http://www.geopackage.org/spec120/#extension_crs_wkt', 'read-write');
"""


@dataclass(frozen=True, slots=True)
class Srs:
    """A row of the table of reference systems; `number` is what layers refer to it by."""

    number: int
    name: str
    organization: str
    code: int
    wkt1: str
    wkt2: str


UNPLACED = Srs(-1, "Undefined Cartesian SRS", "NONE", -1, "undefined", "undefined")
"""The standard's own system for a sheet that is not placed on the Earth."""
_UNDEFINED_GEOGRAPHIC = Srs(0, "Undefined geographic SRS", "NONE", 0, "undefined", "undefined")
_CUSTOM = 100_000


def srs_of(crs: str) -> Srs:
    """The reference system of a site's CRS; one that the projection library does not know counts as not placed."""
    if not crs:
        return UNPLACED
    from gardenwater.files.gis import pyproj

    package = pyproj()
    try:
        known = package.CRS.from_user_input(crs)
        wkt1, wkt2 = _wkt1(known), known.to_wkt()
    except package.exceptions.ProjError:
        return UNPLACED
    code = known.to_epsg(min_confidence=100)
    if code is None:
        return Srs(_CUSTOM, known.name, "NONE", _CUSTOM, wkt1, wkt2)
    return Srs(code, known.name, "EPSG", code, wkt1, wkt2)


def _wkt1(crs: Any) -> str:
    """The older form, for programs that read no other; some systems have none, and say so as the standard asks."""
    from gardenwater.files.gis import pyproj

    try:
        return crs.to_wkt("WKT1_GDAL") or "undefined"
    except pyproj().exceptions.ProjError:
        return "undefined"


@contextmanager
def transaction(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection to a file that nobody else has: all that is done is kept, or none. The caller syncs the file."""
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("BEGIN IMMEDIATE")
        yield connection
        connection.execute("COMMIT")
    finally:
        connection.close()


def make_base(path: Path) -> None:
    """Make an empty GeoPackage in an empty file."""
    connection = sqlite3.connect(path)
    try:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {_USER_VERSION}")
        connection.executescript("PRAGMA synchronous = OFF; BEGIN;" + _BASE + "COMMIT;")
        for srs in (UNPLACED, _UNDEFINED_GEOGRAPHIC, srs_of("EPSG:4326")):
            put_srs(connection, srs)
        connection.commit()
    finally:
        connection.close()


def put_srs(connection: sqlite3.Connection, srs: Srs) -> None:
    """Enter a reference system; one with the same number is replaced."""
    connection.execute(
        "INSERT OR REPLACE INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, '', ?)",
        (srs.name, srs.number, srs.organization, srs.code, srs.wkt1, srs.wkt2),
    )


def put_table(connection: sqlite3.Connection, table: Table, rows: Iterable[Record], srs: Srs) -> None:
    """Make a table anew with these rows and enter it in the list of contents."""
    ready = list(rows)
    drop_table(connection, table.name)
    columns = [f'"{SHAPE}" {table.geometry.upper()}'] * bool(table.geometry) + [_declared(c) for c in table.columns]
    connection.execute(
        f'CREATE TABLE "{table.name}" (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, {", ".join(columns)})'
    )
    _enter(connection, table, ready, srs)
    names = [SHAPE] * bool(table.geometry) + [c.name for c in table.columns]
    sql = f'INSERT INTO "{table.name}" ({", ".join(map(_quoted, names))}) VALUES ({", ".join("?" * len(names))})'  # noqa: S608 - names of our own tables
    connection.executemany(sql, ([_bound(row[name], srs) for name in names] for row in ready))


def _enter(connection: sqlite3.Connection, table: Table, rows: list[Record], srs: Srs) -> None:
    kind, bounds = ("features", _bounds(rows)) if table.geometry else ("attributes", (None,) * 4)
    connection.execute(
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, min_x, min_y, max_x, max_y, srs_id)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (table.name, kind, table.name, table.title, *bounds, srs.number if table.geometry else None),
    )
    if table.geometry:
        connection.execute(
            "INSERT INTO gpkg_geometry_columns VALUES (?, ?, ?, ?, 0, 0)",
            (table.name, SHAPE, table.geometry.upper(), srs.number),
        )


def drop_table(connection: sqlite3.Connection, name: str) -> None:
    """Remove a table with all that is entered about it, a spatial index that another program made included."""
    connection.execute(f'DROP TABLE IF EXISTS "rtree_{name}_{SHAPE}"')
    connection.execute(f'DROP TABLE IF EXISTS "{name}"')
    for entries in ("gpkg_geometry_columns", "gpkg_extensions", "gpkg_contents", "gpkg_ogr_contents"):
        if has_table(connection, entries):
            connection.execute(f"DELETE FROM {entries} WHERE table_name = ?", (name,))  # noqa: S608 - a fixed list


def has_table(connection: sqlite3.Connection, name: str) -> bool:
    """Whether the file has a table of this name."""
    found = connection.execute("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", (name,)).fetchone()
    return found is not None


def read_table(connection: sqlite3.Connection, name: str) -> list[Record]:
    """All rows of a table in the order they were written, shapes as shapely geometries; none when it is not there."""
    if not has_table(connection, name):
        return []
    cursor = connection.execute(f'SELECT * FROM "{name}" ORDER BY rowid')  # noqa: S608 - names of our own tables
    names = [column[0] for column in cursor.description]
    rows = [dict(zip(names, values, strict=True)) for values in cursor]
    for row in rows:
        if isinstance(row.get(SHAPE), bytes):
            row[SHAPE] = shape_of_blob(row[SHAPE])
    return rows


def _declared(column: Column) -> str:
    """The column with its default, so that a row which a GIS adds is as one drawn here."""
    default = "" if column.default is None else f" DEFAULT {_literal(column.default)}"
    return f"{_quoted(column.name)} {column.sql}{default}"


def _literal(value: Any) -> str:
    if isinstance(value, str):
        return "'" + value.replace("'", "''") + "'"
    return repr(int(value) if isinstance(value, bool) else value)


def _quoted(name: str) -> str:
    return f'"{name}"'


def _bound(value: Any, srs: Srs) -> Any:
    return blob_of_shape(value, srs.number) if isinstance(value, BaseGeometry) else value


def _bounds(rows: list[Record]) -> tuple[float | None, ...]:
    shapes = [row[SHAPE] for row in rows]
    return tuple(float(edge) for edge in shapely.total_bounds(shapes)) if shapes else (None,) * 4


_ENVELOPE_BYTES = (0, 32, 48, 48, 64)


def blob_of_shape(shape: BaseGeometry, srs_number: int) -> bytes:
    """A shape in the standard's binary form (clause 2.1.3): a head with its bounds, then well-known binary."""
    wkb: bytes = shapely.to_wkb(shape, byte_order=1)
    if shape.geom_type == "Point":
        return b"GP\x00\x01" + struct.pack("<i", srs_number) + wkb
    west, south, east, north = shape.bounds
    return b"GP\x00\x03" + struct.pack("<i4d", srs_number, west, east, south, north) + wkb


def shape_of_blob(blob: bytes) -> BaseGeometry | None:
    """The shape in a blob, flat; None for one that is empty or not in the standard's form."""
    if len(blob) < 8 or blob[:2] != b"GP" or (blob[3] >> 1 & 7) > 4 or blob[3] & 0x20:
        return None
    try:
        return shapely.force_2d(shapely.from_wkb(blob[8 + _ENVELOPE_BYTES[blob[3] >> 1 & 7] :]))
    except shapely.errors.GEOSException:
        return None
