"""Opening a site file."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePath
from urllib.parse import quote_from_bytes

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import GardenwaterError
from gardenwater.files.asking import ChangedGround, Choice, NeedsAnswer
from gardenwater.files.geopackage import APPLICATION_IDS, has_table, read_table
from gardenwater.files.gis import local_file
from gardenwater.files.migrations import migrated
from gardenwater.files.records import site_of
from gardenwater.files.site_rasters import read_ground_of, read_underlay_of
from gardenwater.files.site_weather import read_weather_of
from gardenwater.files.tables import GROUND_GRID, SITE, UNDERLAY_PLACE, WEATHER, WEATHER_RECORD, Records
from gardenwater.files.words import reason, shown_name, unreadable
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.validate import check_site
from gardenwater.weather import Weather

_HEAD_BYTES = 100
_OLDER_COPY = "Take an older copy of the file."


def open_site(path: Path | str, *, changed_ground: ChangedGround = ChangedGround.ASK) -> Site:
    """The site in a site file (a GeoPackage that gardenwater wrote); the file is not held open.

    changed_ground: what to do when the levels in the file are not those that were saved, because another program
    changed them or the file is damaged.

    Raises FileError when the file is no site, is cut short or damaged, was written by a later version, or holds a value
    that cannot be taken (which names thing and field); NeedsAnswer when `changed_ground` must be chosen.
    """
    file = local_file(path)
    try:
        records = migrated(records_in(file), file)
        with _naming(file):
            ground = _ground(file, records, ChangedGround(changed_ground))
            site = site_of(records, ground=ground, underlay=_underlay(file, records), weather=_weather(file, records))
            check_site(site)
            return site
    except sqlite3.DatabaseError as problem:
        raise unreadable(file, f"it is damaged ({problem})", _OLDER_COPY) from problem


def read_back(file: Path) -> Site:
    """The site in a file that was written just now, its levels as they stand there."""
    records = records_in(file)
    return site_of(
        records, ground=_levels(file, records), underlay=_underlay(file, records), weather=_weather(file, records)
    )


def _levels(file: Path, records: Records) -> Ground | None:
    rows = records.get(GROUND_GRID.name)
    return read_ground_of(file, rows[0]) if rows else None


def _underlay(file: Path, records: Records) -> NDArray[np.uint8] | None:
    rows = records.get(UNDERLAY_PLACE.name)
    return read_underlay_of(file, rows[0]) if rows else None


def _weather(file: Path, records: Records) -> Weather | None:
    rows = records.get(WEATHER_RECORD.name)
    if not rows:
        return None
    with reading(file) as connection:
        return read_weather_of(connection, rows[0])


def _ground(file: Path, records: Records, changed: ChangedGround) -> Ground | None:
    ground = _levels(file, records)
    if ground is None or ground.digest == records[GROUND_GRID.name][0].get("digest"):
        return ground
    if changed is ChangedGround.ASK:
        raise NeedsAnswer(
            f'The levels in "{shown_name(file)}" are not those that were saved: '
            "another program changed them, or the file is damaged.",
            question="Take them as they are, or open the site without them?",
            choices=(
                Choice(ChangedGround.LEAVE, "Open without the levels"),
                Choice(ChangedGround.TAKE, "Take them as they are"),
            ),
            keyword="changed_ground",
        )
    if changed is ChangedGround.LEAVE:
        return None
    records[GROUND_GRID.name][0]["digest"] = ground.digest
    return ground


@contextmanager
def _naming(file: Path) -> Iterator[None]:
    """Puts the file's name before what is wrong inside it."""
    try:
        yield
    except NeedsAnswer:
        raise
    except GardenwaterError as problem:
        if shown_name(file) in problem.what:
            raise
        raise unreadable(file, reason(problem), problem.mend) from problem


@contextmanager
def reading(file: Path) -> Iterator[sqlite3.Connection]:
    """A connection for reading. A change that was cut off half-way is undone first, where that can be written."""
    connection = _connected(file)
    try:
        yield connection
    finally:
        connection.close()


def _connected(file: Path) -> sqlite3.Connection:
    for mode in ("rw", "ro", "ro&immutable=1"):
        with contextlib.suppress(sqlite3.OperationalError):
            connection = sqlite3.connect(f"{uri_of(file)}?mode={mode}", uri=True)
            try:
                connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
            except sqlite3.Error:
                connection.close()
                raise
            return connection
    raise unreadable(file, "another program holds it, or this user may not read it", "Close it there, and try again.")


def uri_of(file: PurePath) -> str:
    """A file's address for SQLite, which takes a server's name (on Windows, of a shared folder) in the path alone."""
    path = file.as_posix()
    return f"file://{'' if path.startswith('/') else '/'}{quote_from_bytes(os.fsencode(path), safe='/:')}"


def records_in(file: Path) -> Records:
    """All rows of a site file's tables, in the schema it was written in; FileError when it is no site."""
    _look_at_head(file)
    with reading(file) as connection:
        if not has_table(connection, SITE.name):
            raise unreadable(
                file, "it is a GeoPackage, but not a site of gardenwater", "Open a site that gardenwater saved."
            )
        return {name: read_table(connection, name) for name in _table_names(connection)}


def _table_names(connection: sqlite3.Connection) -> list[str]:
    """Every plain table and layer but the days, so that a migration finds those that are called otherwise today."""
    rows = connection.execute("SELECT table_name FROM gpkg_contents WHERE data_type IN ('features', 'attributes')")
    return [row[0] for row in rows if row[0] != WEATHER.name]


def _look_at_head(file: Path) -> None:
    """Tell a text file, another database, and a file that was cut short from a GeoPackage."""
    with file.open("rb") as stream:
        head = stream.read(_HEAD_BYTES)
    if not head:
        raise unreadable(file, "it is empty", _OLDER_COPY)
    if len(head) < _HEAD_BYTES or not head.startswith(b"SQLite format 3\0"):
        raise unreadable(file, "it is not a GeoPackage", "Open a site that gardenwater saved.")
    if struct.unpack_from(">I", head, 68)[0] not in APPLICATION_IDS:
        raise unreadable(file, "it is a database, but not a GeoPackage", "Open a site that gardenwater saved.")
    page_bytes, pages = struct.unpack_from(">H", head, 16)[0], struct.unpack_from(">I", head, 28)[0]
    whole = (65_536 if page_bytes == 1 else page_bytes) * pages
    size = file.stat().st_size
    if head[24:28] == head[92:96] and size < whole:
        raise unreadable(file, f"it is cut short: {size:,} of {whole:,} bytes are there", _OLDER_COPY)
