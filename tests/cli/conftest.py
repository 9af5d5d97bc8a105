"""A small site in a file, and the command in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

Run = Callable[..., subprocess.CompletedProcess[str]]

THINGS = """kind,name,x,y,wkt,roof,downpipe,tank,water_l,eaves_height_m
building,House,,,"POLYGON ((251061 6271901, 251069 6271901, 251069 6271907, 251061 6271907, 251061 6271901))",,,,,
roof,Roof,,,"POLYGON ((251060 6271900, 251070 6271900, 251070 6271908, 251060 6271908, 251060 6271900))",,,,,2.5
downpipe,Pipe,251070,6271900,,Roof,,,,
diverter,Diverter,251070.2,6271900,,,Pipe,Tank,,
tank,Tank,251072,6271899,,,,,900,
bed,Beans,,,"POLYGON ((251076 6271890, 251082 6271890, 251082 6271894, 251076 6271894, 251076 6271890))",,,,,
"""


@pytest.fixture(scope="session")
def run() -> Run:
    """Run the command with these words, without a screen."""
    screens = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    kept = {name: value for name, value in os.environ.items() if name not in screens}

    def call(*words: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "gardenwater", *map(str, words)],
            cwd=ROOT,
            env={**kept, **environment},
            capture_output=True,
            text=True,
            check=False,
            timeout=280,
        )

    return call


@pytest.fixture(scope="session")
def raster() -> Path:
    """A real raster of levels: tests/data/SOURCES.md says where it is from."""
    return ROOT / "tests" / "data" / "nsw_dtm_1m.tif"


@pytest.fixture(scope="session")
def table(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A table of things on the raster."""
    path = tmp_path_factory.mktemp("tables") / "things.csv"
    path.write_text(THINGS, "utf-8")
    return path


@pytest.fixture(scope="session")
def site_file(tmp_path_factory: pytest.TempPathFactory, run: Run, raster: Path, table: Path) -> Path:
    """A site that the command made of the two."""
    path = tmp_path_factory.mktemp("sites") / "plot.gpkg"
    done = run(
        "make", path, "--ground", raster, "--things", table, "--name", "Plot", "--latitude", "-33.7",
        "--altitude", "980", "--rain", "900", "--raster-kind", "bare-earth",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return path
