"""Saving a site file: whole or not at all."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import time
from collections.abc import Iterator, Mapping
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import EditError, FileError, GardenwaterError
from gardenwater.files.aside import replace, target_of, written_aside
from gardenwater.files.geopackage import make_base, put_srs, put_table, srs_of, transaction
from gardenwater.files.gis import gdal
from gardenwater.files.records import records_of
from gardenwater.files.site_rasters import (
    GROUND,
    UNDERLAY,
    drop_raster,
    put_ground,
    put_underlay,
    without_hidden_colour,
)
from gardenwater.files.site_read import read_back, reading, records_in
from gardenwater.files.site_weather import rows_of_weather
from gardenwater.files.tables import (
    GROUND_GRID,
    SCHEMA_VERSION,
    SITE,
    TABLES,
    UNDERLAY_PLACE,
    WEATHER,
    WEATHER_RECORD,
    Record,
    Records,
)
from gardenwater.files.words import reason, unsaved
from gardenwater.site.model import Site
from gardenwater.site.validate import check_site

_SPARE_SHARE = 0.25
_LOCK_WAIT_S = 5.0
_NOT_EQUAL = "the disk did not take it: what was read back is not what was written"
_LITTLE_BYTES = 4_000_000


def save_site(site: Site, path: Path | str) -> None:
    """Save a site to one file, a GeoPackage that any GIS opens: whole or not at all, and checked by reading it back.

    A ground, picture or record of days that the file has already is copied and not written again; layers that another
    program put into the file stay in it.

    Raises FileError when the disk is full, the folder cannot be written to or is gone, another program holds the file,
    or the site holds what cannot be taken (a number that is not one); what was on disk is as it was.
    """
    target = target_of(path)
    try:
        check_site(site)
    except EditError as problem:
        raise unsaved(target, reason(problem), problem.mend) from problem
    records = records_of(site, _program())
    with written_aside(target, put_database) as aside:
        if not _added_to_old(target, aside, site, records):
            _write_anew(aside, target, site, records)


def _program() -> str:
    try:
        return f"gardenwater {version('gardenwater')}"
    except PackageNotFoundError:
        return "gardenwater"


def _write_anew(aside: Path, target: Path, site: Site, records: Records) -> None:
    aside.write_bytes(b"")
    make_base(aside)
    _put_all(aside, target, site, records, there=())
    why = _difference(aside, site)
    if why and shutil.disk_usage(aside.parent).free < _LITTLE_BYTES:
        why = "the disk is full"  # GDAL leaves tiles out then, and says nothing
    if why:
        raise unsaved(target, why)


def _added_to_old(target: Path, aside: Path, site: Site, records: Records) -> bool:
    """Start from a copy of the file on disk when it holds much of this site; False when it comes out wrong."""
    there = _much_there(target)
    kept = [name for name, mark in _marks(records).items() if there.get(name) == mark]
    if not kept:
        return False
    with contextlib.suppress(sqlite3.Error, FileError, OSError):
        _copy(target, aside)
        for name in there.keys() - {*kept, WEATHER.name}:
            drop_raster(aside, name)
        _put_all(aside, target, site, records, there=tuple(kept))
        _squeeze(aside)
        return not _difference(aside, site)
    return False


def _copy(target: Path, aside: Path) -> None:
    """A copy of the file on disk; one that another program writes to is copied with what stands in its log."""
    if not any(log.exists() for log in _logs(target)):
        shutil.copyfile(target, aside)
        return
    with reading(target.resolve()) as old, contextlib.closing(sqlite3.connect(aside)) as new:
        old.backup(new)


def _logs(target: Path) -> tuple[Path, ...]:
    return tuple(target.with_name(target.name + tail) for tail in ("-wal", "-journal"))


def _marks(records: Records) -> Mapping[str, Record]:
    """What each raster is known by, its content, its place and its CRS; and what the record of days is known by."""
    crs = records[SITE.name][0]["crs"]
    marks: dict[str, Record] = {}
    for name, table in ((GROUND, GROUND_GRID), (UNDERLAY, UNDERLAY_PLACE)):
        for row in records.get(table.name, []):
            grid = {key: row.get(key) for key in ("digest", *(f"transform_{letter}" for letter in "abcdef"))}
            marks[name] = grid | {"crs": row.get("crs", crs)}
    for row in records.get(WEATHER_RECORD.name, []):
        marks[WEATHER.name] = {"digest": row.get("digest")}
    return marks


def _much_there(target: Path) -> Mapping[str, Record]:
    """The rasters and the record of days in the file on disk, when it is a site file of today's schema."""
    with contextlib.suppress(FileError, OSError, sqlite3.Error, LookupError):
        records = records_in(target.resolve(strict=True))
        if records[SITE.name][0]["schema_version"] == SCHEMA_VERSION:
            return _marks(records)
    return {}


def _put_all(aside: Path, target: Path, site: Site, records: Records, there: tuple[str, ...]) -> None:
    srs = srs_of(site.crs)
    with transaction(aside) as connection:
        put_srs(connection, srs)
        for name, table in TABLES.items():
            if name != WEATHER.name:
                put_table(connection, table, records[name], srs)
        if WEATHER.name not in there:
            put_table(connection, WEATHER, rows_of_weather(site.weather.payload) if site.weather else (), srs)
    with _gdal_in_words(target):
        if site.ground and GROUND not in there:
            put_ground(aside, site.ground)
        if site.underlay and UNDERLAY not in there:
            put_underlay(aside, site.underlay, site.crs)


@contextlib.contextmanager
def _gdal_in_words(target: Path) -> Iterator[None]:
    with gdal() as package:
        try:
            yield
        except package.errors.RasterioError as problem:
            raise unsaved(target, f"the levels or the picture could not be written ({problem})") from problem


def _squeeze(aside: Path) -> None:
    """Give back the room of a raster that was dropped."""
    with contextlib.closing(sqlite3.connect(aside)) as connection:
        spare = connection.execute("PRAGMA freelist_count").fetchone()[0]
        if spare > _SPARE_SHARE * connection.execute("PRAGMA page_count").fetchone()[0]:
            connection.execute("VACUUM")


def _difference(aside: Path, site: Site) -> str:
    """What is different when the file is read back; empty when nothing is."""
    try:
        back = read_back(aside)
    except GardenwaterError as problem:
        return reason(problem)
    if back != site:
        return _NOT_EQUAL
    pairs: list[tuple[NDArray[Any], NDArray[Any]]] = []
    if site.ground and back.ground:
        pairs.append((site.ground.payload.level_m.view(np.uint32), back.ground.payload.level_m.view(np.uint32)))
    if site.underlay and back.underlay:
        pairs.append((without_hidden_colour(site.underlay.payload), back.underlay.payload))
    return "" if all(np.array_equal(wrote, read) for wrote, read in pairs) else _NOT_EQUAL


def put_database(aside: Path, target: Path) -> None:
    """Put a database in the place of another, with regard to programs that hold that one open.

    One that is open with a log beside it (as a GIS has it) must not be replaced: the log would be played into the new
    file. And Windows replaces no file that is open. In both cases SQLite copies into it, under its lock, as one change.
    """
    if not any(log.exists() for log in _logs(target)):
        try:
            replace(aside, target)
        except PermissionError:
            if not target.exists():
                raise
        else:
            return
    _copy_into(aside, target)


def _copy_into(aside: Path, target: Path) -> None:
    give_up = time.monotonic() + _LOCK_WAIT_S

    def look_at_the_clock(status: int, _left: int, _all: int) -> None:
        # SQLite's copy waits for a lock without end
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > give_up:
            raise sqlite3.OperationalError("database is locked")

    with (
        contextlib.closing(sqlite3.connect(aside)) as new,
        contextlib.closing(sqlite3.connect(target, timeout=_LOCK_WAIT_S)) as old,
    ):
        new.backup(old, progress=look_at_the_clock)
