"""A small site with everything on it, and grounds to put under it."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

from gardenwater.ground import Ground
from gardenwater.site.model import (
    Contour,
    GroundHandle,
    GroundKind,
    LogEntry,
    Settings,
    Sight,
    Site,
    Survey,
    Underlay,
)
from gardenwater.site.things import Bed, Building, LevelPeg, Tank, WateringLine
from tests.files.rasters import Write, write_levels

DATA = Path(__file__).resolve().parent.parent / "data"

# The cell and the corner of tests/data/nsw_dtm_1m.tif: neither square nor on round figures.
ODD = Affine(0.9999134678298801, 0.0, 250999.3765628135, 0.0, -0.9999904332129973, 6272000.519024549)


def handle_of(ground: Ground, *notices: str) -> GroundHandle:
    """A ground as a site holds it."""
    a, b, c, d, e, f = tuple(ground.transform)[:6]
    rows, cols = ground.shape
    return GroundHandle(
        digest=ground.digest,
        source="slope.tif",
        kind=GroundKind.BARE_EARTH,
        rows=rows,
        cols=cols,
        transform=(a, b, c, d, e, f),
        crs=ground.crs,
        notices=notices,
        shift_m=0.25,
        tilt_east=1e-4,
        tilt_north=-2e-4,
        payload=ground,
    )


def a_ground(rows: int = 40, cols: int = 50, *, crs: str = "EPSG:28356", transform: Affine = ODD) -> Ground:
    """A slope with a hole of no data in it."""
    levels = 100 + np.add.outer(np.arange(rows) * 0.05, np.sin(np.arange(cols)) * 0.1)
    levels[rows // 3 : rows // 2, cols // 4 : cols // 3] = np.nan
    return Ground(levels, transform, crs)


def an_underlay(transform: tuple[float, float, float, float, float, float] = (0.5, 0, 7, 0, -0.5, 9)) -> Underlay:
    """A picture with a clear corner."""
    picture = np.random.default_rng(5).integers(0, 256, (70, 90, 4), dtype=np.uint8)
    picture[:20, :20] = 0
    picture[20:, :, 3] = 255
    picture[picture[..., 3] == 0] = 0
    return Underlay(
        digest="a picture",
        source="plan.png",
        rows=70,
        cols=90,
        transform=transform,
        opacity=0.35,
        shown=False,
        notices=("It was thinned.",),
        payload=picture,
    )


@pytest.fixture
def site() -> Site:
    """A site with a ground, an underlay, and things of several kinds out of the tray's order."""
    return Site(
        name="Quillet Bank",
        about="Two lines,\nand a “quote”.",
        crs="EPSG:28356",
        settings=Settings(can_l=9.0, latitude_deg=-33.5, rain_year_mm=None, currency="AUD"),
        things=(
            Bed(id="bed-1", name="Herbs", shape=box(0, 0, 3, 2)),
            Tank(id="tank-2", name="Shed tank", shape=Point(1 / 3, 2e5 + 0.1), stand_height_m=0.3, locked=True),
            Building(id="building-1", shape=box(0, 0, 10, 8) - box(3, 3, 5, 5)),
            Tank(id="tank-1", shape=Point(4, 5), note="leaks"),
            LevelPeg(id="level_peg-1", shape=Point(0, 0), level_m=99.5),
            WateringLine(id="watering_line-1", shape=LineString([(0, 0), (1, 1), (2, 0.1)]), tank="tank-2"),
        ),
        ground=handle_of(a_ground(), "One.", "Two, with a comma."),
        underlay=an_underlay(),
        survey=Survey(
            contours=(Contour(LineString([(0, 0), (5, 1)]), 101.5), Contour(LineString([(0, 1), (5, 2)]), 102.0)),
            level_book=(
                Sight(spot="BM", back_m=1.234, known_level_m=100.0),
                Sight(spot="gate", fore_m=0.5, peg="level_peg-1"),
            ),
        ),
        log=(LogEntry("2024-05-01T08:00:00+10:00", "Drew 4 cans."), LogEntry("2024-05-02T08:00:00+10:00", "Rain.")),
    )


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a raster and gives its path; the keywords are the dataset's own."""
    return partial(write_levels, tmp_path)
