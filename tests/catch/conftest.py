"""Real outlines of buildings."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from shapely import Polygon
from shapely.geometry import shape


def outlines(path: Path) -> list[Polygon]:
    """The outlines of a GeoJSON file of buildings."""
    return [shape(feature["geometry"]) for feature in json.loads(path.read_text())["features"]]


@pytest.fixture(scope="session")
def bourgogne_outlines(shared_data: Path) -> list[Polygon]:
    """Four houses with vegetable plots (French national lidar, open)."""
    return outlines(shared_data / "site-bourgogne-fr" / "buildings.geojson")


@pytest.fixture(scope="session")
def delft_outlines(shared_data: Path) -> list[Polygon]:
    """160 buildings of the Dutch base register (open data) and 34 traced from points, one with a courtyard."""
    folder = shared_data / "site-delft-nl"
    return [*outlines(folder / "buildings_bgt.geojson"), *outlines(folder / "buildings_from_points.geojson")]
