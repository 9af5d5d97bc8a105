"""GeoJSON for other programs (RFC 7946)."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.files.aside import written_aside
from gardenwater.files.placing import moved

SHEET_MEMBER = "sheet"
_SHEET = {"placed_on_the_earth": False, "unit": "m", "axes": "x east, y north"}
_DEGREE_DIGITS = 9  # a tenth of a millimetre
_METRE_DIGITS = 4


@dataclass(frozen=True, slots=True)
class MapFeature:
    """One shape in metres of the site's CRS, with its properties: text, numbers, yes or no; NaN is written as null."""

    shape: BaseGeometry
    properties: Mapping[str, Any] = field(default_factory=dict)


def write_geojson(path: Path | str, features: Iterable[MapFeature], crs: str) -> None:
    """Write shapes for other programs: in longitude and latitude (WGS 84) when the site has a CRS.

    A site without one cannot be put there: its metres are written as they are, and the member "sheet" says so.
    Whole or not at all. Raises FileError when it cannot be written.
    """
    document: dict[str, Any] = {"type": "FeatureCollection"}
    if not crs:
        document[SHEET_MEMBER] = _SHEET
    document["features"] = [_feature(each, crs) for each in features]
    with written_aside(path) as aside:
        aside.write_text(json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n", "utf-8")


def _feature(feature: MapFeature, crs: str) -> dict[str, Any]:
    shape = (
        _rounded(moved(feature.shape, crs, "EPSG:4326"), _DEGREE_DIGITS)
        if crs
        else _rounded(feature.shape, _METRE_DIGITS)
    )
    return {
        "type": "Feature",
        "properties": {name: _plain(value) for name, value in feature.properties.items()},
        "geometry": json.loads(shapely.to_geojson(shapely.orient_polygons(shape, exterior_cw=False))),
    }


def _rounded(shape: BaseGeometry, digits: int) -> BaseGeometry:
    return shapely.transform(shape, lambda points: np.round(points, digits))


def _plain(value: Any) -> Any:
    """A value as JSON has it."""
    if isinstance(value, np.generic):
        value = value.item()
    return None if isinstance(value, float) and not math.isfinite(value) else value
