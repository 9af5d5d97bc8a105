"""Rasters that are too large, or none: memory, stopping, and the words for what cannot be taken."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from affine import Affine

from gardenwater.errors import Cancelled, FileError
from gardenwater.files import VerticalUnit, import_ground, read_ground
from tests.files.rasters import HALF, UTM, Write, asked, refused, slope

ROOT = Path(__file__).resolve().parents[2]


_HUGE = """
import resource, sys
from gardenwater.files import import_ground
handle = import_ground(sys.argv[1])
import numpy as np
print(handle.rows, handle.cols, int(np.isfinite(handle.payload.level_m).sum()), handle.notices[0])
if sys.platform == "linux":  # the kernel's own ru_maxrss takes over what the parent had when it was forked
    peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM:"))
    print(int(peak.split()[1]) * 1024)
else:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024))
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="the system does not tell the largest memory so")
def test_a_huge_raster_is_never_loaded_blindly(tmp_path: Path) -> None:
    """40,000 by 40,000 cells (6.4 GB of floats), nearly all of them left out of the file: under 2 GiB."""
    path = tmp_path / "huge.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=40_000, height=40_000, count=1, dtype="float32", crs=UTM, transform=HALF,
        nodata=-9999, tiled=True, compress="deflate", SPARSE_OK=True, BIGTIFF="YES",
    ) as dataset:  # fmt: skip
        dataset.write(np.full((1, 500, 500), 120.5, np.float32), window=((20_000, 20_500), (20_000, 20_500)))
    done = subprocess.run([sys.executable, "-c", _HUGE, path], cwd=ROOT, capture_output=True, text=True, check=True)
    first, memory = done.stdout.splitlines()
    assert first.startswith("4000 4000 2500 It has 40,000 by 40,000 cells: 10 by 10 of them were made one")
    assert int(memory) < 2 * 1024**3


def test_reading_can_be_stopped_and_tells_how_far_it_is(write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    from gardenwater.files import levels as reader

    monkeypatch.setattr(reader, "_STRIPE_CELLS", 400)
    told: list[tuple[float, str]] = []
    path = write(slope())
    read_ground(path, progress=lambda share, words: told.append((share, words)))
    assert told == [(part / 3, f"Reading levels: {part + 1} of 3 parts") for part in range(3)]
    answers = iter([False, True])
    with pytest.raises(Cancelled):
        read_ground(path, cancel=lambda: next(answers))


@pytest.mark.parametrize(
    ("levels", "profile", "words"),
    [
        (np.full((30, 40), -9999, np.float32), {"nodata": -9999}, "it holds no level: every cell is no data"),
        (np.full((30, 40), np.nan, np.float32), {}, "it holds no level: every cell is no data"),
        (np.full((30, 40), -9999, np.float32), {"units": "m"}, "none of its values is a level"),
        (np.ones((1, 1), np.float32), {}, "it has 1 by 1 cells, and a ground needs two by two at least"),
        (np.ones((1, 9), np.float32), {}, "it has 1 by 9 cells"),
        (np.ones((3, 9, 9), np.uint8), {"photometric": "RGB"}, "it is a picture, its numbers are colours"),
        (np.ones((4, 9, 9), np.float32), {}, "it has 4 bands, and levels are one"),
        (np.ones((9, 9), np.complex64), {}, "its numbers are complex"),
        (np.ones((9, 9), np.float32), {"transform": Affine.identity(), "crs": None}, "no place and no cell size"),
        (np.ones((9, 9), np.float32), {"crs": "EPSG:3413", "transform": Affine(1, 0, 0, 0, -1, 0)}, "beyond the zones"),
        (np.ones((9, 9), np.float32), {"transform": Affine(1, 0, 1e9, 0, -1, 1e9)}, "are no places on the Earth"),
        (np.ones((9, 9), np.float32), {"crs": "EPSG:4978"}, "is not of a flat map"),
    ],
)  # fmt: skip
@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_what_is_no_grid_of_levels(write: Write, levels: Any, profile: dict[str, Any], words: str) -> None:
    assert words in refused(write(levels, **profile))


def test_levels_that_are_none_in_metres_are_asked_about(write: Write) -> None:
    path = write(slope() * 1000)
    assert "none of its values is a level in metres" in str(asked(path))
    assert np.allclose(read_ground(path, vertical_unit=VerticalUnit.MILLIMETRE).level_m, slope(), atol=1e-4)


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_tie_points_only(tmp_path: Path) -> None:
    from rasterio.control import GroundControlPoint

    points = [GroundControlPoint(row, col, 9 + col / 100, 50 - row / 100) for row in (0, 9) for col in (0, 9)]
    path = tmp_path / "a.tif"
    with rasterio.open(path, "w", driver="GTiff", count=1, height=9, width=9, dtype="float32") as dataset:
        dataset.write(np.ones((1, 9, 9), np.float32))
        dataset.gcps = points, rasterio.crs.CRS.from_epsg(4326)
    assert "by tie points only" in refused(path)


def test_what_is_no_raster(tmp_path: Path, write: Write) -> None:
    (tmp_path / "text.tif").write_text("not a raster at all\n" * 20)
    assert refused(tmp_path / "text.tif").startswith('Could not read "text.tif": it is not a raster of a known kind')
    (tmp_path / "empty.tif").write_bytes(b"")
    assert "it is empty" in refused(tmp_path / "empty.tif")
    assert "there is no such file" in refused(tmp_path / "none.tif")
    assert "it is not a file" in refused(tmp_path)
    whole = write(np.random.default_rng(1).random((500, 500)).astype(np.float32), compress="deflate")
    whole.write_bytes(whole.read_bytes()[:200_000])
    assert "damaged" in refused(whole)


def test_nothing_virtual_and_nothing_from_elsewhere(tmp_path: Path, write: Write) -> None:
    from rasterio.shutil import copy
    from rasterio.vrt import WarpedVRT

    real = write(slope())
    virtual = tmp_path / "a.vrt"
    with rasterio.open(real) as dataset, WarpedVRT(dataset) as vrt:
        copy(vrt, virtual, driver="VRT")
    with rasterio.open(virtual) as dataset:
        assert dataset.driver == "VRT"
    assert "not a raster of a known kind" in refused(virtual)
    renamed = virtual.rename(tmp_path / "renamed.tif")
    assert "not a raster of a known kind" in refused(renamed)
    for path in (
        "/vsicurl/http://127.0.0.1/a.tif", "http://127.0.0.1/a.tif", f"GTIFF_DIR:1:{real}", f"/vsizip/{real}",
        f"zip+file://{real}", "/vsistdin/", f"VRT://{real}", "<VRTDataset/>",
    ):  # fmt: skip
        with pytest.raises(FileError, match="there is no such file"):
            import_ground(path)
