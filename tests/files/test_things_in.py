"""Things from tables and from GeoJSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, box

from gardenwater.errors import FileError, InputError
from gardenwater.files import MapFeature, NeedsAnswer, read_things, write_geojson
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Building, Diverter, Downpipe, LevelPeg, Roof, Soakaway, Tank, Tree

UTM = Site(crs="EPSG:25832")


def table(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    """A table on the disk."""
    path = folder / "things.csv"
    path.write_bytes(text.encode(encoding))
    return path


def refused(path: Path, **options: Any) -> str:
    """The words in which a file is refused; they have a mend."""
    with pytest.raises(FileError) as caught:
        read_things(path, **options)
    assert caught.value.mend
    return str(caught.value)


def test_a_table_of_many_kinds_in_peoples_units(tmp_path: Path) -> None:
    """1 ft is 0.3048 m and 1 US gallon 3.785411784 L, by definition."""
    path = table(
        tmp_path,
        "kind,name,x,y,wkt,stand_height_ft,capacity_gal,tank,downpipe,roof,Eaves height (ft),crop,opaque,"
        "when the tank is full\n"
        "tank,Shed tank,10,20,,2,264.172052,,,,,,no,\n"
        'roof,Barn,,,"POLYGON ((0 0, 8 0, 8 6, 0 6, 0 0))",,,,,,10,,,\n'
        "downpipe,East,8,3,,,,,,Barn,,,,\n"
        "Diverter,,8,3,,,,Shed tank,East,,,,,whole pipe\n"
        'bed,Herbs,,,"POLYGON ((0 10, 2 10, 2 12, 0 10))",,,,,,,cabbage,,\n'
        "\n",
    )
    tank, roof, pipe, diverter, bed = read_things(path)
    assert isinstance(tank, Tank)
    assert tank.stand_height_m == pytest.approx(0.6096)
    assert tank.capacity_l == pytest.approx(1000.0)
    assert tank.shape == Point(10, 20)
    assert tank.opaque is False
    assert isinstance(roof, Roof)
    assert roof.eaves_height_m == pytest.approx(3.048)
    assert isinstance(pipe, Downpipe)
    assert pipe.roof == roof.id
    assert isinstance(diverter, Diverter)
    assert (diverter.tank, diverter.downpipe, diverter.form.value) == (tank.id, pipe.id, "whole pipe")
    assert isinstance(bed, Bed)
    assert bed.crop == "cabbage"
    assert [thing.id for thing in (tank, roof, pipe, diverter, bed)] == [
        "tank-1", "roof-1", "downpipe-1", "diverter-1", "bed-1",
    ]  # fmt: skip


def test_a_table_of_pegs_as_a_european_spreadsheet_writes_it(tmp_path: Path) -> None:
    path = table(
        tmp_path,
        "Name;East;North;Level (m)\nBöschung;1,5;−2,25;100,07\nTor;3;4;99\n",
        "cp1252" if False else "utf-8-sig",
    )
    pegs = read_things(path, kind="level pegs")
    assert [(peg.name, peg.shape, peg.level_m) for peg in pegs if isinstance(peg, LevelPeg)] == [
        ("Böschung", Point(1.5, -2.25), 100.07),
        ("Tor", Point(3, 4), 99.0),
    ]


def test_an_older_spreadsheet_and_tabs(tmp_path: Path) -> None:
    path = table(tmp_path, "name\tx\ty\tlevel_m\nBöschung\t1\t2\t100,5\n", "cp1252")
    (peg,) = read_things(path, kind=LevelPeg)
    assert peg == LevelPeg(id="level_peg-1", name="Böschung", shape=Point(1, 2), level_m=100.5)


def test_units_in_the_cell_and_grouped_thousands(tmp_path: Path) -> None:
    path = table(tmp_path, 'x,y,stand_height_m,capacity_l,width_ft\n0,0,2 ft,"1,500",4\n0,3,45 cm,300 gal,1.4 m\n')
    one, two = read_things(path, kind=Tank)
    assert isinstance(one, Tank)
    assert isinstance(two, Tank)
    assert (one.stand_height_m, one.capacity_l) == (pytest.approx(0.6096), 1500)
    assert one.width_m == pytest.approx(1.2192)
    assert (two.stand_height_m, two.width_m) == (pytest.approx(0.45), pytest.approx(1.4))
    assert two.capacity_l == pytest.approx(300 * 3.785411784)


def test_longitude_and_latitude_come_into_the_site_crs(tmp_path: Path) -> None:
    """9 E is the middle of zone 32: 500,000 m east. The northing at 50 N is pinned: PROJ 9 (Karney 2011) gives it."""
    path = table(tmp_path, "name,lon,lat,level_m\nA,9,50,100\n")
    (peg,) = read_things(path, kind=LevelPeg, site=UTM)
    assert peg.shape.x == pytest.approx(500_000, abs=1e-3)
    assert peg.shape.y == pytest.approx(5_538_630.70, abs=0.01)
    assert "the site is not placed on the Earth" in refused(path, kind=LevelPeg)


def test_a_table_in_another_crs(tmp_path: Path) -> None:
    path = table(tmp_path, "x,y,level_m\n1001875.417,6446275.841,100\n")
    (peg,) = read_things(path, kind=LevelPeg, site=UTM, written_in="EPSG:3857")
    assert peg.shape.x == pytest.approx(500_000, abs=0.1)


def test_a_site_that_has_things_already(tmp_path: Path) -> None:
    site = Site(things=(Tank(id="tank-1", name="Old", shape=Point(0, 0)),))
    path = table(tmp_path, "kind,x,y,tank\ntank,5,5,\ntap,5,6,Old\ntap,5,6,tank-1\n")
    tank, *taps = read_things(path, site=site)
    assert tank.id == "tank-2"
    assert [tap.tank for tap in taps] == ["tank-1", "tank-1"]  # type: ignore[attr-defined]  # they are taps
    assert 'the id "tank-1" is taken' in refused(table(tmp_path, "kind,id,x,y\ntank,tank-1,5,5\n"), site=site)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "there is nothing in it"),
        ("\n\n", "its first row has no heading that is known"),
        ("apple,pear\n1,2\n", "its first row has no heading that is known"),
        ("kind,x,y\n", "there is nothing in it"),
        ("kind,x,y,stand_hight_m\ntank,1,2,3\n", 'no thing has a field for the column "stand_hight_m"'),
        ("kind,x,y,stand_hight_m\ntank,1,2,3\n", 'Call it "stand_height_m", or leave it out.'),
        ("kind,x,y,x\ntank,1,2,3\n", 'two columns are called "x"'),
        ("kind,x,y\ntank,1,2,3\n", "row 2 has more cells than there are headings"),
        ("kind,x,y\ntank,1,2\nbarrel,1,2\n", 'row 3, "kind": no thing is called "barrel"'),
        ("kind,x,y\n,1,2\n", 'row 2, "kind": it does not say what the thing is'),
        ("x,y\n1,2\n", 'row 2, "kind": it does not say what the thing is'),
        ("kind,x,y\ntank,1,far\n", 'row 2, "y": "far" is no number'),
        ("kind,x,y\ntank,1,\n", 'row 2, "y": it has no place'),
        ("kind,x,y,stand_height_ft\ntank,1,2,tall\n", 'row 2, "stand_height_ft": "tall" is no height'),
        ("kind,x,y,stand_height_ft\ntank,1,2,20\n", "row 2, Tank: Stand height is 6.096"),
        ("kind,x,y,form\ntank,1,2,square\n", 'row 2, "form": "square" is not known. Give one of: upright, box, lying'),
        ("kind,x,y,opaque\ntank,1,2,perhaps\n", 'row 2, "opaque": "perhaps" is neither yes nor no'),
        ('kind,wkt,crop\nbed,"POLYGON ((0 0, 1 0, 1 1, 0 0))",gold\n', 'row 2, "crop": "gold" is not known'),
        ("kind,x,y,crop\ntank,1,2,cabbage\n", 'row 2, "crop": a tank has no such field'),
        ("kind,x,y\nbed,1,2\n", 'row 2, "shape": bed is an outline, and this is a point'),
        ("kind,wkt\nbed,POLYGON EMPTY\n", 'row 2, "shape": bed is an outline, and this is empty'),
        ("kind,crop,wkt\nbed,tomato,POINT (1 2)\n", 'Did you mean "tomatoes"? Give one of: none,'),
        ("kind,wkt\nbed,POLYGON 0 0\n", 'row 2, "wkt": it is no shape in well-known text'),
        ("kind,x,y,tank\ntap,1,2,Shed\n", 'row 2, "tank": there is no tank called "Shed"'),
        ("kind,name,x,y,tank\ntank,A,1,2,\ntank,A,1,3,\ntap,,1,2,A\n", 'row 4, "tank": there is more than one tank'),
        ("kind,id,x,y\ntank,a,1,2\ntank,a,1,3\n", 'row 3, "id": the id "a" is taken'),
        ('kind,x,y\ntank,"1,2\n', "line 2 is not of a table"),
        ("kind\0,x,y\n", "it is not text"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_taken_names_row_and_column(tmp_path: Path, text: str, words: str) -> None:
    said = refused(table(tmp_path, text))
    assert said.startswith('Could not read "things.csv": ')
    assert words in said


def test_a_kind_that_is_none(tmp_path: Path) -> None:
    with pytest.raises(InputError, match='No thing is called "barrel"'):
        read_things(table(tmp_path, "x,y\n1,2\n"), kind="barrel")


def geojson(folder: Path, *features: dict[str, Any], **members: Any) -> Path:
    """A feature collection on the disk."""
    path = folder / "map.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features, **members}))
    return path


def feature(shape: Any, **properties: Any) -> dict[str, Any]:
    """One feature."""
    return {"type": "Feature", "properties": properties, "geometry": json.loads(shapely.to_geojson(shape))}


def old_member(name: str) -> dict[str, Any]:
    """The `crs` member of GeoJSON before RFC 7946."""
    return {"crs": {"type": "name", "properties": {"name": name}}}


def test_outlines_are_buildings_and_old_members_are_honoured(tmp_path: Path) -> None:
    parts = MultiPolygon([box(500_020, 5e6, 500_030, 5e6 + 5), box(500_040, 5e6, 500_050, 5e6 + 5)])
    path = geojson(
        tmp_path,
        feature(box(500_000, 5e6, 500_010, 5e6 + 8), id=1, height_m=4.87, area_m2=80, name=None),
        feature(parts, name="Twin"),
        {"type": "Feature", "properties": None, "geometry": None},
        **old_member("urn:ogc:def:crs:EPSG::25832"),
    )
    things = read_things(path, site=UTM)
    assert [type(thing) for thing in things] == [Building] * 3
    assert [thing.id for thing in things] == ["building-1", "building-2", "building-3"]
    assert things[0] == Building(id="building-1", shape=things[0].shape, height_m=4.87)
    assert things[0].shape.equals(box(500_000, 5e6, 500_010, 5e6 + 8))
    assert [thing.name for thing in things[1:]] == ["Twin", "Twin"]


def test_real_outlines_old_and_new_agree(shared_data: Path) -> None:
    site = Site(crs="EPSG:28992")
    old = read_things(shared_data / "site-delft-nl" / "buildings_bgt.geojson", site=site)
    new = read_things(shared_data / "site-delft-nl" / "buildings_bgt_wgs84.geojson", site=site)
    assert len(old) == len(new) >= 160
    # the datum shift of the copies was done with another transformation: some decimetres
    assert max(a.shape.centroid.distance(b.shape.centroid) for a, b in zip(old, new, strict=True)) < 0.5
    french = Site(crs="EPSG:2154")
    assert len(read_things(shared_data / "site-bourgogne-fr" / "buildings.geojson", site=french)) == 4


def test_an_outline_that_crosses_itself_is_mended(tmp_path: Path) -> None:
    bow = Polygon([(0, 0), (4, 4), (4, 0), (0, 4)])
    path = geojson(tmp_path, feature(bow), sheet={"placed_on_the_earth": False})
    assert sum(thing.shape.area for thing in read_things(path)) == pytest.approx(8)


def test_what_we_wrote_comes_back(tmp_path: Path) -> None:
    tree = Tree(id="tree-1", name="Pear", shape=Point(500_000, 5e6).buffer(2), height_m=6.0)
    pit = Soakaway(id="soakaway-1", shape=box(500_010, 5e6, 500_012, 5e6 + 1), soak_mm_h=12.0)
    for site in (UTM, Site()):
        path = tmp_path / "map.geojson"
        write_geojson(
            path,
            [
                MapFeature(tree.shape, {"kind": "tree", "id": "tree-1", "name": "Pear", "height_m": 6.0}),
                MapFeature(pit.shape, {"kind": "soakaway", "soak_mm_h": 12.0, "odd": float("nan")}),
            ],
            site.crs,
        )
        for was, now in zip((tree, pit), read_things(path, site=site), strict=True):
            assert now.shape.hausdorff_distance(was.shape) < 1e-3
            assert (now.id, now.name) == (was.id, was.name)


def test_points_and_lines_must_say_what_they_are(tmp_path: Path) -> None:
    path = geojson(tmp_path, feature(LineString([(9, 50), (9.001, 50)])))
    assert "feature 1 is LineString, and it does not say what it is" in refused(path, site=UTM)
    (swale,) = read_things(path, kind="swale", site=UTM)
    assert swale.shape.length == pytest.approx(71.7, abs=0.1)  # 0.001 degrees at 50 N: 111.32 km cos(50) / 1000


def test_figures_that_are_no_degrees_are_asked_about(tmp_path: Path) -> None:
    path = geojson(tmp_path, feature(box(500_000, 5e6, 500_010, 5e6 + 8)))
    with pytest.raises(NeedsAnswer) as caught:
        read_things(path, site=UTM)
    assert [choice.value for choice in caught.value.choices] == ["EPSG:25832"]
    answer = {caught.value.keyword: caught.value.choices[0].value}
    assert len(read_things(path, site=UTM, **answer)) == 1  # type: ignore[arg-type]  # as the window gives it


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"type": "FeatureCollection", "features": [}', "line 1 is not JSON"),
        ('{"a": 1}', "it is JSON, but not GeoJSON"),
        ("[1, 2]", "it is JSON, but not GeoJSON"),
        ('{"type": "FeatureCollection", "features": [1]}', "its features are not features"),
        ('{"type": "Feature", "geometry": {"type": "Polygon", "coordinates": "x"}}', "feature 1 has no shape"),
        ('{"type": "Polygon", "coordinates": [[[9, 50], [9.1, 50], [9.1, 50.1], [9, 50]]]}', "the site is not placed"),
        ('{"type": "FeatureCollection", "features": []}', "there is nothing in it"),
        ('{"type": "Feature", "geometry": null, "crs": {"properties": {"name": "EPSG:9"}}}', "no map reference"),
    ],
)  # fmt: skip
def test_what_is_no_geojson(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "map.geojson"
    path.write_text(text)
    assert words in refused(path)


def test_a_value_that_cannot_be_taken_names_the_feature(tmp_path: Path) -> None:
    path = geojson(tmp_path, feature(box(9, 50, 9.001, 50.001), height_m=900))
    assert "feature 1, Building: Height is 900" in refused(path, site=UTM)
