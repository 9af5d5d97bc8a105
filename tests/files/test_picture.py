"""Underlay pictures: where they lie, and how they get their scale."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import Cancelled, FileError, InputError
from gardenwater.files import is_to_scale, picture_facts, read_underlay, scale_underlay
from gardenwater.site.model import Underlay

pytestmark = pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")

Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a picture of (bands, rows, cols) and gives its path."""

    def written(bands: Any, name: str = "plan.png", driver: str = "PNG", **profile: Any) -> Path:
        values = np.asarray(bands)
        tags = profile.pop("tags", {})
        colormap = profile.pop("colormap", None)
        count, rows, cols = values.shape
        with rasterio.open(
            tmp_path / name,
            "w",
            driver=driver,
            count=count,
            height=rows,
            width=cols,
            dtype=values.dtype.name,
            **profile,
        ) as dataset:
            dataset.write(values)
            dataset.update_tags(**tags)
            if colormap:
                dataset.write_colormap(1, colormap)
        return tmp_path / name

    return written


def colours(count: int = 3, rows: int = 20, cols: int = 30) -> np.ndarray[Any, Any]:
    """A picture in which every pixel is another."""
    return np.arange(count * rows * cols, dtype=np.uint8).reshape(count, rows, cols)


def at(underlay: Underlay, col: float, row: float) -> tuple[float, float]:
    """Where a pixel's place lies on the plan."""
    a, b, c, d, e, f = underlay.transform
    return a * col + b * row + c, d * col + e * row + f


def test_a_plain_picture_lies_fifty_metres_wide_until_it_is_scaled(write: Write) -> None:
    path = write(colours())
    underlay = read_underlay(path)
    assert (underlay.source, underlay.rows, underlay.cols) == ("plan.png", 20, 30)
    assert np.array_equal(underlay.payload[..., :3], np.moveaxis(colours(), 0, -1))
    assert (underlay.payload[..., 3] == 255).all()
    assert not underlay.payload.flags.writeable
    assert at(underlay, 0, 20) == pytest.approx((0, 0))
    assert at(underlay, 30, 20) == pytest.approx((50, 0))
    assert not is_to_scale(underlay)
    facts = picture_facts(path)
    assert (facts.rows, facts.cols, facts.placed, facts.crs) == (20, 30, False, "")


def test_a_world_file_places_it(write: Write) -> None:
    path = write(colours())
    path.with_suffix(".pgw").write_text("0.5\n0\n0\n-0.5\n100.25\n199.75\n")
    underlay = read_underlay(path, crs="EPSG:25832")
    assert underlay.transform == (0.5, 0, 100, 0, -0.5, 200)
    assert is_to_scale(underlay)
    assert picture_facts(path).placed


def test_a_georeferenced_picture_in_the_site_own_crs(write: Write) -> None:
    transform = Affine(0.25, 0, 500_000, 0, -0.25, 5_600_000)
    path = write(colours(), "a.tif", "GTiff", crs="EPSG:25832", transform=transform)
    assert picture_facts(path).crs == "EPSG:25832"
    for crs in ("", "EPSG:25832"):
        underlay = read_underlay(path, crs=crs)
        assert underlay.transform == tuple(transform)[:6]
        assert underlay.notices == ()


def test_another_crs_turns_it_and_leaves_its_pixels(write: Write) -> None:
    """Each pixel's place agrees with the projection's own to a centimetre."""
    from pyproj import Transformer

    transform = Affine(0.25, 0, 500_000, 0, -0.25, 5_600_000)
    path = write(colours(3, 200, 300), "a.tif", "GTiff", crs="EPSG:25832", transform=transform)
    underlay = read_underlay(path, crs="EPSG:25833")
    assert np.array_equal(underlay.payload[..., :3], np.moveaxis(colours(3, 200, 300), 0, -1))
    move = Transformer.from_crs("EPSG:25832", "EPSG:25833", always_xy=True)
    for col, row in ((0, 0), (300, 0), (0, 200), (300, 200), (120, 80)):
        there = move.transform(500_000 + 0.25 * col, 5_600_000 - 0.25 * row)
        assert at(underlay, col, row) == pytest.approx(there, abs=0.01)
    assert len(underlay.notices) == 1


def test_a_map_in_feet(write: Write) -> None:
    path = write(colours(), "a.tif", "GTiff", crs="EPSG:2264", transform=Affine(2, 0, 2_000_000, 0, -2, 700_000))
    underlay = read_underlay(path)
    assert underlay.transform[0] == pytest.approx(2 * 1200 / 3937)
    assert underlay.transform[2] == pytest.approx(2_000_000 * 1200 / 3937)


def test_a_real_picture_over_real_ground(shared_data: Path) -> None:
    underlay = read_underlay(shared_data / "site-bourgogne-fr" / "rgb_from_points_0p25m.tif", crs="EPSG:2154")
    assert (underlay.rows, underlay.cols) == (246, 400)
    assert at(underlay, 0, 0) == (870_200, 6_617_145)
    assert at(underlay, 400, 246) == (870_300, 6_617_083.5)


@given(
    a=st.tuples(st.floats(0, 30), st.floats(0, 20)),
    b=st.tuples(st.floats(31, 60), st.floats(0, 20)),
    distance=st.floats(0.5, 200),
    place=st.tuples(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5)),
    bearing=st.none() | st.floats(0, 360),
)
def test_two_points_a_known_distance_apart(
    a: tuple[float, float], b: tuple[float, float], distance: float, place: tuple[float, float], bearing: float | None
) -> None:
    picture = Underlay(digest="", source="", rows=20, cols=60, transform=(1, 0, 0, 0, -1, 0), payload=None)
    scaled = scale_underlay(picture, a, b, distance, at=place, bearing_deg=bearing)
    first, second = np.array(at(scaled, *a)), np.array(at(scaled, *b))
    assert first == pytest.approx(place, abs=1e-6)
    along = second - first
    assert np.hypot(*along) == pytest.approx(distance, rel=1e-6)
    if bearing is not None:
        assert along == pytest.approx(
            distance * np.array([np.sin(np.radians(bearing)), np.cos(np.radians(bearing))]), abs=1e-5
        )
    else:
        assert scaled.transform[1] == pytest.approx(0, abs=1e-12)
    right, down = np.array(at(scaled, 1, 0)) - at(scaled, 0, 0), np.array(at(scaled, 0, 1)) - at(scaled, 0, 0)
    assert right @ down == pytest.approx(0, abs=1e-6)
    assert right[0] * down[1] - right[1] * down[0] < 0  # not mirrored: down is to the right hand of right


def test_scaling_says_what_it_cannot_take(write: Write) -> None:
    underlay = read_underlay(write(colours()))
    with pytest.raises(InputError, match="The two points are one"):
        scale_underlay(underlay, (1, 1), (1, 1), 5, at=(0, 0))
    with pytest.raises(InputError, match="The distance is none"):
        scale_underlay(underlay, (1, 1), (2, 1), 0, at=(0, 0))
    assert is_to_scale(scale_underlay(underlay, (1, 1), (2, 1), 5, at=(0, 0)))


def test_opacity_palettes_greys_and_sixteen_bits(write: Write) -> None:
    four = colours(4)
    four[3] = 255
    four[3, :5] = 0
    clear = read_underlay(write(four, "four.png")).payload
    assert not clear[:5].any()
    assert (clear[5:, :, 3] == 255).all()
    grey = read_underlay(write(colours(1), "grey.png")).payload
    assert np.array_equal(grey[..., 0], colours(1)[0])
    assert np.array_equal(grey[..., 0], grey[..., 2])
    palette = {number: (number, 255 - number, 7, 255) for number in range(256)}
    paletted = read_underlay(write(colours(1), "p.tif", "GTiff", colormap=palette)).payload
    assert np.array_equal(paletted[..., 1], 255 - colours(1)[0])
    deep = np.linspace(1000, 3000, 600).reshape(1, 20, 30).astype(np.uint16)
    stretched = read_underlay(write(deep, "deep.tif", "GTiff")).payload[..., 0]
    assert (stretched.min(), stretched.max()) == (0, 255)
    many = read_underlay(write(colours(5), "many.tif", "GTiff")).payload
    assert np.array_equal(many[..., :3], np.moveaxis(colours(5)[:3], 0, -1))


_SEEN_AT = {"1": 0, "2": 1, "3": 3, "4": 2, "5": 0, "6": 1, "7": 3, "8": 2}
"""Where the file's first pixel is seen (Exif 2.32, tag 274): left top, right top, left bottom, right bottom."""


@pytest.mark.parametrize("orientation", _SEEN_AT)
def test_a_photo_stands_as_it_was_taken(write: Write, orientation: str) -> None:
    picture = np.full((3, 16, 24), 200, np.uint8)
    picture[:, :8, :8] = 0
    path = write(picture, "photo.jpg", "JPEG", quality=100)
    _set_orientation(path, int(orientation))
    with rasterio.open(path) as dataset:
        assert dataset.tags()["EXIF_Orientation"] == orientation
    seen = read_underlay(path).payload
    assert seen.shape[:2] == ((16, 24) if orientation in "1234" else (24, 16))
    dark = seen[[0, 0, -1, -1], [0, -1, 0, -1], 0] < 50
    assert list(np.flatnonzero(dark)) == [_SEEN_AT[orientation]]


def _set_orientation(path: Path, value: int) -> None:
    """Put the one tag into a JPEG, as a camera does (Exif 2.32, 4.5.4)."""
    entry = bytes([0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, value, 0, 0])
    tiff = b"MM\0*\0\0\0\x08" + b"\0\x01" + entry + b"\0\0\0\0"
    body = b"Exif\0\0" + tiff
    raw = path.read_bytes()
    path.write_bytes(raw[:2] + b"\xff\xe1" + (len(body) + 2).to_bytes(2, "big") + body + raw[2:])


def test_a_large_picture_is_thinned_and_says_so(write: Write) -> None:
    transform = Affine(0.25, 0, 500_000, 0, -0.25, 5_600_000)
    path = write(colours(3, 200, 300), "a.tif", "GTiff", crs="EPSG:25832", transform=transform)
    underlay = read_underlay(path, most_pixels=7000)
    assert (underlay.rows, underlay.cols) == (66, 100)
    assert underlay.transform == (0.75, 0, 500_000, 0, -0.75, 5_600_000)
    assert underlay.notices == ("It was thinned to one pixel for 3 by 3.",)
    with pytest.raises(Cancelled):
        read_underlay(path, cancel=lambda: True)


def test_what_is_no_picture(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_text("no picture")
    with pytest.raises(FileError, match="it is not a raster of a known kind") as caught:
        read_underlay(tmp_path / "a.png")
    assert caught.value.mend
