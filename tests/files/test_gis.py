"""GDAL and PROJ behind one door."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

_READ = """
import sys
from gardenwater.files import import_ground, read_things
from gardenwater.site.model import Site
handle = import_ground(sys.argv[1])
print(handle.crs, handle.rows)
handle = import_ground(sys.argv[1], to_crs="EPSG:32756")
print(handle.crs, handle.rows > 100)
"""


def test_data_of_another_install_does_not_break_projections(tmp_path: Path) -> None:
    """Another program's PROJ and GDAL data in the environment, here of a folder with a broken database."""
    (tmp_path / "proj.db").write_text("from another age")
    others = dict.fromkeys(("PROJ_DATA", "PROJ_LIB", "GDAL_DATA", "GDAL_DRIVER_PATH"), str(tmp_path))
    done = subprocess.run(
        [sys.executable, "-c", _READ, ROOT / "tests" / "data" / "nsw_dtm_1m.tif"],
        cwd=ROOT, env=os.environ | others, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.split() == ["EPSG:28356", "200", "EPSG:32756", "True"]
    assert done.stderr == ""


_QUIET = """
import sys
from gardenwater.errors import FileError
from gardenwater.files import import_ground
try:
    import_ground(sys.argv[1])
except FileError as problem:
    print(problem)
"""


def test_nothing_is_said_on_the_side(tmp_path: Path) -> None:
    path = tmp_path / "cut.tif"
    path.write_bytes((ROOT / "tests" / "data" / "delft_dtm_0p5m.tif").read_bytes()[:60_000])
    done = subprocess.run(
        [sys.executable, "-W", "default", "-c", _QUIET, path], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.startswith('Could not read "cut.tif": ')
    assert done.stderr == ""


def test_the_room_is_light_until_a_file_is_opened() -> None:
    code = "import sys, gardenwater.files; print([m for m in ('rasterio', 'pyogrio', 'pyproj') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
