"""A save is whole or not at all: what was on disk survives a full disk, a lost folder, other programs, and a kill."""

from __future__ import annotations

import errno
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from shapely import Point

from gardenwater.errors import FileError
from gardenwater.files import aside, open_site, save_site, site_write, written_aside
from gardenwater.site.model import Site
from gardenwater.site.things import Tank
from tests.files.conftest import a_ground, handle_of

ROOT = Path(__file__).resolve().parents[2]


def with_tank(site: Site, name: str) -> Site:
    """The site with one thing more."""
    return site.replace(things=(*site.things, Tank(id="tank-9", name=name, shape=Point(7, 7))))


def names_in(folder: Path) -> list[str]:
    """What is in a folder."""
    return sorted(path.name for path in folder.iterdir())


@pytest.fixture
def file(site: Site, tmp_path: Path) -> Path:
    """A site file, saved a while ago."""
    path = tmp_path / "hill.gpkg"
    save_site(site, path)
    return path


def refused(site: Site, path: Path) -> str:
    """The words in which a save is refused; they have a mend, and nothing is left lying about."""
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(FileError) as caught:
        save_site(site, path)
    assert caught.value.mend
    assert (path.read_bytes() if path.is_file() else None) == before
    if path.parent.is_dir():
        assert not [name for name in names_in(path.parent) if "saving" in name]
    return str(caught.value)


def test_no_folder(site: Site, tmp_path: Path) -> None:
    said = refused(site, tmp_path / "gone" / "hill.gpkg")
    assert "Nothing was written. Save elsewhere, or make it." in said


def test_a_folder_of_that_name(site: Site, tmp_path: Path) -> None:
    (tmp_path / "hill.gpkg").mkdir()
    assert '"hill.gpkg" is a folder' in refused(site, tmp_path / "hill.gpkg")


def test_a_file_set_to_be_read_only(site: Site, file: Path) -> None:
    file.chmod(0o444)
    assert '"hill.gpkg" is set to be read only' in refused(with_tank(site, "A"), file)


def test_a_folder_that_cannot_be_written_to(site: Site, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As for a user who may not; whoever runs the tests as root may everything."""

    def not_allowed(*_: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(aside.os, "open", not_allowed)
    said = refused(with_tank(site, "A"), file)
    assert "cannot be written to. The file on disk is as it was at " in said


def test_the_time_of_the_last_save_is_said(site: Site, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    today = time.mktime((*time.localtime()[:3], 14, 2, 0, 0, 0, -1))
    os.utime(file, (today, today))

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(aside.os, "fsync", full)
    said = refused(with_tank(site, "A"), file)
    assert said == (
        "Not saved: the disk is full. The file on disk is as it was at 14:02. Save elsewhere, or make room."
    )
    os.utime(file, (0, 0))
    assert time.strftime("at %Y-%m-%d %H:%M", time.localtime(0)) in refused(with_tank(site, "A"), file)


_LITTLE_ROOM = """
import resource, signal, sys
from pathlib import Path
import numpy as np
from gardenwater.errors import FileError
from gardenwater.files import open_site, save_site
from tests.files.conftest import a_ground, handle_of
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
file, room = Path(sys.argv[1]), int(sys.argv[2])
site = open_site(file)
site = site.replace(ground=handle_of(a_ground(900, 900)))
resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
try:
    save_site(site, file)
except FileError as problem:
    print(problem)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="the system cannot limit the size of a file")
@pytest.mark.parametrize("room", [0, 20_000, 150_000, 600_000, 1_000_000])
def test_a_disk_that_takes_only_so_much(site: Site, file: Path, room: int) -> None:
    """The system refuses to write past a size, as a full disk does, wherever the save has got to."""
    done = subprocess.run(
        [sys.executable, "-c", _LITTLE_ROOM, file, str(room)], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert done.stdout.startswith("Not saved: ")
    assert "the disk" in done.stdout
    assert open_site(file) == site
    assert names_in(file.parent) == ["hill.gpkg"]


def test_what_no_file_can_hold(site: Site, file: Path) -> None:
    impossible = Tank(id="tank-9", name="Odd", shape=Point(7, 7), width_m=float("nan"))
    assert "Odd" in refused(site.replace(things=(impossible,)), file)
    assert "signs that cannot be shown" in refused(site.replace(name="\ud800"), file)


def test_the_mode_of_the_file_is_kept_and_a_link_stays_a_link(site: Site, file: Path, tmp_path: Path) -> None:
    if sys.platform != "win32":
        file.chmod(0o640)
    link = tmp_path / "link.gpkg"
    link.symlink_to(file)
    changed = with_tank(site, "A")
    save_site(changed, link)
    assert link.is_symlink()
    assert open_site(file) == changed
    if sys.platform != "win32":
        assert file.stat().st_mode & 0o777 == 0o640


def test_what_a_killed_save_left_is_cleared_away_later(site: Site, file: Path) -> None:
    left, running = file.with_name(".hill.saving-0123456789ab.gpkg"), file.with_name(".hill.saving-ba9876543210.gpkg")
    for path in (left, running):
        path.write_bytes(b"half")
    os.utime(left, (0, 0))
    save_site(site, file)
    assert names_in(file.parent) == [running.name, "hill.gpkg"]


def test_another_program_has_it_open_with_a_log(site: Site, file: Path) -> None:
    """As a GIS does: its log must not be played into the new file, and it must see the new things."""
    gis = sqlite3.connect(file)
    gis.execute("PRAGMA journal_mode = WAL")
    gis.execute("UPDATE tank SET note = 'by the GIS'")
    gis.commit()
    assert file.with_name("hill.gpkg-wal").exists()
    changed = with_tank(site, "A")
    save_site(changed, file)
    assert gis.execute("SELECT name FROM tank WHERE id = 'tank-9'").fetchone() == ("A",)
    gis.close()
    assert open_site(file) == changed
    assert names_in(file.parent) == ["hill.gpkg"]


def test_another_program_is_writing(site: Site, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(site_write, "_LOCK_WAIT_S", 0.1)
    gis = sqlite3.connect(file, isolation_level=None)
    gis.execute("PRAGMA journal_mode = WAL")
    gis.execute("BEGIN IMMEDIATE")
    gis.execute("UPDATE tank SET note = 'by the GIS'")
    said = refused(with_tank(site, "A"), file)
    assert 'another program holds "hill.gpkg" open' in said
    gis.execute("ROLLBACK")
    gis.close()
    assert open_site(file) == site


def test_a_system_that_replaces_no_open_file(site: Site, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on Windows when another program reads it: SQLite copies into the file instead."""

    def not_replaced(*_: object) -> None:
        raise PermissionError(errno.EACCES, "The process cannot access the file")

    monkeypatch.setattr(site_write, "replace", not_replaced)
    other = with_tank(site, "A").replace(ground=handle_of(a_ground(700, 300)))
    reader = sqlite3.connect(file)
    assert reader.execute("SELECT count(*) FROM tank").fetchone() == (2,)
    save_site(other, file)
    assert reader.execute("SELECT count(*) FROM tank").fetchone() == (3,)
    reader.close()
    assert open_site(file) == other
    with pytest.raises(FileError):
        save_site(other, file.with_name("new.gpkg"))
    assert names_in(file.parent) == ["hill.gpkg"]


_SAVING = """
import sys, time
from pathlib import Path
from gardenwater.files import open_site, save_site
file, one, other = map(Path, sys.argv[1:])
sites = open_site(one), open_site(other)
save_site(sites[1], file)
begun = time.monotonic()
save_site(sites[0], file)
save_site(sites[1], file)
print(time.monotonic() - begun, flush=True)
while True:
    for site in sites:
        save_site(site, file)
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
def test_a_killed_save_leaves_the_old_file_or_the_new_one(site: Site, tmp_path: Path) -> None:
    """The two sites differ in their grounds, so that both ways of writing are cut off, at any moment."""
    one, other = site, with_tank(site, "A").replace(ground=handle_of(a_ground(700, 700)), name="Other")
    files = tmp_path / "one.gpkg", tmp_path / "other.gpkg"
    save_site(one, files[0])
    save_site(other, files[1])
    folder = tmp_path / "here"
    folder.mkdir()
    file = folder / "hill.gpkg"
    moments = random.Random(7)
    for _ in range(6):
        program = subprocess.Popen(
            [sys.executable, "-c", _SAVING, file, *files], cwd=ROOT, stdout=subprocess.PIPE, text=True
        )
        assert program.stdout is not None
        both_s = float(program.stdout.readline())
        time.sleep(moments.uniform(0.0, both_s))
        program.send_signal(signal.SIGKILL)
        program.wait()
        program.stdout.close()
        assert open_site(file) in (one, other)
    cut_off = [name for name in names_in(folder) if "saving" in name]
    assert cut_off, "no kill came in the middle of a save"
    save_site(one, file)
    assert open_site(file) == one


def test_any_file_can_be_written_so(tmp_path: Path) -> None:
    file = tmp_path / "a.json"
    with written_aside(file) as path:
        path.write_text("{}")
        assert not file.exists()
    assert file.read_text() == "{}"

    def break_off() -> None:
        with written_aside(file) as path:
            path.write_text("half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        break_off()
    assert file.read_text() == "{}"
    assert names_in(tmp_path) == ["a.json"]


@pytest.mark.skipif(os.name == "nt", reason="Windows has limits of its own")
def test_a_name_as_long_as_the_system_takes(tmp_path: Path) -> None:
    file = tmp_path / f"{'g' * 240}.gpkg"
    save_site(Site(name="Long"), file)
    assert open_site(file).name == "Long"
    assert list(tmp_path.iterdir()) == [file]
