"""Rasters of levels: what comes out, units, gaps, thinning."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import rasterio
from affine import Affine

from gardenwater.files import VerticalUnit, import_ground, read_ground
from gardenwater.ground import Ground
from gardenwater.site.model import GroundKind
from tests.files.conftest import DATA, ODD
from tests.files.rasters import HALF, UTM, Write, asked, slope


def test_levels_come_bit_by_bit(write: Write) -> None:
    ground = read_ground(write(slope()))
    assert ground.level_m.tobytes() == slope().tobytes()
    assert ground.transform == HALF
    assert ground.crs == UTM


def test_an_import_says_what_it_is(write: Write) -> None:
    handle = import_ground(write(slope(), name="garden_dtm.tif"))
    assert (handle.source, handle.kind, handle.rows, handle.cols) == ("garden_dtm.tif", GroundKind.BARE_EARTH, 30, 40)
    assert handle.digest == handle.payload.digest
    assert handle.transform == (0.5, 0, 500_000, 0, -0.5, 5_600_000)
    assert handle.notices == ("It does not say what its levels are in: they are taken as metres.",)


def test_real_rasters() -> None:
    """Figures of tests/data/SOURCES.md."""
    nsw, delft = import_ground(DATA / "nsw_dtm_1m.tif"), import_ground(DATA / "delft_dtm_0p5m.tif")
    assert (nsw.crs, nsw.kind, nsw.transform) == ("EPSG:28356", GroundKind.BARE_EARTH, tuple(ODD)[:6])
    assert round(float(nsw.payload.level_m.min()), 1) == 970.2
    assert round(float(nsw.payload.level_m.max()), 1) == 997.6
    assert (delft.crs, delft.kind) == ("EPSG:28992", GroundKind.BARE_EARTH)
    assert int(np.isnan(delft.payload.level_m).sum()) == 483
    assert np.nanmin(delft.payload.level_m) < 0


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("site-bourgogne-fr/dtm_0p5m.tif", GroundKind.BARE_EARTH),
        ("site-bourgogne-fr/dsm_0p5m.tif", GroundKind.SURFACE),
        ("site-delft-nl/dtm_0p5m.tif", GroundKind.BARE_EARTH),
        ("site-delft-nl/dsm_0p5m.tif", GroundKind.SURFACE),
        ("site-nsw-au/dtm_1m.tif", GroundKind.BARE_EARTH),
    ],
)
def test_bare_earth_and_surface_are_told_apart_by_their_steps(
    path: str, kind: GroundKind, shared_data: Path, tmp_path: Path
) -> None:
    plain = tmp_path / "levels.tif"
    with rasterio.open(shared_data / path) as dataset, rasterio.open(plain, "w", **dataset.profile) as copy:
        copy.write(dataset.read())
    handle = import_ground(plain)
    assert handle.kind is kind
    surface_words = "This raster shows roofs and trees as ground. Reach and overflow under them are not true."
    assert (surface_words in handle.notices) is (kind is GroundKind.SURFACE)


def test_kind_by_name_by_tag_and_as_told(write: Write) -> None:
    coarse = {"transform": Affine(30, 0, 500_000, 0, -30, 5_600_000)}
    assert import_ground(write(slope(), name="a.tif", **coarse)).kind is GroundKind.UNKNOWN
    assert import_ground(write(slope(), name="a_DTM1.tif", **coarse)).kind is GroundKind.BARE_EARTH
    assert import_ground(write(slope(), name="a_dsm.tif", **coarse)).kind is GroundKind.SURFACE
    tagged = write(slope(), name="b.tif", tags={"NOTE": "highest first return per cell"})
    assert import_ground(tagged).kind is GroundKind.SURFACE
    assert import_ground(tagged, kind=GroundKind.BARE_EARTH).kind is GroundKind.BARE_EARTH


@pytest.mark.parametrize(
    ("dtype", "tag"),
    [
        ("float32", -9999.0),
        ("float64", -3.4028234663852886e38),
        ("float32", -3.4028234663852886e38),
        ("float32", float("nan")),
        ("int16", -32768),
        ("uint16", 65535),
        ("uint8", 255),
    ],
)
def test_no_data_by_its_tag(write: Write, dtype: str, tag: float) -> None:
    levels = np.round(slope()).astype(dtype)
    levels[3:5, 7:9] = tag
    handle = import_ground(write(levels, nodata=tag))
    expected = np.isnan(np.zeros((30, 40)))
    expected[3:5, 7:9] = True
    assert np.array_equal(np.isnan(handle.payload.level_m), expected)
    assert not any("no levels" in notice for notice in handle.notices)
    assert np.array_equal(handle.payload.level_m[~expected], np.round(slope())[~expected])


def test_no_data_by_a_mask(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    with (
        rasterio.Env(GDAL_TIFF_INTERNAL_MASK=True),
        rasterio.open(
            path, "w", driver="GTiff", count=1, height=30, width=40, dtype="float32", crs=UTM, transform=HALF
        ) as dataset,
    ):
        dataset.write(slope(), 1)
        mask = np.full((30, 40), 255, np.uint8)
        mask[:10, :10] = 0
        dataset.write_mask(mask)
    assert np.isnan(read_ground(path).level_m).sum() == 100


def test_no_data_by_an_opacity_band(write: Write) -> None:
    opacity = np.full((30, 40), 255, np.float32)
    opacity[0] = 0
    path = write(np.stack([slope(), opacity]), alpha="YES")
    assert np.isnan(read_ground(path).level_m).sum() == 40


@pytest.mark.parametrize("value", [-9999.0, -3.4028235e38, 32767.0, float("inf"), -999999.0])
def test_values_that_are_no_levels(write: Write, value: float) -> None:
    levels = slope()
    levels[2, 2:5] = value
    handle = import_ground(write(levels))
    assert np.isnan(handle.payload.level_m).sum() == 3
    words = [notice for notice in handle.notices if notice.startswith("3 cells hold values that are no levels (")]
    assert len(words) == 1


def test_levels_below_the_sea_are_levels(write: Write) -> None:
    levels = slope() - 500
    assert np.array_equal(read_ground(write(levels)).level_m, levels)


def test_a_tag_that_its_cells_cannot_hold_is_no_tag(tmp_path: Path) -> None:
    path = tmp_path / "a.asc"
    head = "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 1\nNODATA_value 1e300\n"
    path.write_text(head + "7 8 9\n" * 3)
    assert not np.isnan(read_ground(path, crs="").level_m).any()


def test_whole_numbers_with_scale_and_offset(write: Write) -> None:
    raw = np.arange(1200, dtype=np.int16).reshape(30, 40)
    ground = read_ground(write(raw, scales=0.01, offsets=50.0))
    assert np.allclose(ground.level_m, raw * 0.01 + 50, atol=1e-5)


@pytest.mark.parametrize(
    ("said", "metres"),
    [
        ("ft", 0.3048),
        ("feet", 0.3048),
        ("US survey foot", 1200 / 3937),
        ("ftUS", 1200 / 3937),
        ("cm", 0.01),
        ("m", 1.0),
    ],
)
def test_levels_in_other_units(write: Write, said: str, metres: float) -> None:
    handle = import_ground(write(slope() / metres, units=said) if metres > 0.1 else write(slope() * 90, units=said))
    expected = slope() if metres > 0.1 else slope() * 90 * metres
    assert np.allclose(handle.payload.level_m, expected, atol=2e-5)
    assert any("were put into metres" in notice for notice in handle.notices) is (metres != 1.0)


def test_a_unit_that_is_not_known_is_asked_about(write: Write) -> None:
    path = write(slope(), units="fathom")
    question = asked(path)
    assert 'its levels are in "fathom", which is not a known unit' in str(question)
    assert question.keyword == "vertical_unit"
    assert np.array_equal(read_ground(path, vertical_unit=VerticalUnit.METRE).level_m, slope())


def test_an_ascii_grid(tmp_path: Path) -> None:
    path = tmp_path / "a.asc"
    path.write_text(
        "ncols 3\nnrows 2\nxllcorner 100\nyllcorner 200\ncellsize 0.5\nNODATA_value -9999\n1.5 2 3\n4 -9999 6\n"
    )
    ground = read_ground(path, crs="")
    assert ground.bounds == (100, 200, 101.5, 201)
    assert np.array_equal(ground.level_m, [[1.5, 2, 3], [4, np.nan, 6]], equal_nan=True)


@pytest.mark.parametrize(("driver", "name"), [("EHdr", "a.bil"), ("HFA", "a.img")])
def test_other_kinds_of_file(write: Write, driver: str, name: str) -> None:
    assert np.array_equal(read_ground(write(slope(), driver=driver, name=name)).level_m, slope())


def test_thinning_takes_the_mean_and_says_so(write: Write) -> None:
    levels = slope(31, 42)
    levels[:4, :4] = np.nan
    levels[4, 4] = np.nan
    handle = import_ground(write(levels), most_cells=100)
    ground: Ground = handle.payload
    assert ground.shape == (7, 10)
    assert ground.cell_x_m == 2.0
    blocks = levels[:28, :40].reshape(7, 4, 10, 4)
    with np.errstate(invalid="ignore"):
        expected = np.nansum(blocks, axis=(1, 3), dtype=float) / np.isfinite(blocks).sum(axis=(1, 3))
    assert np.allclose(ground.level_m, expected, atol=1e-4, equal_nan=True)
    assert handle.notices[0].startswith("It has 31 by 42 cells: 4 by 4 of them were made one, with their mean level.")
