"""Water gathered over surfaces, held against closed forms, a plain oracle, and the account of all ground."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.grids import gather

POWER = 1.1  # Freeman 1991


def padded(level_m: np.ndarray, rim: float = -np.inf) -> np.ndarray:
    return np.pad(np.asarray(level_m, dtype=np.float64), 1, constant_values=rim)


Cell = tuple[int, int]
AROUND = [(down, right) for down in (-1, 0, 1) for right in (-1, 0, 1) if (down, right) != (0, 0)]


def ranked_plainly(level: np.ndarray, cells: list[Cell]) -> tuple[dict[Cell, int], dict[Cell, Cell]]:
    """How many steps each cell is from one with a lower neighbour, and the step there."""
    rank = {cell: 0 for cell in cells if any(level[cell[0] + dr, cell[1] + dc] < level[cell] for dr, dc in AROUND)}
    out: dict[Cell, Cell] = {}
    front = list(rank)
    while front:
        coming = []
        for r, c in front:
            for other in [(r + dr, c + dc) for dr, dc in AROUND]:
                if other not in rank and math.isfinite(level[other]) and level[other] == level[r, c]:
                    rank[other], out[other] = rank[r, c] + 1, (r, c)
                    coming.append(other)
        front = coming
    return rank, out


def gathered_plainly(level: np.ndarray, cell_x_m: float, cell_y_m: float) -> np.ndarray:
    """The same in plain Python: from the highest down, over level ground by the fewest steps to a way out."""
    cells = [(r, c) for r, c in np.ndindex(level.shape) if math.isfinite(level[r, c])]
    rank, out = ranked_plainly(level, cells)
    area = dict.fromkeys(cells, cell_x_m * cell_y_m)
    for r, c in sorted(cells, key=lambda cell: (-level[cell], -rank.get(cell, -1))):
        shares = {}
        for dr, dc in AROUND:
            drop = level[r, c] - level[r + dr, c + dc]
            if 0 < drop < math.inf:
                shares[r + dr, c + dc] = (drop / math.hypot(dr * cell_y_m, dc * cell_x_m)) ** POWER
        if not shares and (r, c) in out:
            shares = {out[r, c]: 1.0}
        for other, share in shares.items():
            area[other] += area[r, c] * share / sum(shares.values())
    found = np.full(level.shape, np.nan)
    for cell, value in area.items():
        found[cell] = value
    return found[1:-1, 1:-1]


@given(
    st.integers(3, 7).flatmap(
        lambda n: st.lists(st.lists(st.integers(0, 4), min_size=n, max_size=n), min_size=n, max_size=n)
    ),
    st.sampled_from([(1.0, 1.0), (0.5, 0.7)]),
)
def test_the_oracle_gathers_the_same(levels: list[list[int]], cell: tuple[float, float]) -> None:
    level = padded(np.array(levels))
    found = gather(level, cell_x_m=cell[0], cell_y_m=cell[1]).area_m2
    plain = gathered_plainly(level, *cell)
    # a flat may have several equally short ways out, so that cells differ; what comes to each level does not
    for each in np.unique(levels):
        at = np.array(levels) == each
        own = cell[0] * cell[1] * at.sum()
        assert own - 1e-12 <= found[at].sum()
    top = np.array(levels) == np.max(levels)
    no_flat = top.sum() == 1
    if no_flat:
        np.testing.assert_allclose(found[top], plain[top], rtol=1e-12)
    assert found.min() == pytest.approx(plain.min(), rel=1e-12)


@given(st.permutations(range(36)))
def test_without_flats_each_cell_is_the_oracles(order: list[int]) -> None:
    level = padded(np.array(order).reshape(6, 6))
    found = gather(level, cell_x_m=0.5, cell_y_m=0.7).area_m2
    np.testing.assert_allclose(found, gathered_plainly(level, 0.5, 0.7), rtol=1e-12)


@pytest.mark.parametrize("azimuth_deg", [0, 17, 45, 70, 90])
def test_on_a_plane_it_is_the_distance_from_the_upper_edge(azimuth_deg: int) -> None:
    """Closed form: the specific catchment area of a plane is the length of slope above, whatever its azimuth."""
    n, down = 160, math.radians(azimuth_deg)
    row, col = np.mgrid[0:n, 0:n].astype(float)
    found = gather(padded(100 - 0.05 * (col * math.sin(down) + row * math.cos(down))), cell_x_m=1.0, cell_y_m=1.0)
    to_west = (col + 0.5) / math.sin(down) if math.sin(down) > 1e-9 else np.full((n, n), np.inf)
    to_north = (row + 0.5) / math.cos(down) if math.cos(down) > 1e-9 else np.full((n, n), np.inf)
    share = (found.upslope_m / np.minimum(to_west, to_north))[60:150, 60:150]
    corner = abs(to_west - to_north)[60:150, 60:150] < 30  # both edges are as near: the shares spread across the seam
    assert np.abs(share[~corner] - 1).max() < 0.012
    assert np.abs(share - 1).mean() < 0.012


def test_on_a_cone_it_is_half_the_radius() -> None:
    """Closed form: pi r^2 / (2 pi r). Eight directions alone would send it down eight spokes."""
    n = 200
    row, col = np.mgrid[0:n, 0:n].astype(float)
    radius = np.hypot(col - 99.5, row - 99.5)
    share = gather(padded(100 - 0.05 * radius), cell_x_m=1.0, cell_y_m=1.0).upslope_m / (radius / 2)
    ring = (radius > 20) & (radius < 90)
    assert abs(share[ring].mean() - 1) < 0.02
    assert share[ring].std() < 0.02


def test_a_valley_gathers_both_its_sides() -> None:
    """A gutter of planes: at its foot half of the ground goes through the two cells of its bottom."""
    row, col = np.mgrid[0:60, 0:41].astype(float)
    found = gather(padded(abs(col - 20) - 0.01 * row, np.inf), cell_x_m=1.0, cell_y_m=1.0)
    assert found.area_m2[-1, 20] == pytest.approx(60 * 41, rel=1e-9)


def test_level_ground_finds_its_way_out_and_a_walled_pit_keeps_its_water() -> None:
    level = padded(np.zeros((5, 7)), np.inf)
    level[3, 0] = -np.inf  # one way out, at the west
    found = gather(level, cell_x_m=1.0, cell_y_m=1.0).area_m2
    assert found[2, 0] + found[1, 0] + found[3, 0] == pytest.approx(35)  # the three cells beside it hand all of it out
    kept = gather(padded(np.zeros((3, 3)), np.inf), cell_x_m=1.0, cell_y_m=1.0).area_m2
    np.testing.assert_array_equal(kept, np.ones((3, 3)))


def test_another_library_finds_the_same_channels() -> None:
    """pyflwdir's eight directions on real ground: its channels are where much is gathered, and as large at their foot.

    Off the channels the two differ, as they must: eight directions send a slope's water down single lines.
    """
    import pyflwdir
    from scipy.ndimage import binary_dilation

    from gardenwater.files import read_ground
    from gardenwater.overflow import prepare

    ground = read_ground(Path(__file__).parent.parent / "data" / "nsw_dtm_1m.tif")
    prepared = prepare(ground)
    surface = prepared.land.surface.level.reshape(ground.shape[0] + 2, -1).astype(np.float64)
    surface[1:-1, 1:-1] = prepared.filled_m()
    ours = gather(surface, cell_x_m=ground.cell_x_m, cell_y_m=ground.cell_y_m).area_m2
    cells = pyflwdir.from_dem(ground.level_m, nodata=-9999.0, outlets="edge").upstream_area()
    theirs = cells * ground.cell_x_m * ground.cell_y_m
    assert ours.max() == pytest.approx(theirs.max(), rel=0.05)
    wet = binary_dilation(ours > np.percentile(ours, 96), np.ones((3, 3), dtype=np.bool_))
    channels = theirs > np.percentile(theirs, 98)
    assert wet[channels].mean() > 0.75


def test_a_surface_without_a_rim_is_refused() -> None:
    with pytest.raises(InputError, match="rim"):
        gather(np.zeros((4, 4)), cell_x_m=1.0, cell_y_m=1.0)
