"""`gardenwater make`: a site from a raster and tables of things, without a window."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gardenwater.cli.questions import needs_answer_in_words
from gardenwater.cli.status import Status, WordsError, interruptible, shown_progress
from gardenwater.cli.weathering import with_weather
from gardenwater.work import Cancel, Progress

if TYPE_CHECKING:
    from gardenwater.site.model import GroundHandle, Site


def run_make(asked: argparse.Namespace) -> Status:
    """Make the site that was asked for and save it.

    Raises WordsError for words that cannot be taken, FileError for an input that cannot be read, EditError for a thing
    that cannot be taken; nothing is written then.
    """
    target = Path(asked.site)
    if target.suffix.lower() != ".gpkg":
        raise WordsError(f'"{target.name}" does not end in .gpkg.', mend="Call the site file NAME.gpkg.")
    if target.exists() and not asked.replace:
        raise WordsError(f'"{target.name}" is there already.', mend="Name another file, or add --replace.")
    with interruptible() as cancel:
        with needs_answer_in_words():
            site = _site(asked, cancel, shown_progress(quiet=asked.quiet))
        from gardenwater.files import save_site
        from gardenwater.work import stop_if

        stop_if(cancel)
        save_site(site, target)
    if not asked.quiet:
        print(f"{target}: {_things_words(site)}, {_ground_words(site)}")
    return Status.DONE


def _site(asked: argparse.Namespace, cancel: Cancel, progress: Progress | None) -> Site:
    """The site in memory: ground first, so that things land in its CRS; a table may name things of those before it."""
    import gardenwater as gw
    from gardenwater.site import edits

    given = {
        "latitude_deg": asked.latitude,
        "altitude_m": asked.altitude,
        "rain_year_mm": asked.rain,
        "units": _units(asked.units),
    }
    settings = {name: value for name, value in given.items() if value is not None}
    # a raster may be drawn anew in another map reference than it is in, so that of the site is then its ground's
    site = gw.new_site(name=asked.name, crs="" if asked.ground else asked.crs or "", **settings)
    if asked.ground:
        site = edits.set_ground(site, _ground(asked, cancel, progress))
    if asked.buildings:
        site = _with_things(site, asked.buildings, kind="building")
    for table in asked.things:
        site = _with_things(site, table)
    return with_weather(site, asked)


def _units(words: str) -> Any:
    from gardenwater.units import UnitSystem

    return UnitSystem(words)


def _ground(asked: argparse.Namespace, cancel: Cancel, progress: Progress | None) -> GroundHandle:
    from gardenwater.files import VerticalUnit, import_ground
    from gardenwater.site.model import GroundKind

    kinds = {"bare-earth": GroundKind.BARE_EARTH, "surface": GroundKind.SURFACE, None: None}
    if asked.raster_kind not in kinds:
        raise WordsError(f'"{asked.raster_kind}" is no kind of raster.', mend="Give bare-earth or surface.")
    try:
        unit = VerticalUnit(asked.raster_unit) if asked.raster_unit else None
    except ValueError:
        known = ", ".join(each.value for each in VerticalUnit)
        raise WordsError(f'"{asked.raster_unit}" is no unit of levels.', mend=f"Give one of {known}.") from None
    return import_ground(
        asked.ground,
        kind=kinds[asked.raster_kind],
        vertical_unit=unit,
        crs=asked.crs,
        cancel=cancel,
        progress=progress,
    )


def _with_things(site: Site, table: str, kind: str | None = None) -> Site:
    from gardenwater.files import read_things
    from gardenwater.site import edits

    return edits.put(site, *read_things(table, kind=kind, site=site))


def _things_words(site: Site) -> str:
    count = len(site.things)
    return f"{count} thing" if count == 1 else f"{count} things"


def _ground_words(site: Site) -> str:
    return f"ground of {site.ground.cols} by {site.ground.rows} cells" if site.ground else "flat ground"
