"""GeoJSON, new (RFC 7946: longitude and latitude) and old (with a `crs` member)."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.files.asking import Choice, NeedsAnswer
from gardenwater.files.geojson_out import SHEET_MEMBER
from gardenwater.files.headers import heading_for, kind_called
from gardenwater.files.placing import LOCAL, crs_of_words, moved
from gardenwater.files.things_in import Raw
from gardenwater.files.words import shown_name, unreadable
from gardenwater.site.things import Building, Thing

_DEGREES = "EPSG:4326"
_EXPORT = "Export it again as GeoJSON."


def features_of(file: Path, kind: type[Thing] | None, site_crs: str, written_in: str | None) -> Iterator[Raw]:
    """The things in a GeoJSON file, as it has them; what its properties call otherwise than we do is left out.

    A feature is of the kind in its property `kind`, else of `kind`; an outline without either is a building.
    """
    document = _document(file)
    features = _features(document, file)
    shapes = [_shape(feature, number, file) for number, feature in enumerate(features, 1)]
    source = _source(document, shapes, file, site_crs, written_in)
    for number, (feature, shape) in enumerate(zip(features, shapes, strict=True), 1):
        if shape is None:
            continue
        properties = feature.get("properties") or {}
        ours = kind_called(str(properties.get("kind", "")))
        own = ours or kind or _kind_of_shape(shape, number, file)
        fields = tuple(
            (heading, name, value)
            for name, value in properties.items()
            if (heading := heading_for(own, name)) is not None and (ours or name != "id")
        )
        placed = shape if source == site_crs else moved(shape, source, site_crs)
        yield Raw(own, f"feature {number}", placed, fields)


def _document(file: Path) -> dict[str, Any]:
    try:
        document = json.loads(file.read_text("utf-8-sig"))
    except UnicodeDecodeError as problem:
        raise unreadable(file, "it is not text in UTF-8", _EXPORT) from problem
    except json.JSONDecodeError as problem:
        raise unreadable(file, f"line {problem.lineno} is not JSON ({problem.msg.lower()})", _EXPORT) from problem
    if not isinstance(document, dict):
        raise unreadable(file, "it is JSON, but not GeoJSON", _EXPORT)
    return document


def _features(document: dict[str, Any], file: Path) -> list[dict[str, Any]]:
    if document.get("type") == "FeatureCollection" and isinstance(document.get("features"), list):
        features: list[Any] = document["features"]
    elif document.get("type") == "Feature":
        features = [document]
    elif "coordinates" in document or "geometries" in document:
        features = [{"geometry": document}]
    else:
        raise unreadable(file, "it is JSON, but not GeoJSON", _EXPORT)
    if not all(isinstance(feature, dict) for feature in features):
        raise unreadable(file, "its features are not features", _EXPORT)
    return features


def _shape(feature: dict[str, Any], number: int, file: Path) -> BaseGeometry | None:
    geometry = feature.get("geometry")
    if geometry is None:
        return None
    try:
        return shapely.from_geojson(json.dumps(geometry))
    except (shapely.errors.ShapelyError, TypeError, ValueError) as problem:
        raise unreadable(file, f"feature {number} has no shape that can be read", _EXPORT) from problem


def _source(
    document: dict[str, Any], shapes: list[BaseGeometry | None], file: Path, site_crs: str, written_in: str | None
) -> str:
    """The CRS of the file's coordinates: as told, as it says, or longitude and latitude."""
    if written_in:
        crs_of_words(written_in, file)
    if written_in is not None:
        source = written_in
    elif SHEET_MEMBER in document:
        source = LOCAL
    else:
        source = _old_member(document, file) or _DEGREES
    if (
        source == _DEGREES
        and written_in is None
        and any(shape and max(map(abs, shape.bounds)) > 180 for shape in shapes)
    ):
        raise _ask(file, site_crs)
    if source == LOCAL or not any(shapes):
        return site_crs
    if not site_crs:
        raise unreadable(
            file, "the site is not placed on the Earth, and this is", "Give the site a map reference first."
        )
    return source


def _old_member(document: dict[str, Any], file: Path) -> str:
    member = document.get("crs")
    name = (member.get("properties") or {}).get("name") if isinstance(member, dict) else None
    if not isinstance(name, str) or not name:
        return ""
    if "CRS84" in name:
        return _DEGREES
    crs_of_words(name, file)
    return name


def _ask(file: Path, site_crs: str) -> NeedsAnswer:
    site = Choice(site_crs or LOCAL, f"As the site's ({site_crs})" if site_crs else "A sheet of its own, in metres")
    return NeedsAnswer(
        f'Could not read "{shown_name(file)}": it should be in degrees and is not, and it does not say what it is in.',
        question="Say which map reference it is in.",
        choices=(site,),
        keyword="written_in",
        typed=True,
    )


def _kind_of_shape(shape: BaseGeometry, number: int, file: Path) -> type[Thing]:
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return Building
    raise unreadable(
        file,
        f"feature {number} is {shape.geom_type}, and it does not say what it is",
        "Say which kind of thing they are.",
    )
