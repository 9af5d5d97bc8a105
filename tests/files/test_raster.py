"""Rasters of levels: what comes out, and the words for what cannot be taken."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from affine import Affine
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gardenwater.errors import Cancelled, FileError
from gardenwater.files import NeedsAnswer, VerticalUnit, import_ground, read_ground
from gardenwater.ground import Ground
from gardenwater.site.model import GroundKind
from tests.files.conftest import DATA, ODD

ROOT = Path(__file__).resolve().parents[2]
UTM = "EPSG:25832"
HALF = Affine(0.5, 0, 500_000, 0, -0.5, 5_600_000)
NORTH_CAROLINA_FT = "EPSG:2264"

Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a raster and gives its path."""

    def written(levels: Any, *, name: str = "slope.tif", driver: str = "GTiff", **profile: Any) -> Path:
        values = np.asarray(levels)
        bands = values if values.ndim == 3 else values[np.newaxis]
        count, rows, cols = bands.shape
        usual = {"crs": UTM, "transform": HALF, "dtype": bands.dtype.name}
        extra = {key: profile.pop(key) for key in ("units", "scales", "offsets", "tags") if key in profile}
        with rasterio.open(
            tmp_path / name, "w", driver=driver, count=count, height=rows, width=cols, **{**usual, **profile}
        ) as dataset:
            dataset.write(bands)
            for key in extra.keys() - {"tags"}:
                setattr(dataset, key, (extra[key],) * count)
            dataset.update_tags(**extra.get("tags", {}))
        return tmp_path / name

    return written


def slope(rows: int = 30, cols: int = 40) -> np.ndarray[Any, Any]:
    """Falls to the south and a little to the east, 100 m and less."""
    return (100 - np.add.outer(np.arange(rows) * 0.1, np.arange(cols) * 0.01)).astype(np.float32)


def refused(path: Path, **options: Any) -> str:
    """The words in which a raster is refused; they have a mend."""
    with pytest.raises(FileError) as caught:
        import_ground(path, **options)
    assert not isinstance(caught.value, NeedsAnswer)
    assert caught.value.mend
    return str(caught.value)


def asked(path: Path, **options: Any) -> NeedsAnswer:
    """The question that is asked."""
    with pytest.raises(NeedsAnswer) as caught:
        import_ground(path, **options)
    assert caught.value.question
    return caught.value


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


def test_a_map_in_feet_asks_for_the_unit_of_its_levels(write: Write) -> None:
    """The cells are 2.5 US survey feet of 1200/3937 m; the levels in the same."""
    feet = 1200 / 3937
    path = write(slope() / feet, crs=NORTH_CAROLINA_FT, transform=Affine(2.5, 0, 2_000_000, 0, -2.5, 700_000))
    question = asked(path)
    assert [choice.value for choice in question.choices][:3] == ["m", "ft", "us-ft"]
    handle = import_ground(path, **{question.keyword: "us-ft"})
    ground: Ground = handle.payload
    assert np.allclose(ground.level_m, slope(), atol=2e-5)
    assert ground.cell_x_m == pytest.approx(2.5 * feet, rel=1e-12)
    assert ground.transform.c == pytest.approx(2_000_000 * feet, rel=1e-12)
    assert handle.notices[:2] == (
        "Its map is in US survey feet: it was put into metres.",
        "Its levels are in US survey feet: they were put into metres.",
    )
    _same_spot(NORTH_CAROLINA_FT, (2_000_050, 699_950), ground.crs, (2_000_050 * feet, 699_950 * feet))


def _same_spot(crs: str, at: tuple[float, float], other: str, there: tuple[float, float]) -> None:
    from pyproj import CRS, Transformer

    assert CRS.from_user_input(other).axis_info[0].unit_name == "metre"
    moved = Transformer.from_crs(crs, other, always_xy=True).transform(*at)
    assert moved == pytest.approx(there, abs=1e-4)


def test_a_map_in_feet_with_levels_in_feet_is_not_asked_about(write: Write) -> None:
    path = write(slope(), crs="EPSG:2264+6360", transform=Affine(2, 0, 2_000_000, 0, -2, 700_000))
    assert np.allclose(read_ground(path).level_m, slope() * (1200 / 3937), atol=1e-5)


def test_north_before_east_is_still_east_and_north(write: Write) -> None:
    """EPSG:2193 and 31467 name the north axis first; a raster's x is east all the same."""
    for crs, at in (("EPSG:2193", (1_570_000, 5_180_000)), ("EPSG:31467", (3_500_000, 5_600_000))):
        ground = read_ground(write(slope(), crs=crs, transform=Affine(1, 0, at[0], 0, -1, at[1])))
        assert (ground.transform.c, ground.transform.f) == at
        assert ground.crs == crs
        assert np.array_equal(ground.level_m, slope())


def test_no_map_reference_is_asked_about(write: Write) -> None:
    path = write(slope(), crs=None)
    question = asked(path)
    assert str(question).startswith('Could not read "slope.tif": it has no map reference. Say which one it is in')
    assert question.typed
    assert [choice.value for choice in question.choices] == [""]
    assert read_ground(path, crs="").crs == ""
    assert read_ground(path, crs="25832").crs == UTM
    assert "no map reference that is known" in refused(path, crs="EPSG:99")


def test_figures_that_could_be_degrees_are_offered_as_such(write: Write) -> None:
    path = write(slope(), crs=None, transform=Affine(1e-5, 0, 9.0, 0, -1e-5, 50.0))
    assert [choice.value for choice in asked(path).choices] == ["", "EPSG:4326"]
    assert read_ground(path, crs="EPSG:4326").crs == "EPSG:32632"


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


def plane(ground: Ground) -> np.ndarray[Any, Any]:
    """The levels that a plane falling 1 in 10 to the south and 1 in 50 to the east has there."""
    rows, cols = np.indices(ground.shape)
    x, y = (
        ground.transform.c + (cols + 0.5) * ground.cell_x_m,
        ground.transform.f - (rows + 0.5) * ground.cell_y_m,
    )
    return (y - 5_600_000) / 10 - (x - 500_000) / 50 + 100  # type: ignore[no-any-return]  # numpy


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(turn=st.floats(-170, 170), cell=st.floats(0.3, 2.0))
def test_a_turned_grid_is_drawn_anew_north_up(write: Write, turn: float, cell: float) -> None:
    """Bilinear keeps a plane; so what comes out lies on the same plane in the middle of its cells."""
    transform = Affine.translation(500_000, 5_600_000) @ Affine.rotation(turn) @ Affine.scale(cell, -cell)
    rows, cols = np.indices((60, 50)) + 0.5
    x = transform.a * cols + transform.b * rows + transform.c
    y = transform.d * cols + transform.e * rows + transform.f
    levels = ((y - 5_600_000) / 10 - (x - 500_000) / 50 + 100).astype(np.float32)
    levels[20:30, 20:30] = np.nan
    handle = import_ground(write(levels, transform=transform))
    ground: Ground = handle.payload
    assert ("Its grid is turned: it was drawn anew, north up." in handle.notices) is (abs(turn) > 1e-2)
    there = np.isfinite(ground.level_m)
    # at the rim and at gaps GDAL weighs what is there, so half a cell of slope at most
    off = np.abs(ground.level_m - plane(ground))[there]
    assert np.quantile(off, 0.8) < 1e-3
    assert off.max() < 0.12 * cell
    area = there.sum() * ground.cell_x_m * ground.cell_y_m
    assert area == pytest.approx((60 * 50 - 100) * cell**2, rel=0.05)


@pytest.mark.parametrize(("flip_x", "flip_y"), [(False, True), (True, False), (True, True)])
def test_a_flipped_grid_is_only_reordered(write: Write, flip_x: bool, flip_y: bool) -> None:
    levels = slope()[:: -1 if flip_y else 1, :: -1 if flip_x else 1]
    a, c = (-0.5, 500_020) if flip_x else (0.5, 500_000)
    e, f = (0.5, 5_600_000 - 15) if flip_y else (-0.5, 5_600_000)
    ground = read_ground(write(levels, transform=Affine(a, 0, c, 0, e, f)))
    assert np.array_equal(ground.level_m, slope())
    assert ground.transform == HALF


def test_degrees_are_drawn_anew_in_the_zone(write: Write) -> None:
    """A plane in UTM, written in degrees, comes back as that plane. 9 E lies in zone 32."""
    from pyproj import Transformer

    transform = Affine(1e-5, 0, 9.0, 0, -7e-6, 50.55)
    rows, cols = np.indices((120, 100)) + 0.5
    to_utm = Transformer.from_crs("EPSG:4326", "EPSG:32632", always_xy=True)
    x, y = to_utm.transform(transform.a * cols + transform.c, transform.e * rows + transform.f)
    levels = (100 + (y - y.mean()) / 10 - (x - x.mean()) / 50).astype(np.float32)
    levels[30:60, 30:60] = -9999
    handle = import_ground(write(levels, crs="EPSG:4326", transform=transform, nodata=-9999))
    ground: Ground = handle.payload
    assert ground.crs == "EPSG:32632"
    assert "It is in degrees: it was drawn anew in WGS 84 / UTM zone 32N." in handle.notices
    assert (
        ground.cell_x_m == ground.cell_y_m == pytest.approx(np.sqrt(0.709 * 0.778), rel=0.01)
    )  # m in 1e-5 and 7e-6 degrees
    rows, cols = np.indices(ground.shape) + 0.5
    east, north = ground.transform.c + cols * ground.cell_x_m, ground.transform.f - rows * ground.cell_y_m
    expected = 100 + (north - y.mean()) / 10 - (east - x.mean()) / 50
    off = np.abs(ground.level_m - expected)[np.isfinite(ground.level_m)]
    assert np.quantile(off, 0.9) < 1e-3
    height, width = ground.shape
    gone = np.isnan(ground.level_m[height // 4 + 3 : height // 2 - 3, width * 3 // 10 + 3 : width * 6 // 10 - 3])
    assert gone.size > 200
    assert gone.all()


def test_a_map_whose_metres_are_not_metres_is_drawn_anew(write: Write) -> None:
    """Web maps: at 60 N a metre of EPSG:3857 is half a metre on the ground (cosine of the latitude)."""
    x, y = 1_200_000, 8_399_738  # 10.8 E, 60 N
    handle = import_ground(write(slope(), crs="EPSG:3857", transform=Affine(1, 0, x, 0, -1, y)))
    assert handle.crs == "EPSG:32632"
    assert handle.payload.cell_x_m == pytest.approx(0.5, rel=0.01)
    assert any(notice.startswith("A metre in WGS 84 / Pseudo-Mercator is 0.50 m") for notice in handle.notices)


def test_axes_that_run_elsewhere_are_drawn_anew(write: Write) -> None:
    """EPSG:2048 counts to the west and to the south."""
    path = write(slope(), crs="EPSG:2048", transform=Affine(1, 0, 3000, 0, -1, 3_700_000))
    handle = import_ground(path)
    assert handle.crs == "EPSG:32734"
    assert any("do not run east and north" in notice for notice in handle.notices)


def test_into_the_site_own_map_reference(write: Write) -> None:
    same = import_ground(write(slope()), to_crs=UTM)
    assert np.array_equal(same.payload.level_m, slope())
    other = import_ground(write(slope()), to_crs="EPSG:25833")
    assert other.crs == "EPSG:25833"
    assert any("in the site's ETRS89 / UTM zone 33N" in notice for notice in other.notices)
    sheet = import_ground(write(slope(), crs=None), crs="", to_crs=UTM)
    assert (sheet.crs, sheet.transform) == (UTM, same.transform)


def test_a_window(write: Write) -> None:
    ground = read_ground(write(slope()), window=(500_002.2, 5_599_990, 500_005, 5_599_995))
    assert ground.bounds == (500_002, 5_599_990, 500_005, 5_599_995)
    assert np.array_equal(ground.level_m, slope()[10:20, 4:10])
    assert "nothing of it lies in the part" in refused(write(slope()), window=(0, 0, 10, 10))


def test_a_window_of_a_map_in_feet_is_in_metres(write: Write) -> None:
    feet = 1200 / 3937
    path = write(slope(), crs=NORTH_CAROLINA_FT, transform=Affine(1, 0, 2_000_000, 0, -1, 700_000), units="m")
    window = (2_000_004 * feet, 699_980 * feet, 2_000_010 * feet, 699_990 * feet)
    ground = read_ground(path, window=window)
    assert ground.level_m.shape[0] in (10, 11, 12)
    assert ground.bounds == pytest.approx(window, abs=1.01 * feet)


def test_a_window_of_a_map_in_degrees_is_in_the_zone(write: Write) -> None:
    path = write(slope(300, 300), crs="EPSG:4326", transform=Affine(1e-5, 0, 9.0, 0, -1e-5, 50.0))
    whole = read_ground(path)
    west, south, east, north = whole.bounds
    middle_x, middle_y = (west + east) / 2, (south + north) / 2
    part = read_ground(path, window=(middle_x - 10, middle_y - 10, middle_x + 10, middle_y + 10))
    assert part.shape[0] < whole.shape[0] / 5
    assert part.bounds[0] <= middle_x - 10
    assert part.bounds[3] >= middle_y + 10


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


_HUGE = """
import resource, sys
from gardenwater.files import import_ground
handle = import_ground(sys.argv[1])
import numpy as np
print(handle.rows, handle.cols, int(np.isfinite(handle.payload.level_m).sum()), handle.notices[0])
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
