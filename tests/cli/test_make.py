"""Making a site without a window."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from affine import Affine

import gardenwater as gw
from gardenwater.cli import main
from gardenwater.ground import Ground
from gardenwater.site.model import GroundKind
from gardenwater.site.things import Building, Diverter, Roof, Tank
from gardenwater.units import UnitSystem


def one_line(words: str) -> str:
    assert words.count("\n") == 1
    assert words.startswith("gardenwater: ")
    return words


@pytest.fixture
def plain_raster(tmp_path: Path) -> Path:
    """20 x 30 cells of 1 m at 50, without a map reference."""
    path = tmp_path / "levels.tif"
    ground = Ground(np.full((20, 30), 50.0), Affine(1, 0, 0, 0, -1, 20))
    gw.files.write_raster(path, ground.level_m, ground)
    return path


def test_the_site_holds_what_was_given(site_file: Path) -> None:
    site = gw.open_site(site_file)
    assert site.name == "Plot"
    assert site.crs == "EPSG:28356"
    assert (site.settings.latitude_deg, site.settings.altitude_m, site.settings.rain_year_mm) == (-33.7, 980.0, 900.0)
    assert site.ground is not None
    assert (site.ground.rows, site.ground.cols, site.ground.kind) == (200, 200, GroundKind.BARE_EARTH)
    assert sorted(thing.name for thing in site) == ["Beans", "Diverter", "House", "Pipe", "Roof", "Tank"]
    diverter = site.of(Diverter)[0]
    assert site.thing(diverter.tank, Tank).name == "Tank"
    assert site.of(Roof)[0].eaves_height_m == 2.5


def test_several_tables_and_outlines_of_buildings(
    tmp_path: Path, plain_raster: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ring = [[2, 2], [8, 2], [8, 6], [2, 6], [2, 2]]
    outline = {"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
    houses = {"type": "FeatureCollection", "sheet": {}, "features": [outline]}
    (tmp_path / "houses.geojson").write_text(json.dumps(houses))
    (tmp_path / "tanks.csv").write_text("kind,name,x,y\ntank,Butt,10,4\n")
    (tmp_path / "taps.csv").write_text("kind,name,x,y,tank\ntap,Tap,10,5,Butt\n")
    target = tmp_path / "plot.gpkg"
    words = ["make", str(target), "--ground", str(plain_raster), "--crs", "", "--units", "us"]
    words += ["--buildings", str(tmp_path / "houses.geojson")]
    words += ["--things", str(tmp_path / "tanks.csv"), "--things", str(tmp_path / "taps.csv")]
    assert main(words) == 0
    assert capsys.readouterr().out == f"{target}: 3 things, ground of 30 by 20 cells\n"
    site = gw.open_site(target)
    assert site.of(Building)[0].shape.area == 24.0
    assert site.settings.units is UnitSystem.US


def test_a_site_without_a_raster_is_flat(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", str(tmp_path / "flat.gpkg"), "--name", "Flat"]) == 0
    assert "0 things, flat ground" in capsys.readouterr().out
    assert gw.open_site(tmp_path / "flat.gpkg").ground is None


def test_a_flat_site_lies_in_the_map_reference_that_is_given(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "tanks.csv").write_text("kind,name,lon,lat\ntank,Butt,9.0,48.0\n")
    words = ["make", str(tmp_path / "plot.gpkg"), "--things", str(tmp_path / "tanks.csv"), "--crs"]
    assert main([*words, "25832"]) == 0
    assert capsys.readouterr().out.endswith(": 1 thing, flat ground\n")
    site = gw.open_site(tmp_path / "plot.gpkg")
    assert site.crs == "EPSG:25832"
    assert site.of(Tank)[0].shape.x == pytest.approx(500_000, abs=0.01)  # 9 degrees east is the zone's middle


@pytest.mark.parametrize("crs", ["4326", "EPSG:2263", "EPSG:999999", "nowhere"])  # degrees, feet, unknown
def test_a_map_reference_that_no_site_can_lie_in(tmp_path: Path, capsys: pytest.CaptureFixture[str], crs: str) -> None:
    assert main(["make", str(tmp_path / "plot.gpkg"), "--crs", crs]) == 3
    assert "EPSG:25832" in one_line(capsys.readouterr().err)
    assert not (tmp_path / "plot.gpkg").exists()


def test_quiet_says_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", str(tmp_path / "flat.gpkg"), "--quiet"]) == 0
    assert capsys.readouterr() == ("", "")


def test_a_file_that_is_there_stays(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "plot.gpkg"
    target.write_text("a year of notes")
    assert main(["make", str(target)]) == 2
    assert "--replace" in one_line(capsys.readouterr().err)
    assert target.read_text() == "a year of notes"
    assert main(["make", str(target), "--replace"]) == 0
    assert gw.open_site(target).name == "Garden"


def test_a_raster_without_a_map_reference_names_the_option(
    tmp_path: Path, plain_raster: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["make", str(tmp_path / "plot.gpkg"), "--ground", str(plain_raster)]) == 2
    assert "Add --crs" in one_line(capsys.readouterr().err)
    assert not (tmp_path / "plot.gpkg").exists()


def test_levels_in_feet(tmp_path: Path, plain_raster: Path) -> None:
    words = ["make", str(tmp_path / "plot.gpkg"), "--ground", str(plain_raster), "--crs", "", "--raster-unit", "ft"]
    assert main(words) == 0
    site = gw.open_site(tmp_path / "plot.gpkg")
    assert site.ground is not None
    assert float(site.ground.payload.level_m[0, 0]) == pytest.approx(50 * 0.3048, abs=1e-5)  # the foot of 1959


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("kind,name,x,y\ntank,Butt,ten,4\n", 'row 2, "x"'),
        ("kind,name,x,y\nrocket,Butt,10,4\n", "rocket"),
        ("kind,name,x,y,water_l\ntank,Butt,10,4,9000\n", "row 2"),
        ("", "things.csv"),
        ("kind,name,x,y,tank\ntap,Tap,10,5,Butt\n", "Butt"),
    ],
)
def test_a_table_that_cannot_be_taken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], table: str, told: str
) -> None:
    (tmp_path / "things.csv").write_text(table)
    assert main(["make", str(tmp_path / "plot.gpkg"), "--things", str(tmp_path / "things.csv")]) == 3
    assert told in one_line(capsys.readouterr().err)
    assert not (tmp_path / "plot.gpkg").exists()


@pytest.mark.parametrize("content", [b"", b"not a raster", None])
def test_a_raster_that_cannot_be_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes | None
) -> None:
    raster = tmp_path / "unreadable.tif"
    if content is not None:
        raster.write_bytes(content)
    assert main(["make", str(tmp_path / "plot.gpkg"), "--ground", str(raster)]) == 3
    assert "unreadable.tif" in one_line(capsys.readouterr().err)
    assert not (tmp_path / "plot.gpkg").exists()


def test_a_setting_out_of_its_range(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", str(tmp_path / "plot.gpkg"), "--latitude", "123"]) == 3
    assert "Latitude" in one_line(capsys.readouterr().err)
