"""The site file: what is saved is what is opened, and any GIS reads it."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import numpy as np
import pytest
from affine import Affine
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point

from gardenwater.files import import_ground, open_site, save_site
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import KINDS, Tank
from tests.files.conftest import DATA, ODD, a_ground, an_underlay, handle_of
from tests.strategies import sites


def saved(site: Site, folder: Path) -> Site:
    """The site after a turn through a file."""
    file = folder / "site.gpkg"
    save_site(site, file)
    return open_site(file)


def same_levels(one: Site, other: Site) -> bool:
    """Whether the levels are the same bit by bit."""
    assert one.ground is not None
    assert other.ground is not None
    return bool(one.ground.payload.level_m.tobytes() == other.ground.payload.level_m.tobytes())


def test_a_site_comes_back_as_it_was(site: Site, tmp_path: Path) -> None:
    back = saved(site, tmp_path)
    assert back == site
    assert [thing.id for thing in back] == [thing.id for thing in site]
    assert same_levels(site, back)
    assert site.ground is not None
    assert back.ground is not None
    assert back.ground.payload.transform == site.ground.payload.transform
    assert back.ground.payload.digest == site.ground.digest
    assert site.underlay is not None
    assert back.underlay is not None
    assert np.array_equal(back.underlay.payload, site.underlay.payload)
    assert not back.underlay.payload.flags.writeable


def test_an_empty_site_comes_back(tmp_path: Path) -> None:
    assert saved(Site(), tmp_path) == Site()


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(site=sites())
def test_any_site_comes_back(site: Site, tmp_path: Path) -> None:
    assert saved(site, tmp_path) == site


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rows=st.integers(2, 40),
    cols=st.integers(2, 40),
    seed=st.integers(0, 99),
    cell=st.tuples(st.floats(0.01, 30), st.floats(0.01, 30)),
    corner=st.tuples(st.floats(-1e6, 1e6), st.floats(-1e7, 1e7)),
)
def test_any_ground_comes_back_bit_by_bit(
    rows: int, cols: int, seed: int, cell: tuple[float, float], corner: tuple[float, float], tmp_path: Path
) -> None:
    random = np.random.default_rng(seed)
    levels = random.normal(50, 40, (rows, cols)).astype(np.float32)
    levels[random.random((rows, cols)) < 0.3] = np.nan
    ground = Ground(levels, Affine(cell[0], 0, corner[0], 0, -cell[1], corner[1]))
    back = saved(Site(ground=handle_of(ground)), tmp_path).ground
    assert back is not None
    assert back.payload.transform == ground.transform
    assert back.payload.level_m.tobytes() == ground.level_m.tobytes()


def test_a_block_of_no_data_larger_than_a_tile_stays_no_data(tmp_path: Path) -> None:
    """Tiles are 256 by 256; one that is all nodata comes back as 0.0 m where a nodata tag is given."""
    levels = np.full((1000, 900), 12.5, dtype=np.float32)
    levels[100:800, 150:850] = np.nan
    levels[900:, 0:100] = 0.0
    site = Site(ground=handle_of(Ground(levels, ODD)))
    back = saved(site, tmp_path)
    assert same_levels(site, back)
    assert back.ground is not None
    assert int(np.isnan(back.ground.payload.level_m).sum()) == 700 * 700


@pytest.mark.parametrize("name", ["nsw_dtm_1m.tif", "delft_dtm_0p5m.tif"])
def test_real_ground_comes_back(name: str, tmp_path: Path) -> None:
    handle = import_ground(DATA / name)
    site = Site(crs=handle.crs, ground=handle)
    back = saved(site, tmp_path)
    assert back == site
    assert same_levels(site, back)


@pytest.mark.parametrize(
    "path", ["site-bourgogne-fr/dtm_0p5m.tif", "site-delft-nl/dtm_0p5m.tif", "site-nsw-au/dtm_1m.tif"]
)
def test_shared_ground_comes_back(path: str, shared_data: Path, tmp_path: Path) -> None:
    handle = import_ground(shared_data / path)
    site = Site(crs=handle.crs, ground=handle)
    back = saved(site, tmp_path)
    assert back == site
    assert same_levels(site, back)


def test_saving_again_keeps_the_ground_and_takes_the_new_things(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "site.gpkg"
    save_site(site, file)
    tiles = _tiles(file)
    changed = site.replace(things=site.things[1:], name="Other")
    save_site(changed, file)
    assert open_site(file) == changed
    assert _tiles(file) == tiles


def _tiles(file: Path) -> list[tuple[object, ...]]:
    with sqlite3.connect(file) as connection:
        tiles = connection.execute("SELECT * FROM ground ORDER BY id").fetchall()
    connection.close()
    return tiles


def test_another_ground_takes_the_place_of_the_first(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "site.gpkg"
    save_site(site, file)
    other = site.replace(ground=handle_of(a_ground(600, 300)))
    save_site(other, file)
    back = open_site(file)
    assert back == other
    assert same_levels(other, back)
    larger = file.stat().st_size
    save_site(other.replace(ground=None), file)
    assert open_site(file) == other.replace(ground=None)
    assert file.stat().st_size < larger


def test_a_picture_that_was_moved_is_written_where_it_lies_now(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "site.gpkg"
    save_site(site, file)
    moved = site.replace(underlay=an_underlay((0.25, 0, 100, 0, -0.25, 200)))
    save_site(moved, file)
    assert open_site(file) == moved
    import rasterio

    with rasterio.open(file, TABLE="underlay") as dataset:
        assert dataset.bounds.left == 100
        assert dataset.bounds.top == 200


def test_layers_of_another_program_stay(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "site.gpkg"
    save_site(site, file)
    with sqlite3.connect(file) as connection:
        connection.execute("CREATE TABLE hedges (fid INTEGER PRIMARY KEY, name TEXT)")
        connection.execute("INSERT INTO hedges VALUES (1, 'beech')")
        connection.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier) VALUES ('hedges', 'attributes', 'hedges')"
        )
    connection.close()
    save_site(site.replace(name="Other"), file)
    connection = sqlite3.connect(file)
    assert connection.execute("SELECT name FROM hedges").fetchall() == [("beech",)]
    connection.close()
    assert open_site(file).name == "Other"


def test_a_spatial_index_of_another_program_does_not_stop_a_save(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "site.gpkg"
    save_site(site, file)
    with sqlite3.connect(file) as connection:
        connection.execute("CREATE VIRTUAL TABLE rtree_tank_shape USING rtree(id, minx, maxx, miny, maxy)")
        connection.execute(
            "CREATE TRIGGER rtree_tank_shape_insert AFTER INSERT ON tank BEGIN"
            " INSERT INTO rtree_tank_shape VALUES (NEW.fid, ST_MinX(NEW.shape), ST_MaxX(NEW.shape), 0, 1); END"
        )
        connection.execute(
            "INSERT INTO gpkg_extensions VALUES ('tank', 'shape', 'gpkg_rtree_index', 'x', 'write-only')"
        )
    connection.close()
    changed = site.replace(name="Other")
    save_site(changed, file)
    assert open_site(file) == changed


def test_a_thing_added_by_a_gis_has_our_defaults_and_comes_last(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "site.gpkg"
    save_site(site, file)
    import pyogrio.raw

    pyogrio.raw.write(
        file,
        geometry=np.array([bytes(Point(8, 9).wkb)]),
        field_data=[np.array(["new one"], dtype=object)],
        fields=["name"],
        layer="tank",
        driver="GPKG",
        geometry_type="Point",
        crs="EPSG:28356",
        append=True,
    )
    back = open_site(file)
    added = back.things[-1]
    assert back.things[:-1] == site.things
    assert added == Tank(id="tank-3", name="new one", shape=Point(8, 9))


def test_the_file_can_be_moved_alone(site: Site, tmp_path: Path) -> None:
    save_site(site, tmp_path / "site.gpkg")
    assert [path.name for path in tmp_path.iterdir()] == ["site.gpkg"]
    elsewhere = tmp_path / "a folder with ?, # and %" / "sïte.gpkg"
    elsewhere.parent.mkdir()
    (tmp_path / "site.gpkg").rename(elsewhere)
    assert open_site(elsewhere) == site
    save_site(site.replace(name="There"), elsewhere)
    assert open_site(elsewhere).name == "There"


def test_every_layer_reads_with_pyogrio(site: Site, tmp_path: Path) -> None:
    import pyogrio
    import pyogrio.raw
    import shapely

    file = tmp_path / "site.gpkg"
    save_site(site, file)
    layers = dict(pyogrio.list_layers(file))
    assert {kind.kind: kind.geometry for kind in KINDS}.items() <= layers.items()
    assert layers.keys() - {kind.kind for kind in KINDS} == {
        "contour", "site", "settings", "level_book", "log", "ground_grid", "underlay_place", "weather",
        "weather_record", "monthly", "changed_climate",
    }  # fmt: skip
    for name, geometry in layers.items():
        info = pyogrio.read_info(file, layer=name)
        things = [thing for thing in site if thing.kind == name]
        if geometry is not None:
            assert info["crs"] == "EPSG:28356"
        if name in {kind.kind for kind in KINDS}:
            assert info["features"] == len(things)
            meta, _, shapes, columns = pyogrio.raw.read(file, layer=name)
            read = dict(zip(meta["fields"], columns, strict=True))
            for number, thing in enumerate(things):
                assert shapely.from_wkb(shapes[number]) == thing.shape
                assert read["id"][number] == thing.id
                assert read["name"][number] == thing.name
                assert bool(read["locked"][number]) is thing.locked
    meta, _, _, columns = pyogrio.raw.read(file, layer="tank")
    tanks = dict(zip(meta["fields"], columns, strict=True))
    assert list(tanks["stand_height_m"]) == [0.3, 0.2]
    meta, _, _, columns = pyogrio.raw.read(file, layer="settings", read_geometry=False)
    assert dict(zip(meta["fields"], columns, strict=True))["can_l"][0] == 9.0
    meta, _, _, columns = pyogrio.raw.read(file, layer="site", read_geometry=False)
    assert dict(zip(meta["fields"], columns, strict=True))["schema_version"][0] == 1


def test_both_rasters_read_with_rasterio(site: Site, tmp_path: Path) -> None:
    import rasterio

    file = tmp_path / "site.gpkg"
    save_site(site, file)
    assert site.ground is not None
    assert site.underlay is not None
    with rasterio.open(file, TABLE="ground") as dataset:
        assert dataset.dtypes == ("float32",)
        assert dataset.crs.to_epsg() == 28356
        assert np.array_equal(dataset.read(1), site.ground.payload.level_m, equal_nan=True)
        assert dataset.transform.almost_equals(ODD, precision=1e-8)
    with rasterio.open(file, TABLE="underlay") as dataset:
        assert np.array_equal(np.moveaxis(dataset.read(), 0, -1), site.underlay.payload)
        assert tuple(dataset.transform)[:6] == site.underlay.transform


def test_a_turned_picture_comes_back_and_is_not_put_in_a_wrong_place(site: Site, tmp_path: Path) -> None:
    import rasterio

    turned = site.replace(underlay=an_underlay((0.4, 0.3, 12, 0.3, -0.4, 15)))
    back = saved(turned, tmp_path)
    assert back == turned
    assert back.underlay is not None
    assert turned.underlay is not None
    assert np.array_equal(back.underlay.payload, turned.underlay.payload)
    with rasterio.open(tmp_path / "site.gpkg", TABLE="underlay") as dataset:
        assert not dataset.crs.is_projected
        assert not dataset.crs.is_geographic


def test_a_sheet_that_is_not_placed_opens_in_a_gis(tmp_path: Path) -> None:
    import pyogrio
    import rasterio

    site = Site(things=(Tank(id="tank-1", shape=Point(3, 4)),), ground=handle_of(a_ground(crs="")))
    assert saved(site, tmp_path) == site
    file = tmp_path / "site.gpkg"
    assert "Undefined Cartesian" in pyogrio.read_info(file, layer="tank")["crs"]
    assert list(pyogrio.read_info(file, layer="tank")["total_bounds"]) == [3, 4, 3, 4]
    with rasterio.open(file, TABLE="ground") as dataset:
        assert "Undefined Cartesian" in dataset.crs.to_wkt()


def test_a_crs_without_a_number_is_kept_word_by_word(tmp_path: Path) -> None:
    import pyogrio
    from pyproj import CRS

    words = CRS.from_proj4("+proj=tmerc +lat_0=10 +lon_0=20.5 +k=1 +x_0=5000 +y_0=0 +ellps=GRS80 +units=m").to_wkt()
    site = Site(crs=words, things=(Tank(id="tank-1", shape=Point(3, 4)),), ground=handle_of(a_ground(crs=words)))
    assert saved(site, tmp_path) == site
    read = CRS.from_user_input(pyogrio.read_info(tmp_path / "site.gpkg", layer="tank")["crs"])
    assert read.is_projected
    assert 'PARAMETER["central_meridian",20.5]' in read.to_wkt("WKT1_GDAL")


def test_the_standard_own_checks_hold(site: Site, tmp_path: Path) -> None:
    """OGC 12-128 requirements 2, 6, 7, 10, 13 and 21 to 25, as far as SQL can tell."""
    file = tmp_path / "site.gpkg"
    save_site(site, file)
    connection = sqlite3.connect(file)
    ask = connection.execute
    assert ask("PRAGMA application_id").fetchone() == (0x47504B47,)
    assert ask("PRAGMA integrity_check").fetchone() == ("ok",)
    assert ask("PRAGMA foreign_key_check").fetchall() == []
    assert {row[0] for row in ask("SELECT srs_id FROM gpkg_spatial_ref_sys")} >= {-1, 0, 4326, 28356}
    listed = dict(ask("SELECT table_name, data_type FROM gpkg_contents").fetchall())
    assert set(listed.values()) == {"features", "attributes", "tiles", "2d-gridded-coverage"}
    for table, kind in listed.items():
        keys = [row for row in ask(f'PRAGMA table_info("{table}")') if row[5]]
        assert [key[2] for key in keys] == ["INTEGER"], table
        if kind == "features":
            assert ask("SELECT count(*) FROM gpkg_geometry_columns WHERE table_name = ?", (table,)).fetchone() == (1,)
    connection.close()
