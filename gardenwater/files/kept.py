"""How unsaved work stands on the disk: one small file for the site, and one for each raster or record it refers to."""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from affine import Affine
from numpy.typing import NDArray

from gardenwater.errors import FileError, GardenwaterError
from gardenwater.files.aside import written_aside
from gardenwater.files.migrations import migrated
from gardenwater.files.records import records_of, site_of
from gardenwater.files.site_read import open_site
from gardenwater.files.site_weather import figures_of, weather_of_figures
from gardenwater.files.tables import GROUND_GRID, SHAPE, UNDERLAY_PLACE, WEATHER_RECORD, Record, Records, Table
from gardenwater.files.words import reason, unreadable
from gardenwater.ground import Ground
from gardenwater.site.climate import WeatherHandle
from gardenwater.site.model import GroundHandle, Site, Underlay
from gardenwater.weather import Weather

KEPT = "kept.json"
_DAMAGE = (GardenwaterError, shapely.errors.ShapelyError, KeyError, TypeError, ValueError, AttributeError)


@dataclass(frozen=True, slots=True)
class Found:
    """Unsaved work of a program that ended suddenly.

    path: the site file it belongs to, None for one that was never saved. name: the site's. when: when it was kept.
    saved: when the file had last been saved. changes: how many were made since. folder: where it is kept.
    """

    path: Path | None
    name: str
    when: dt.datetime
    saved: dt.datetime | None
    changes: int
    folder: Path


def write_kept(folder: Path, rasters: Path, site: Site, path: Path | None, changes: int) -> None:
    """Keep a site in a folder, whole or not at all; its rasters once, by their content."""
    much = [handle for handle in (site.ground, site.underlay, site.weather) if handle is not None]
    for handle in much:
        _write_raster(rasters, handle)
    document = {
        "path": str(path.absolute()) if path else "",
        "name": site.name,
        "when": dt.datetime.now().astimezone().isoformat(timespec="seconds"),
        "saved": _saved(path),
        "changes": changes,
        "rasters": sorted(raster_name(handle.digest) for handle in much),
        "records": {name: [_as_json(row) for row in rows] for name, rows in records_of(site, "").items()},
    }
    with written_aside(folder / KEPT) as aside:
        aside.write_text(json.dumps(document, ensure_ascii=False), "utf-8")


def found_in(folder: Path) -> Found | None:
    """What is kept in a folder, or None when there is nothing that can be read."""
    document = _document(folder)
    try:
        return Found(
            path=Path(document["path"]) if document["path"] else None,
            name=str(document["name"]),
            when=dt.datetime.fromisoformat(document["when"]),
            saved=dt.datetime.fromisoformat(document["saved"]) if document["saved"] else None,
            changes=int(document["changes"]),
            folder=folder,
        )
    except (KeyError, TypeError, ValueError):
        return None


def rasters_of(folder: Path) -> set[str]:
    """The names of the raster files that the work in a folder refers to."""
    names = _document(folder).get("rasters", [])
    return {str(name) for name in names} if isinstance(names, list) else set()


def read_kept(work: Found, rasters: Path) -> Site:
    """The site that is kept; its rasters from what was kept, else from its saved file, else it comes without them."""
    file = work.folder / KEPT
    document = _document(work.folder)
    if not document:
        raise unreadable(file, "it is no longer there", "Another window may have opened it.")
    try:
        stored = {name: [_from_json(row) for row in rows] for name, rows in document["records"].items()}
        records = migrated(stored, file)
        return site_of(records, **_payloads(records, rasters, work.path))
    except FileError:
        raise
    except _DAMAGE as problem:
        why = reason(problem) if isinstance(problem, GardenwaterError) else "it is damaged"
        raise unreadable(file, why, "Open the site as it was saved.") from problem


def raster_name(digest: str) -> str:
    """The name of the file that a raster of this content is kept in."""
    return hashlib.sha256(digest.encode()).hexdigest()[:40] + ".npy"


def _write_raster(rasters: Path, handle: GroundHandle | Underlay | WeatherHandle) -> None:
    """Keep a raster, or a record of days, unless it is kept; one that is kept is marked as used now."""
    rasters.mkdir(parents=True, exist_ok=True)
    file = rasters / raster_name(handle.digest)
    if file.exists():
        with contextlib.suppress(OSError):
            os.utime(file)
        return
    with written_aside(file) as aside, aside.open("wb") as stream:
        np.save(stream, _values(handle), allow_pickle=False)


def _values(handle: GroundHandle | Underlay | WeatherHandle) -> NDArray[Any]:
    if isinstance(handle, WeatherHandle):
        return figures_of(handle.payload)
    values: NDArray[Any] = handle.payload.level_m if isinstance(handle, GroundHandle) else handle.payload
    return values


def _saved(path: Path | None) -> str:
    with contextlib.suppress(OSError):
        if path is not None:
            return dt.datetime.fromtimestamp(path.stat().st_mtime).astimezone().isoformat(timespec="seconds")
    return ""


def _as_json(row: Record) -> Record:
    return {name: shapely.to_wkb(value, hex=True) if name == SHAPE else value for name, value in row.items()}


def _from_json(row: Record) -> Record:
    return {name: shapely.from_wkb(value) if name == SHAPE else value for name, value in row.items()}


def _document(folder: Path) -> dict[str, Any]:
    with contextlib.suppress(OSError, ValueError):
        document = json.loads((folder / KEPT).read_text("utf-8"))
        if isinstance(document, dict):
            return document
    return {}


def _payloads(records: Records, rasters: Path, path: Path | None) -> dict[str, Any]:
    """Ground, underlay and weather: from what was kept, else from the saved file where it has the same."""
    readers: dict[str, tuple[Table, Callable[[list[Record], Path], Any]]] = {
        "ground": (GROUND_GRID, _ground),
        "underlay": (UNDERLAY_PLACE, _underlay),
        "weather": (WEATHER_RECORD, _weather),
    }
    found = {name: read(records.get(table.name, []), rasters) for name, (table, read) in readers.items()}
    missing = [name for name, (table, _) in readers.items() if records.get(table.name) and found[name] is None]
    if missing and path is not None:
        with contextlib.suppress(GardenwaterError):
            saved = open_site(path)
            for name in missing:
                handle = getattr(saved, name)
                if handle is not None and handle.digest == _digest(records, readers[name][0].name):
                    found[name] = handle.payload
    return found


def _digest(records: Records, table: str) -> str:
    return "".join(str(row["digest"]) for row in records.get(table, []))


def _ground(rows: list[Record], rasters: Path) -> Ground | None:
    for row in rows:
        levels = _loaded(rasters, row)
        if levels is not None:
            transform = Affine(*(float(row[f"transform_{letter}"]) for letter in "abcdef"))
            ground = Ground(levels, transform, row["crs"])
            return ground if ground.digest == row["digest"] else None
    return None


def _underlay(rows: list[Record], rasters: Path) -> NDArray[np.uint8] | None:
    for row in rows:
        picture = _loaded(rasters, row)
        if picture is not None and picture.shape == (row["rows"], row["cols"], 4):
            picture.flags.writeable = False
            return picture
    return None


def _weather(rows: list[Record], rasters: Path) -> Weather | None:
    for row in rows:
        figures = _loaded(rasters, row)
        if figures is not None:
            weather = weather_of_figures(figures, row)
            return weather if weather.digest == row["digest"] else None
    return None


def _loaded(rasters: Path, row: Record) -> NDArray[Any] | None:
    with contextlib.suppress(OSError, ValueError, EOFError):
        loaded = np.load(rasters / raster_name(str(row["digest"])), allow_pickle=False)
        if isinstance(loaded, np.ndarray):
            return loaded
    return None
