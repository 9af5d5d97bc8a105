"""Fall and hill shading against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.ground import Ground, hillshade, slope


def plane(
    fall: float, bearing_deg: float, *, wide: float = 0.5, high: float = 0.3, rows: int = 8, cols: int = 11
) -> Ground:
    """Ground that falls `fall` m per m towards a compass bearing."""
    angle = np.radians(bearing_deg)
    x = (np.arange(cols) + 0.5) * wide
    y = (rows - np.arange(rows) - 0.5) * high
    levels = 20 - fall * (np.sin(angle) * x[None, :] + np.cos(angle) * y[:, None])
    return Ground(levels, Affine(wide, 0, 0, 0, -high, rows * high))


@given(fall=st.floats(0.01, 2.0), bearing_deg=st.floats(0, 359.9))
def test_slope_of_a_plane_is_its_fall_and_bearing_everywhere(fall: float, bearing_deg: float) -> None:
    found = slope(plane(fall, bearing_deg))
    assert found.fall == pytest.approx(fall, abs=2e-5)  # levels are float32
    turn = (found.bearing_deg - bearing_deg + 180) % 360 - 180
    assert np.abs(turn).max() < 0.1


def test_slope_inside_is_horns_weighted_difference() -> None:
    rng = np.random.default_rng(3)
    ground = Ground(rng.normal(size=(3, 3)), Affine(2.0, 0, 0, 0, -3.0, 9.0))
    (a, b, c), (d, _, f), (g, h, i) = ground.level_m.astype(float)
    east = ((c + 2 * f + i) - (a + 2 * d + g)) / (8 * 2.0)
    north = ((a + 2 * b + c) - (g + 2 * h + i)) / (8 * 3.0)
    found = slope(ground)
    assert found.fall[1, 1] == pytest.approx(np.hypot(east, north), rel=1e-5)
    assert found.bearing_deg[1, 1] == pytest.approx(np.degrees(np.arctan2(-east, -north)) % 360, rel=1e-5)


def test_beside_a_hole_a_plane_keeps_its_slope_and_the_hole_has_none() -> None:
    whole = plane(0.2, 70.0)
    levels = whole.level_m.copy()
    levels[2:5, 3:6] = np.nan
    levels[0, 0] = np.nan
    found = slope(Ground(levels, whole.transform))
    assert np.array_equal(np.isnan(found.fall), np.isnan(levels))
    assert found.fall[~np.isnan(levels)] == pytest.approx(0.2, rel=1e-3)


def test_level_ground_has_no_bearing() -> None:
    found = slope(Ground(np.full((4, 5), 7.0), Affine(1, 0, 0, 0, -1, 4)))
    assert (found.fall == 0).all()
    assert np.isnan(found.bearing_deg).all()


@pytest.mark.parametrize("shape", [(1, 1), (1, 4), (4, 1), (2, 2)])
def test_the_smallest_grounds_have_a_slope(shape: tuple[int, int]) -> None:
    rows, cols = shape
    found = slope(plane(0.1, 90.0, rows=rows, cols=cols))
    assert found.fall == pytest.approx(0.1 if cols > 1 else 0.0, rel=1e-3)


@given(
    fall=st.floats(0.0, 1.0),
    bearing_deg=st.floats(0, 359),
    azimuth_deg=st.floats(0, 359),
    altitude_deg=st.floats(5, 85),
)
def test_shade_of_a_plane_is_lamberts_cosine(
    fall: float, bearing_deg: float, azimuth_deg: float, altitude_deg: float
) -> None:
    angle, azimuth, altitude = np.radians([bearing_deg, azimuth_deg, altitude_deg])
    normal = np.array([fall * np.sin(angle), fall * np.cos(angle), 1.0]) / np.hypot(1.0, fall)
    light = [np.cos(altitude) * np.sin(azimuth), np.cos(altitude) * np.cos(azimuth), np.sin(altitude)]
    shade = hillshade(plane(fall, bearing_deg), azimuth_deg=azimuth_deg, altitude_deg=altitude_deg, exaggerate=1.0)
    assert shade.dtype == np.float32
    assert shade == pytest.approx(max(float(normal @ light), 0.0), abs=2e-3)


def test_shade_is_between_dark_and_light_and_exaggeration_strengthens_it(nsw: Ground) -> None:
    plain, strong = hillshade(nsw, exaggerate=1.0), hillshade(nsw, exaggerate=3.0)
    assert 0 <= strong.min() <= strong.max() <= 1
    assert strong.std() > plain.std()
