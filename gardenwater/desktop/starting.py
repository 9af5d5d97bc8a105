"""The ways to a new site (from a raster, from a picture, from an empty sheet), and what is brought in later."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gardenwater.desktop.attention import SCALE_TOOL
from gardenwater.desktop.choosing import LEVELS, PICTURES, TABLES, THINGS
from gardenwater.desktop.dialogs.place import PlaceSheet, Told
from gardenwater.desktop.filework import FileWork
from gardenwater.errors import GardenwaterError
from gardenwater.findings import Question
from gardenwater.site import edits
from gardenwater.site.model import GroundHandle, Settings, Site, Underlay
from gardenwater.site.things import BY_KIND, LevelPeg, Thing
from gardenwater.work import Cancel, Progress

NEXT_ON_RASTER = "The ground is here. Draw a roof, put a tank beside it, and ask Reach."
NEXT_ON_PICTURE = "Click two spots whose distance you know, then type how far apart they are and press Enter."
NEXT_ON_SCALED = "The picture lies to scale. Draw a roof, put a tank beside it, and add three level pegs."
NEXT_ON_EMPTY = "Draw a roof, put a tank beside it, and ask Reach."


@dataclass(frozen=True, slots=True)
class _Levels:
    """A raster that was read, and where on Earth it lies: latitude and longitude, degrees, None when not known."""

    handle: GroundHandle
    place: tuple[float, float] | None
    altitude_m: float | None


class Starts:
    """Begins sites, and brings rasters, pictures and things into one."""

    def __init__(self, work: FileWork) -> None:
        self._work = work
        self._desk = work.desk

    # new sites

    def from_raster(self) -> None:
        """Choose a raster of levels, answer what it leaves open, name the place."""
        work = self._work
        work.guard(lambda: work.choose.to_open("Start from a raster of levels", LEVELS, self.from_raster_at))

    def from_raster_at(self, path: Path) -> None:
        """The same with the file chosen."""

        def read(levels: _Levels) -> None:
            told = Told(name=_title(path), altitude_m=levels.altitude_m)
            if levels.place is not None:
                told = dataclasses.replace(told, latitude_deg=levels.place[0], longitude_deg=levels.place[1])
            self._ask_place(told, levels.handle.notices, lambda site: self._lay_first(site, levels.handle))

        self._read_levels(path, "", read)

    def from_picture(self) -> None:
        """Choose a picture, name the place, set it to scale."""
        work = self._work
        work.guard(lambda: work.choose.to_open("Start from a picture", PICTURES, self.from_picture_at))

    def from_picture_at(self, path: Path) -> None:
        """The same with the file chosen."""

        def job(cancel: Cancel, progress: Progress) -> tuple[Underlay, str]:
            from gardenwater.files import picture_facts, read_underlay

            facts = picture_facts(path)
            return read_underlay(path, crs=facts.crs, cancel=cancel, progress=progress), facts.crs

        def read(result: tuple[Underlay, str]) -> None:
            underlay, crs = result

            def begin(site: Site) -> None:
                self._begin(site.replace(crs=crs), f"Lay {path.name}", lambda s: edits.set_underlay(s, underlay))
                self._to_scale(underlay)

            self._ask_place(Told(name=_title(path)), underlay.notices, begin)

        self._work.run("Reading the picture", job, read)

    def from_empty(self) -> None:
        """Name the place and begin on an empty sheet."""

        def begin(site: Site) -> None:
            self._work.show_site(site, None)
            self._desk.noticed.emit(NEXT_ON_EMPTY)

        self._work.guard(lambda: self._ask_place(Told(name="Garden"), (), begin))

    def _ask_place(self, told: Told, notices: tuple[str, ...], then: Any) -> None:
        work = self._work

        def go(answers: Told) -> None:
            settings = Settings(
                units=work.preferences.units,
                latitude_deg=answers.latitude_deg,
                longitude_deg=answers.longitude_deg,
                altitude_m=answers.altitude_m,
                rain_year_mm=answers.rain_year_mm,
            )
            then(Site(name=answers.name, settings=settings))

        work.show(PlaceSheet(told, notices, go, work.preferences.units, work.look, work.window_))

    def _lay_first(self, site: Site, handle: GroundHandle) -> None:
        self._desk.ask(Question.GROUND)
        self._begin(site, f"Lay {handle.source}", lambda s: edits.set_ground(s, handle))
        self._desk.noticed.emit(NEXT_ON_RASTER)

    def _begin(self, site: Site, label: str, change: Any) -> None:
        """Show a new site whose first edit is what it was begun from: it counts as not saved."""
        self._work.show_site(site, None)
        self._desk.edit(label, change)
        self._work.wholeWanted.emit()

    def _to_scale(self, underlay: Underlay) -> None:
        from gardenwater.files import is_to_scale

        if is_to_scale(underlay):
            self._desk.noticed.emit(NEXT_ON_SCALED)
        else:
            self._desk.draw(SCALE_TOOL)
            self._desk.noticed.emit(NEXT_ON_PICTURE)

    # into a site that is there

    def import_levels(self) -> None:
        """Lay a raster of levels under the site."""
        self._work.choose.to_open("Import a raster of levels", LEVELS, self.import_levels_at)

    def import_levels_at(self, path: Path) -> None:
        """The same with the file chosen."""

        def read(levels: _Levels) -> None:
            if self._desk.edit(f"Lay {path.name}", lambda site: edits.set_ground(site, levels.handle)):
                self._work.wholeWanted.emit()
                self._desk.noticed.emit(" ".join(levels.handle.notices) or f"Levels are from {path.name} now.")

        self._read_levels(path, self._desk.present.crs, read)

    def _read_levels(self, path: Path, to_crs: str, done: Any) -> None:
        def job(answers: dict[str, Any], cancel: Cancel, progress: Progress) -> _Levels:
            from gardenwater.files import VerticalUnit, import_ground

            given = dict(answers)
            if "vertical_unit" in given:
                given["vertical_unit"] = VerticalUnit(given["vertical_unit"])
            handle = import_ground(path, to_crs=to_crs, cancel=cancel, progress=progress, **given)
            return _Levels(handle, place_of(handle), altitude_of(handle))

        self._work.run_asking("Reading levels", job, done)

    def import_picture(self) -> None:
        """Lay a picture under the plan."""
        self._work.choose.to_open("Import a picture", PICTURES, self.import_picture_at)

    def import_picture_at(self, path: Path) -> None:
        """The same with the file chosen."""
        crs = self._desk.present.crs

        def job(cancel: Cancel, progress: Progress) -> Underlay:
            from gardenwater.files import read_underlay

            return read_underlay(path, crs=crs, cancel=cancel, progress=progress)

        def read(underlay: Underlay) -> None:
            if self._desk.edit(f"Lay {path.name}", lambda site: edits.set_underlay(site, underlay)):
                self._to_scale(underlay)

        self._work.run("Reading the picture", job, read)

    def import_things(self) -> None:
        """Put the things of a table or of GeoJSON on the plan."""
        self._work.choose.to_open("Import things", THINGS, self.import_things_at)

    def import_pegs(self) -> None:
        """Put level pegs from a table with x, y and level on the plan."""
        choose = self._work.choose
        choose.to_open("Import level pegs", TABLES, lambda path: self.import_things_at(path, LevelPeg.kind))

    def remove_levels(self) -> None:
        """Take the raster of levels away: pegs, arrows and contours count again."""
        self._desk.edit("Take the raster away", lambda site: edits.set_ground(site, None))

    def import_things_at(self, path: Path, kind: str | None = None) -> None:
        """The same with the file chosen. kind: what all of them are, where the table does not say."""
        site = self._desk.present

        def job(answers: dict[str, Any], _cancel: Cancel, _progress: Progress) -> tuple[Thing, ...]:
            from gardenwater.files import read_things

            return read_things(path, kind=kind, site=site, **answers)

        def read(things: tuple[Thing, ...]) -> None:
            words = things_words(things)
            if self._desk.put(f"Import {words}", lambda now: edits.put(now, *things)):
                self._desk.noticed.emit(f"{words} from {path.name}.")

        self._work.run_asking("Reading things", job, read)


def things_words(things: tuple[Thing, ...]) -> str:
    """How many of a kind, or of all: "12 level pegs", "1 tank", "30 things"."""
    kinds = {thing.kind for thing in things}
    word = BY_KIND[kinds.pop()].word.lower() if len(kinds) == 1 else "thing"
    return f"{len(things)} {word}{'' if len(things) == 1 else 's'}"


def place_of(handle: GroundHandle) -> tuple[float, float] | None:
    """Latitude and longitude of the middle of a raster, degrees; None when its sheet is not placed on the Earth."""
    if not handle.crs:
        return None
    from pyproj import Transformer
    from pyproj.exceptions import ProjError

    a, _, c, _, e, f = handle.transform
    try:
        to_degrees = Transformer.from_crs(handle.crs, "EPSG:4326", always_xy=True)
        longitude, latitude = to_degrees.transform(c + a * handle.cols / 2, f + e * handle.rows / 2)
    except (ProjError, GardenwaterError):
        return None
    return round(float(latitude), 4), round(float(longitude), 4)


def altitude_of(handle: GroundHandle) -> float | None:
    """The middle level of a raster that is placed on the Earth, m; None for a sheet of its own."""
    if not handle.crs:
        return None
    import numpy as np

    levels = handle.payload.level_m
    return round(float(np.nanmedian(levels)), 1) if np.isfinite(levels).any() else None


def _title(path: Path) -> str:
    """A name for a site begun from a file: its stem in words."""
    words = path.stem.replace("_", " ").replace("-", " ").strip()
    return words[:1].upper() + words[1:] if words else "Garden"
