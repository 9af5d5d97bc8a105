"""Unsaved work survives a sudden end, and two programs never take each other's."""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from shapely import Point

from gardenwater.errors import FileError
from gardenwater.files import Recovery, open_site, recovery, save_site, state_folder
from gardenwater.site.model import Site
from gardenwater.site.things import Tank
from tests.strategies import sites

ROOT = Path(__file__).resolve().parents[2]


def ended(folder: Path, site: Site, path: Path | None = None, changes: int = 3) -> None:
    """Keep a site and end without closing, as a program that is killed: the system lets go of its mark."""
    lost = Recovery(folder)
    lost.keep(site, path=path, changes=changes)
    assert lost._held is not None
    lost._held.let_go()


def test_what_was_kept_is_found_and_opened(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "hill.gpkg"
    save_site(site, file)
    changed = site.replace(name="Changed", things=site.things[:3] + site.things[4:])
    ended(tmp_path / "state", changed, file, changes=12)
    window = Recovery(tmp_path / "state")
    (work,) = window.found()
    assert (work.path, work.name, work.changes) == (file, "Changed", 12)
    assert work.saved == dt.datetime.fromtimestamp(int(file.stat().st_mtime)).astimezone()
    assert abs(work.when - dt.datetime.now().astimezone()) < dt.timedelta(minutes=1)
    back = window.open(work)
    assert back == changed
    assert back.ground is not None
    assert changed.ground is not None
    assert back.ground.payload.level_m.tobytes() == changed.ground.payload.level_m.tobytes()
    assert back.underlay is not None
    assert changed.underlay is not None
    assert np.array_equal(back.underlay.payload, changed.underlay.payload)
    assert window.found() == []
    window.close()
    assert Recovery(tmp_path / "state").found() == []
    assert open_site(file) == site


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(site=sites())
def test_any_site_is_kept(site: Site, tmp_path: Path) -> None:
    folder = Path(tempfile.mkdtemp(dir=tmp_path))
    ended(folder, site)
    window = Recovery(folder)
    (work,) = window.found()
    assert work.path is None
    assert window.open(work) == site
    window.close()


def test_work_is_given_back_even_if_a_value_is_no_longer_taken(site: Site, tmp_path: Path) -> None:
    """Nothing is lost for a range that became narrower: the window says what to mend."""
    odd = site.replace(things=(*site.things, Tank(id="tank-9", shape=Point(1, 1), stand_height_m=99.0)))
    ended(tmp_path, odd)
    window = Recovery(tmp_path)
    assert window.open(window.found()[0]) == odd
    window.close()


def test_the_latest_is_kept_and_the_ground_once(site: Site, tmp_path: Path) -> None:
    window = Recovery(tmp_path)
    for changes in range(1, 4):
        window.keep(site.replace(name=f"Change {changes}"), path=None, changes=changes)
    rasters = list((tmp_path / "rasters").iterdir())
    assert len(rasters) == 2
    assert window._held is not None
    window._held.let_go()
    (work,) = Recovery(tmp_path).found()
    assert (work.name, work.changes) == ("Change 3", 3)


def test_a_program_that_runs_is_left_alone(site: Site, tmp_path: Path) -> None:
    running, other = Recovery(tmp_path), Recovery(tmp_path)
    running.keep(site, path=None, changes=1)
    other.keep(site.replace(name="Other"), path=None, changes=1)
    assert running.found() == other.found() == []
    other.close()
    assert running.found() == []
    running.keep(site, path=None, changes=2)
    running.close()
    assert [path.name for path in tmp_path.iterdir()] == ["rasters"]


def test_saved_or_dropped_work_is_not_found(site: Site, tmp_path: Path) -> None:
    lost = Recovery(tmp_path)
    lost.keep(site, path=None, changes=1)
    lost.forget()
    assert lost._held is not None
    lost._held.let_go()
    assert Recovery(tmp_path).found() == []
    ended(tmp_path, site)
    window = Recovery(tmp_path)
    (work,) = window.found()
    window.discard(work)
    assert window.found() == []
    assert not work.folder.exists()


def test_two_windows_that_find_the_same(site: Site, tmp_path: Path) -> None:
    ended(tmp_path, site)
    one, two = Recovery(tmp_path), Recovery(tmp_path)
    (work,) = one.found()
    assert two.found() == [work]
    assert one.open(work) == site
    with pytest.raises(FileError, match=r"another window has taken it|it is no longer there"):
        two.open(work)
    assert two.found() == []
    one.close()


def test_the_ground_comes_from_the_saved_file_when_it_was_not_kept(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "hill.gpkg"
    save_site(site, file)
    ended(tmp_path / "state", site.replace(name="Changed"), file)
    for raster in (tmp_path / "state" / "rasters").iterdir():
        raster.write_bytes(raster.read_bytes()[:100])
    window = Recovery(tmp_path / "state")
    assert window.open(window.found()[0]) == site.replace(name="Changed")
    window.close()
    ended(tmp_path / "state", site.replace(name="Changed"), None)
    for raster in (tmp_path / "state" / "rasters").iterdir():
        raster.unlink()
    window = Recovery(tmp_path / "state")
    assert window.open(window.found()[0]) == site.replace(name="Changed", ground=None, underlay=None)


def test_rasters_that_nobody_refers_to_go_in_time(site: Site, tmp_path: Path) -> None:
    window = Recovery(tmp_path)
    window.keep(site, path=None, changes=1)
    rasters = list((tmp_path / "rasters").iterdir())
    (tmp_path / "rasters" / "old.npy").write_bytes(b"")
    for raster in (tmp_path / "rasters").iterdir():
        os.utime(raster, (0, 0))
    other = Recovery(tmp_path)
    other.keep(Site(), path=None, changes=1)
    other.close()
    assert sorted((tmp_path / "rasters").iterdir()) == sorted(rasters)
    window.close()
    assert list((tmp_path / "rasters").iterdir()) == []


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"name": 3}', '{"path": "", "name": "a", "when": "x", "saved": "", "changes": 1}']
)
def test_what_cannot_be_read_is_not_found_and_goes_in_time(tmp_path: Path, text: str) -> None:
    folder = tmp_path / "20240101-000000-1-00000000"
    folder.mkdir()
    (folder / "kept.json").write_text(text)
    assert Recovery(tmp_path).found() == []
    assert folder.exists()
    os.utime(folder, (0, 0))
    assert Recovery(tmp_path).found() == []
    assert not folder.exists()


def test_work_that_is_damaged_or_of_a_later_version_says_so(site: Site, tmp_path: Path) -> None:
    ended(tmp_path, site)
    window = Recovery(tmp_path)
    (work,) = window.found()
    kept = work.folder / "kept.json"
    document = json.loads(kept.read_text())
    for spoil, words in (
        (lambda d: d["records"]["contour"][0].pop("level_m"), 'has no column "level_m"'),
        (lambda d: d["records"]["tank"][0].update(shape="zz"), "it is damaged"),
        (lambda d: d["records"]["site"][0].update(schema_version=4), "written by a later version"),
        (lambda d: d.update(records=3), "it is damaged"),
    ):
        spoiled = json.loads(json.dumps(document))
        spoil(spoiled)
        kept.write_text(json.dumps(spoiled))
        with pytest.raises(FileError, match=words):
            window.open(work)
        assert kept.exists()
    kept.write_text(json.dumps(document))
    assert window.open(work) == site


def test_where_nothing_can_be_kept_it_is_said(site: Site, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    window = Recovery(tmp_path / "file" / "state")
    with pytest.raises(FileError, match="Not saved: "):
        window.keep(site, path=None, changes=1)
    assert window.found() == []
    window.close()


def test_the_folder_of_each_system(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("GARDENWATER_STATE", str(tmp_path))
    assert state_folder() == tmp_path
    monkeypatch.delenv("GARDENWATER_STATE")
    for system, name, value, expected in (
        ("linux", "XDG_STATE_HOME", "/s", Path("/s/gardenwater")),
        ("linux", "XDG_STATE_HOME", "", Path.home() / ".local" / "state" / "gardenwater"),
        ("win32", "LOCALAPPDATA", "/w", Path("/w/gardenwater")),
        ("darwin", "XDG_STATE_HOME", "/s", Path.home() / "Library" / "Application Support" / "gardenwater"),
    ):
        monkeypatch.setattr(recovery.sys, "platform", system)
        monkeypatch.setenv(name, value)
        assert state_folder() == expected


_KEEPING = """
import sys
from pathlib import Path
from gardenwater.files import Recovery, open_site
site = open_site(sys.argv[2])
window = Recovery(Path(sys.argv[1]))
window.keep(site, path=None, changes=0)
print("ready", flush=True)
changes = 0
while True:
    changes += 1
    window.keep(site.replace(name=f"Change {changes}"), path=Path(sys.argv[2]), changes=changes)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
def test_a_kill_at_any_moment_leaves_a_whole_site(site: Site, tmp_path: Path) -> None:
    file = tmp_path / "hill.gpkg"
    save_site(site, file)
    moments = random.Random(3)
    for _ in range(3):
        program = subprocess.Popen(
            [sys.executable, "-c", _KEEPING, tmp_path / "state", file], cwd=ROOT, stdout=subprocess.PIPE, text=True
        )
        assert program.stdout is not None
        assert program.stdout.readline() == "ready\n"
        window = Recovery(tmp_path / "state")
        assert window.found() == []
        time.sleep(moments.uniform(0, 0.2))
        program.send_signal(signal.SIGKILL)
        program.wait()
        program.stdout.close()
        (work,) = window.found()
        back = window.open(work)
        assert back == site.replace(name=back.name)
        assert back.name == (f"Change {work.changes}" if work.changes else site.name)
        window.close()
