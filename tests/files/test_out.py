"""What is written for other programs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import rasterio
from shapely import LineString, Point, Polygon, box
from shapely.geometry import shape

from gardenwater.errors import FileError, InputError
from gardenwater.files import MapFeature, read_ground, write_geojson, write_raster
from gardenwater.ground import Ground
from tests.files.conftest import ODD, a_ground


def test_a_raster_of_answers(tmp_path: Path) -> None:
    ground = a_ground(300, 280)
    minutes = np.where(np.isnan(ground.level_m), np.nan, ground.level_m.astype(float) / 7)
    write_raster(tmp_path / "a.tif", minutes, ground, description="minutes per can", unit="min")
    with rasterio.open(tmp_path / "a.tif") as dataset:
        assert (dataset.driver, dataset.dtypes, dataset.count) == ("GTiff", ("float32",), 1)
        assert dataset.profile["tiled"]
        assert dataset.profile["compress"] == "deflate"
        assert np.isnan(dataset.nodata)
        assert dataset.crs.to_epsg() == 28356
        assert dataset.transform == ODD
        assert (dataset.descriptions, dataset.units) == (("minutes per can",), ("min",))
        assert np.array_equal(dataset.read(1), minutes.astype(np.float32), equal_nan=True)


@pytest.mark.parametrize("values", [np.eye(40, 50, dtype=np.uint8), np.eye(40, 50) > 0, np.eye(40, 50, dtype=np.int16)])
def test_whole_numbers_and_flags(tmp_path: Path, values: np.ndarray) -> None:  # type: ignore[type-arg]
    write_raster(tmp_path / "a.tif", values, a_ground(crs=""))
    with rasterio.open(tmp_path / "a.tif") as dataset:
        assert dataset.nodata is None
        assert dataset.crs is None
        assert np.array_equal(dataset.read(1), values)


def test_levels_written_are_levels_read(tmp_path: Path) -> None:
    ground = a_ground()
    write_raster(tmp_path / "a.tif", ground.level_m, ground, unit="m")
    assert read_ground(tmp_path / "a.tif").digest == ground.digest


def test_values_that_do_not_fit(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="do not fit"):
        write_raster(tmp_path / "a.tif", np.zeros((3, 3)), a_ground())
    with pytest.raises(FileError, match="there is no folder"):
        write_raster(tmp_path / "gone" / "a.tif", np.zeros((40, 50)), a_ground())
    assert not list(tmp_path.iterdir())


def test_a_raster_takes_the_place_of_another(tmp_path: Path) -> None:
    small, large = a_ground(20, 20), a_ground(600, 600)
    for ground in (large, small):
        write_raster(tmp_path / "a.tif", ground.level_m, ground)
    assert read_ground(tmp_path / "a.tif").shape == (20, 20)
    assert [path.name for path in tmp_path.iterdir()] == ["a.tif"]


def test_shapes_in_longitude_and_latitude(tmp_path: Path) -> None:
    """RFC 7946: WGS 84, longitude first, no crs member, outer rings against the clock. 500,000 m east is 9 E."""
    ring = Polygon([(500_000, 5e6), (500_000, 5e6 + 50), (500_080, 5e6 + 50), (500_080, 5e6)], [])
    assert not ring.exterior.is_ccw
    write_geojson(
        tmp_path / "a.geojson",
        [
            MapFeature(ring, {"level_m": np.float32(1.5), "name": "Teich", "hours": float("inf"), "wet": np.True_}),
            MapFeature(LineString([(500_000, 5e6), (500_010, 5e6)])),
        ],
        "EPSG:25832",
    )
    document = json.loads((tmp_path / "a.geojson").read_text("utf-8"))
    assert document.keys() == {"type", "features"}
    pond, route = document["features"]
    assert pond["properties"] == {"level_m": 1.5, "name": "Teich", "hours": None, "wet": True}
    assert pond["geometry"]["coordinates"][0][0] == pytest.approx([9, 45.15], abs=0.01)
    assert shape(pond["geometry"]).exterior.is_ccw
    assert route["geometry"]["type"] == "LineString"
    assert route["properties"] == {}


def test_it_opens_in_a_gis(tmp_path: Path) -> None:
    import pyogrio

    write_geojson(tmp_path / "a.geojson", [MapFeature(box(500_000, 5e6, 500_010, 5e6 + 1), {"a": 1})], "EPSG:25832")
    info = pyogrio.read_info(tmp_path / "a.geojson")
    assert (info["crs"], info["features"], info["geometry_type"]) == ("EPSG:4326", 1, "Polygon")


def test_a_sheet_that_is_not_placed_says_so(tmp_path: Path) -> None:
    write_geojson(tmp_path / "a.geojson", [MapFeature(Point(3.25, 4.5))], "")
    document = json.loads((tmp_path / "a.geojson").read_text())
    assert document["sheet"] == {"placed_on_the_earth": False, "unit": "m", "axes": "x east, y north"}
    assert document["features"][0]["geometry"] == {"type": "Point", "coordinates": [3.25, 4.5]}


def test_a_ground_without_any_gap_is_whole(tmp_path: Path) -> None:
    ground = Ground(np.full((5, 5), 3.0), ODD)
    write_raster(tmp_path / "a.tif", ground.level_m, ground)
    assert (read_ground(tmp_path / "a.tif", crs="").level_m == 3.0).all()
