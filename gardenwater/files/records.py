"""A site as plain records and back: what the site file and the kept unsaved work have in common."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from typing import Any, TypeVar

from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry

from gardenwater.errors import FileError
from gardenwater.files.tables import (
    CHANGE,
    CONTOUR,
    GROUND_GRID,
    LEVEL_BOOK,
    LOG,
    MONTHLY,
    ORDER,
    SCHEMA_VERSION,
    SETTINGS,
    SHAPE,
    SITE,
    UNDERLAY_PLACE,
    WEATHER_RECORD,
    Record,
    Records,
    Table,
    kind_table,
)
from gardenwater.site.climate import MONTHS, ChangedClimate, Monthly, WeatherHandle
from gardenwater.site.model import (
    Contour,
    GroundHandle,
    GroundKind,
    LogEntry,
    Settings,
    Sight,
    Site,
    Survey,
    Underlay,
    UsualLine,
)
from gardenwater.site.things import KINDS, Thing
from gardenwater.weather import Weather, handle_of

V = TypeVar("V")
M = TypeVar("M", Monthly, ChangedClimate)
_OLDER_COPY = "Take an older copy of the file."
_LINE = "line_"
_LETTERS = "abcdef"
_OF_ALL_MONTHS = ("month", "source")


def records_of(site: Site, written_by: str) -> Records:
    """All of a site but the two rasters and the days of its weather, as rows of tables."""
    records: Records = {
        SITE.name: [
            {
                "schema_version": SCHEMA_VERSION,
                "written_by": written_by,
                "name": site.name,
                "about": site.about,
                "crs": site.crs,
            }
        ],
        SETTINGS.name: [_settings_record(site.settings)],
        LOG.name: [_record(LOG, entry) for entry in site.log],
        LEVEL_BOOK.name: [_record(LEVEL_BOOK, sight) for sight in site.survey.level_book],
        CONTOUR.name: [{SHAPE: c.shape, "level_m": c.level_m} for c in site.survey.contours],
        GROUND_GRID.name: [_grid_record(GROUND_GRID, site.ground)] if site.ground else [],
        UNDERLAY_PLACE.name: [_grid_record(UNDERLAY_PLACE, site.underlay)] if site.underlay else [],
        WEATHER_RECORD.name: [_weather_record(site.weather)] if site.weather else [],
        MONTHLY.name: _month_records(MONTHLY, site.monthly),
        CHANGE.name: _month_records(CHANGE, site.change),
    }
    records |= {kind.kind: [] for kind in KINDS}
    for order, thing in enumerate(site.things):
        row = _record(kind_table(type(thing)), thing, ORDER)
        records[thing.kind].append({SHAPE: shape_of(thing), ORDER: order} | row)
    return records


def shape_of(thing: Thing) -> BaseGeometry:
    """The geometry of a thing; every kind has one."""
    return thing.shape


def _record(table: Table, value: Any, *leave: str) -> Record:
    return {c.name: c.stored(getattr(value, c.name)) for c in table.columns if c.name not in leave}


def _settings_record(settings: Settings) -> Record:
    return {
        c.name: c.stored(
            getattr(settings, c.name)
            if hasattr(settings, c.name)
            else getattr(settings.line, c.name.removeprefix(_LINE))
        )
        for c in SETTINGS.columns
    }


def _grid_record(table: Table, handle: GroundHandle | Underlay) -> Record:
    numbers = {f"transform_{letter}": number for letter, number in zip(_LETTERS, handle.transform, strict=True)}
    notices = json.dumps(list(handle.notices), ensure_ascii=False)
    others = _record(table, handle, "notices", *numbers)
    return {c.name: (others | numbers | {"notices": notices})[c.name] for c in table.columns}


def _weather_record(handle: WeatherHandle) -> Record:
    notices = json.dumps(list(handle.notices), ensure_ascii=False)
    return _record(WEATHER_RECORD, handle, "start", "notices") | {"start": handle.start.isoformat(), "notices": notices}


def _month_records(table: Table, figures: Monthly | ChangedClimate | None) -> list[Record]:
    """One row a month, from 1."""
    names = [c.name for c in table.columns if c.name not in _OF_ALL_MONTHS]
    if figures is None:
        return []
    columns = {name: getattr(figures, name) or (None,) * MONTHS for name in names}
    return [
        {"month": number + 1, "source": figures.source} | {name: columns[name][number] for name in names}
        for number in range(MONTHS)
    ]


def site_of(records: Records, *, ground: Any = None, underlay: Any = None, weather: Any = None) -> Site:
    """The site that the records are of, its values of their right types but not checked; FileError that names one."""
    head = _one(SITE, records)
    place = _one(SETTINGS, records)
    return Site(
        name=head["name"],
        about=head["about"],
        crs=head["crs"],
        settings=_settings(place),
        things=_things(records),
        ground=_ground(records, ground),
        underlay=_underlay(records, underlay),
        survey=Survey(contours=_contours(records), level_book=_all(LEVEL_BOOK, records, Sight)),
        weather=_weather(records, weather),
        monthly=_months(MONTHLY, records, Monthly),
        change=_months(CHANGE, records, ChangedClimate),
        log=_all(LOG, records, LogEntry),
    )


def _one(table: Table, records: Records) -> Record:
    rows = records.get(table.name, [])
    if len(rows) != 1:
        raise FileError(f'Table "{table.name}" must have one row and has {len(rows)}.', mend=_OLDER_COPY)
    return _values(table, rows[0], f'Table "{table.name}"')


def _values(table: Table, row: Mapping[str, Any], where: str) -> Record:
    """The row's values, each of its column's type; a column that an older file lacks has its usual value."""
    values: Record = {}
    for column in table.columns:
        if column.name not in row and column.default is None and column.needed:
            raise FileError(
                f'{where} has no column "{column.name}".',
                mend="Put the column back, or take an older copy of the file.",
            )
        try:
            values[column.name] = column.read(row.get(column.name, column.stored(column.default)))
        except ValueError as problem:
            raise FileError(
                f"{where}, {column.name} {problem}.", mend="Mend it in the program that wrote it."
            ) from None
    return values


def _all(table: Table, records: Records, owner: type[V]) -> tuple[V, ...]:
    rows = records.get(table.name, [])
    return tuple(owner(**_values(table, row, f'Table "{table.name}", row {n}')) for n, row in enumerate(rows, 1))


def _settings(values: Record) -> Settings:
    own = {f.name for f in dataclasses.fields(Settings)} - {"line"}
    line = {name.removeprefix(_LINE): value for name, value in values.items() if name not in own}
    return Settings(**{name: values[name] for name in own}, line=UsualLine(**line))


def _contours(records: Records) -> tuple[Contour, ...]:
    return tuple(
        Contour(_shape(row, CONTOUR, where), _values(CONTOUR, row, where)["level_m"])
        for n, row in enumerate(records.get(CONTOUR.name, []), 1)
        for where in (f'Table "{CONTOUR.name}", row {n}',)
    )


def _shape(row: Mapping[str, Any], table: Table, where: str) -> Any:
    shape = row.get(SHAPE)
    if isinstance(shape, BaseMultipartGeometry) and len(shape.geoms) == 1:
        shape = shape.geoms[0]
    found = shape.geom_type if isinstance(shape, BaseGeometry) and not shape.is_empty else "empty"
    if found != table.geometry:
        raise FileError(f"{where}: its shape must be one {table.geometry} and is {found}.", mend="Draw it again.")
    return shape


def _things(records: Records) -> tuple[Thing, ...]:
    """The things in the order they were drawn; what another program added comes last and gets an id of its own."""
    read: list[tuple[float, Thing]] = []
    taken = {str(row["id"]) for kind in KINDS for row in records.get(kind.kind, []) if row.get("id")}
    for kind in KINDS:
        for number, row in enumerate(records.get(kind.kind, []), 1):
            order, thing = _thing(kind, row, number, taken)
            read.append((float("inf") if order is None else order, thing))
    read.sort(key=lambda pair: pair[0])
    return _none_twice(tuple(thing for _, thing in read))


def _thing(kind: type[Thing], row: Mapping[str, Any], number: int, taken: set[str]) -> tuple[int | None, Thing]:
    table = kind_table(kind)
    where = f'{kind.word} "{row["name"]}"' if row.get("name") else f"{kind.word} {row.get('id') or f'in row {number}'}"
    values = _values(table, row, where)
    order = values.pop(ORDER)
    values["id"] = values["id"] or _free_id(kind.kind, taken)
    thing = kind(**values, **{SHAPE: _shape(row, table, where)})
    return order, thing


def _free_id(kind: str, taken: set[str]) -> str:
    number = 1
    while f"{kind}-{number}" in taken:
        number += 1
    taken.add(f"{kind}-{number}")
    return f"{kind}-{number}"


def _none_twice(things: tuple[Thing, ...]) -> tuple[Thing, ...]:
    seen: set[str] = set()
    for thing in things:
        if thing.id in seen:
            raise FileError(
                f'Two things have the id "{thing.id}"; the second is {type(thing).word.lower()} "{thing.name}".',
                mend="Empty the id of one of them: it gets a new one.",
            )
        seen.add(thing.id)
    return things


def _grid_values(table: Table, records: Records) -> Record | None:
    if not records.get(table.name):
        return None
    values = _one(table, records)
    values["transform"] = tuple(values.pop(f"transform_{letter}") for letter in _LETTERS)
    values["notices"] = _notices(table, values["notices"])
    return values


def _notices(table: Table, stored: str) -> tuple[str, ...]:
    try:
        return tuple(str(notice) for notice in json.loads(stored))
    except (ValueError, TypeError):
        raise FileError(f'Table "{table.name}", notices is not a list of sentences.', mend=_OLDER_COPY) from None


def _weather(records: Records, payload: Weather | None) -> WeatherHandle | None:
    """The record of days; what it says of itself is read off the days, which another program may have changed."""
    if payload is None or not records.get(WEATHER_RECORD.name):
        return None
    values = _one(WEATHER_RECORD, records)
    notices = _notices(WEATHER_RECORD, values["notices"])
    if values["digest"] != payload.digest:
        notices += ("Another program changed its figures in the site file.",)
    return handle_of(payload.replaced(notices=notices))


def _months(table: Table, records: Records, owner: type[M]) -> M | None:
    """Twelve figures from the rows of a table, in any order; None when there are none."""
    rows = records.get(table.name, [])
    if not rows:
        return None
    read = [_values(table, row, f'Table "{table.name}", row {number}') for number, row in enumerate(rows, 1)]
    read.sort(key=lambda row: row["month"])
    if [row["month"] for row in read] != list(range(1, MONTHS + 1)):
        raise FileError(f'Table "{table.name}" has not one row for each month, 1 to 12.', mend=_OLDER_COPY)
    columns = {c.name: [row[c.name] for row in read] for c in table.columns if c.name not in _OF_ALL_MONTHS}
    known: dict[str, Any] = {name: None if None in values else values for name, values in columns.items()}
    return owner(**known, source=read[0]["source"])


def _ground(records: Records, payload: Any) -> GroundHandle | None:
    values = _grid_values(GROUND_GRID, records)
    if values is None or payload is None:
        return None
    try:
        values["kind"] = GroundKind(values["kind"])
    except ValueError:
        known = ", ".join(f'"{each}"' for each in GroundKind)
        what = f'Table "{GROUND_GRID.name}", kind is "{values["kind"]}", which is not known.'
        raise FileError(what, mend=f"Give one of: {known}.") from None
    return GroundHandle(**values, payload=payload)


def _underlay(records: Records, payload: Any) -> Underlay | None:
    values = _grid_values(UNDERLAY_PLACE, records)
    return None if values is None or payload is None else Underlay(**values, payload=payload)
