"""Rasters of levels: where they lie, and what is done to bring them there."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from affine import Affine
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gardenwater.errors import FileError
from gardenwater.files import import_ground, read_ground
from gardenwater.ground import Ground
from tests.files.rasters import HALF, NORTH_CAROLINA_FT, UTM, Write, asked, refused, slope


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


def test_a_window_of_a_map_in_degrees(write: Write) -> None:
    """In degrees while the site has no CRS, and the zone is that of the window; in the site's CRS when it has one."""
    levels = np.tile(slope(30, 40), (20, 50))
    path = write(levels, crs="EPSG:4326", transform=Affine(0.01, 0, 0.0, 0, -0.01, 53.0))
    part = read_ground(path, window=(13.2, 50.1, 13.4, 50.3))
    assert part.crs == "EPSG:32633"
    assert 20 * 20 * 0.8 < part.level_m.size < 30 * 30
    west, south, east, north = part.bounds
    middle_x, middle_y = (west + east) / 2, (south + north) / 2
    window = (middle_x - 3000, middle_y - 3000, middle_x + 3000, middle_y + 3000)
    inner = read_ground(path, to_crs="EPSG:32633", window=window)
    assert inner.level_m.size < part.level_m.size
    assert inner.bounds[0] <= window[0]
    assert inner.bounds[3] >= window[3]


@pytest.mark.parametrize("cell", [0.5, 4.0])
def test_a_map_of_half_the_world_is_for_no_garden(write: Write, cell: float) -> None:
    path = write(slope(20, 40), crs="EPSG:4326", transform=Affine(cell, 0, -80.0, 0, -cell, 60.0))
    with pytest.raises(FileError, match="it reaches too far for one map"):
        read_ground(path)
