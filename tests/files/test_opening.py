"""Files that cannot be opened: each its clear words with the mend, none a traceback of another library."""

from __future__ import annotations

import dataclasses
import sqlite3
from pathlib import Path, PurePath, PurePosixPath, PureWindowsPath

import pytest
from shapely import LineString, Point

from gardenwater.errors import FileError
from gardenwater.files import ChangedGround, NeedsAnswer, open_site, save_site
from gardenwater.files.migrations import migrated
from gardenwater.files.site_read import uri_of
from gardenwater.files.tables import SCHEMA_VERSION, Records
from gardenwater.site import edits
from gardenwater.site.model import Settings, Site
from gardenwater.site.things import Diverter, Link, PipeWay, Tank


@pytest.fixture
def file(site: Site, tmp_path: Path) -> Path:
    """A site file."""
    path = tmp_path / "hill.gpkg"
    save_site(site, path)
    return path


def change(file: Path, *commands: str) -> None:
    """Change a site file as another program may."""
    connection = sqlite3.connect(file)
    for command in commands:
        connection.execute(command)
    connection.commit()
    connection.close()


def refused(path: Path) -> str:
    """The words in which a file is refused; they have a mend."""
    with pytest.raises(FileError) as caught:
        open_site(path)
    assert caught.value.mend
    return str(caught.value)


def test_there_is_none(tmp_path: Path) -> None:
    assert refused(tmp_path / "no.gpkg").startswith('Could not read "no.gpkg": there is no such file.')


def test_a_folder(tmp_path: Path) -> None:
    assert "is not a file" in refused(tmp_path)


def test_an_empty_file(tmp_path: Path) -> None:
    (tmp_path / "a.gpkg").write_bytes(b"")
    assert "it is empty" in refused(tmp_path / "a.gpkg")


def test_text_named_so(tmp_path: Path) -> None:
    (tmp_path / "a.gpkg").write_text("Dear diary,\n" * 100)
    assert refused(tmp_path / "a.gpkg").startswith('Could not read "a.gpkg": it is not a GeoPackage.')


def test_another_database(tmp_path: Path) -> None:
    change(tmp_path / "a.gpkg", "CREATE TABLE t (a)")
    assert "a database, but not a GeoPackage" in refused(tmp_path / "a.gpkg")


def test_another_geopackage(tmp_path: Path) -> None:
    import numpy as np
    import pyogrio.raw

    pyogrio.raw.write(
        tmp_path / "a.gpkg",
        geometry=np.array([], dtype=object),
        field_data=[],
        fields=[],
        layer="roads",
        driver="GPKG",
        geometry_type="Point",
        crs="EPSG:28356",
    )
    assert "but not a site of gardenwater" in refused(tmp_path / "a.gpkg")


@pytest.mark.parametrize("share", [0.01, 0.3, 0.5, 0.9, 0.999])
def test_one_that_is_cut_short(file: Path, share: float) -> None:
    whole = file.read_bytes()
    file.write_bytes(whole[: int(len(whole) * share)])
    assert "it is cut short" in refused(file)


def test_one_whose_pages_are_overwritten(file: Path) -> None:
    whole = bytearray(file.read_bytes())
    whole[4096 : len(whole) // 2] = b"\x5a" * (len(whole) // 2 - 4096)
    file.write_bytes(whole)
    assert "damaged" in refused(file)


def test_a_later_version(file: Path) -> None:
    change(file, "UPDATE site SET schema_version = 4")
    before = file.read_bytes()
    assert refused(file).startswith(
        '"hill.gpkg" was written by a later version (schema 4; this one reads up to 1). Nothing was changed.'
    )
    assert file.read_bytes() == before


@pytest.mark.parametrize("version", ["NULL", "0", "'one'"])
def test_no_version(file: Path, version: str) -> None:
    change(file, f"UPDATE site SET schema_version = {version}")
    assert "which version wrote it" in refused(file)


@pytest.mark.parametrize("column", ["stand_height_m", "form", "opaque", "note"])
def test_a_column_that_an_older_file_lacks_has_its_usual_value(file: Path, column: str) -> None:
    before = open_site(file)
    change(file, f"ALTER TABLE tank DROP COLUMN {column}", "ALTER TABLE settings DROP COLUMN can_l")
    usual = {each.name: each.default for each in dataclasses.fields(Tank)}[column]
    after = open_site(file)
    assert after.settings == dataclasses.replace(before.settings, can_l=Settings().can_l)
    assert after.of(Tank) == tuple(dataclasses.replace(tank, **{column: usual}) for tank in before.of(Tank))


def test_a_pipe_of_an_older_file_lies_as_pipes_do_unless_told(file: Path) -> None:
    tanks = [tank.id for tank in open_site(file).of(Tank)][:2]
    laid = Diverter(id="div", shape=Point(1, 1), tank=tanks[0], feeder_way=PipeWay.GROUND)
    dug = Link(id="link", shape=LineString([(1, 1), (5, 5)]), tank_a=tanks[0], tank_b=tanks[1], way=PipeWay.STRAIGHT)
    save_site(edits.put(open_site(file), laid, dug), file)
    before = open_site(file)
    assert [each.feeder_way for each in before.of(Diverter)] == [PipeWay.GROUND]
    assert [each.way for each in before.of(Link)] == [PipeWay.STRAIGHT]
    change(file, "ALTER TABLE diverter DROP COLUMN feeder_way", "ALTER TABLE link DROP COLUMN way")
    after = open_site(file)
    assert [each.feeder_way for each in after.of(Diverter)] == [PipeWay.STRAIGHT]
    assert [each.way for each in after.of(Link)] == [PipeWay.GROUND]


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("ALTER TABLE contour DROP COLUMN level_m", 'Table "contour", row 1 has no column "level_m"'),
        ("ALTER TABLE site DROP COLUMN name", 'Table "site" has no column "name"'),
        ("DELETE FROM settings", 'Table "settings" must have one row and has 0'),
        ("DELETE FROM site", "which version wrote it"),
        ("UPDATE tank SET stand_height_m = 9 WHERE id = 'tank-2'", "Shed tank: Stand height is 9\u00a0m"),
        ("UPDATE tank SET stand_height_m = 'high'", 'stand_height_m is "high", which is not a number'),
        ("UPDATE tank SET stand_height_m = NULL WHERE id = 'tank-1'", "Tank tank-1, stand_height_m is empty"),
        ("UPDATE tank SET form = 'square'", 'form is "square", which is none of: upright, box, lying'),
        ("UPDATE tank SET opaque = 'maybe'", 'opaque is "maybe", which is not yes (1) or no (0)'),
        ("UPDATE tank SET name = 7 WHERE id = 'tank-2'", ""),
        ("UPDATE tank SET id = 'bed-1' WHERE id = 'tank-1'", 'Two things have the id "bed-1"'),
        ("UPDATE tank SET shape = NULL WHERE id = 'tank-2'", "its shape must be one Point and is empty"),
        ("UPDATE tank SET shape = x'0102' WHERE id = 'tank-2'", "its shape must be one Point and is empty"),
        ("UPDATE bed SET shape = (SELECT shape FROM tank)", 'Bed "Herbs": its shape must be one Polygon and is Point'),
        ("UPDATE bed SET crop = 'gold'", 'Herbs: Crop is "gold"'),
        ("DELETE FROM tank WHERE id = 'tank-2'", "There is no tank here"),
        ("UPDATE ground_grid SET kind = 'sea bed'", 'kind is "sea bed", which is not known'),
        ("UPDATE ground_grid SET notices = '3'", "notices is not a list of sentences"),
        ("UPDATE ground_grid SET rows = 41", 'Raster "ground" and table "ground_grid" do not agree'),
        ("UPDATE ground_grid SET transform_a = -1", "does not describe a grid"),
        ("UPDATE ground_grid SET transform_a = 'wide'", "does not describe a grid"),
        ("UPDATE underlay_place SET opacity = 'thin'", 'opacity is "thin", which is not a number'),
        ("UPDATE contour SET level_m = NULL", 'Table "contour", row 1, level_m is empty'),
        ("UPDATE level_book SET spot = NULL", 'Table "level_book", row 1, spot is empty'),
    ],
)  # fmt: skip
def test_what_cannot_be_taken_is_named(file: Path, command: str, words: str) -> None:
    change(file, command)
    if words:
        said = refused(file)
        assert said.startswith('Could not read "hill.gpkg": ')
        assert words in said
    else:
        assert open_site(file).get("tank-2").name == "7"  # type: ignore[union-attr]  # SQLite makes it text


def test_a_layer_that_was_dropped_has_no_things(file: Path, site: Site) -> None:
    change(file, "DROP TABLE swale", "DELETE FROM gpkg_contents WHERE table_name = 'swale'")
    assert open_site(file) == site


def test_a_ground_that_is_gone(file: Path) -> None:
    change(file, "DROP TABLE ground", "DELETE FROM gpkg_contents WHERE table_name = 'ground'")
    assert 'Could not read "hill.gpkg"' in refused(file)


def test_a_ground_that_another_program_changed_is_asked_about(file: Path, site: Site) -> None:
    change(file, "DELETE FROM ground")
    with pytest.raises(NeedsAnswer) as caught:
        open_site(file)
    answers = [choice.value for choice in caught.value.choices]
    assert answers == ["leave", "take"]
    assert caught.value.keyword == "changed_ground"
    assert open_site(file, changed_ground=ChangedGround.LEAVE) == site.replace(ground=None)
    taken = open_site(file, **{caught.value.keyword: answers[1]})  # type: ignore[arg-type]  # as the window gives it
    assert taken.ground is not None
    assert taken.ground.digest == taken.ground.payload.digest


def test_an_older_version_is_brought_up_step_by_step() -> None:
    def second(records: Records) -> Records:
        return records | {"tank": [{**row, "stand_height_m": row["stand_cm"] / 100} for row in records["tank"]]}

    def third(records: Records) -> Records:
        return records | {"tank": [{**row, "opaque": 1} for row in records["tank"]]}

    old: Records = {"site": [{"schema_version": 1}], "tank": [{"stand_cm": 30}]}
    new = migrated(old, Path("a.gpkg"), steps={1: second, 2: third}, current=3)
    assert new["tank"] == [{"stand_cm": 30, "stand_height_m": 0.3, "opaque": 1}]
    assert old["tank"] == [{"stand_cm": 30}]


def test_every_older_version_has_its_step() -> None:
    from gardenwater.files.migrations import STEPS

    assert sorted(STEPS) == list(range(1, SCHEMA_VERSION))


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        (PurePosixPath("/home/me/hill 1.gpkg"), "file:///home/me/hill%201.gpkg"),
        (PurePosixPath("/home/me/what?#%.gpkg"), "file:///home/me/what%3F%23%25.gpkg"),
        (PureWindowsPath(r"C:\gardens\hill.gpkg"), "file:///C:/gardens/hill.gpkg"),
        # SQLite: a share of a server is written with four slashes, as the part after two would be an authority
        (PureWindowsPath(r"\\server\gardens\hill.gpkg"), "file:////server/gardens/hill.gpkg"),
    ],
)
def test_the_address_of_a_file_for_sqlite(path: PurePath, uri: str) -> None:
    assert uri_of(path) == uri


def test_a_file_whose_name_has_signs_of_addresses(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "50 % of what? #1.gpkg"
    save_site(site, file)
    assert open_site(file) == site
