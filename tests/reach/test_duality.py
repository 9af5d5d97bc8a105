"""Forward and reverse pass agree at the flows of a hose: a spot serves a bed from its needed level on, and not below.

DESIGN: the two agree but for a band of 0.5 % of the loss + 5 mm. At 5 to 10 L/min a hose of 19 mm loses up to 28 mm for
each metre, so that on grounds of some tens of metres the loss, and not the 5 mm, makes the band. Where the ground lies
within millimetres of the grade line for metres, the two passes may go over other cells of it: of 3,520 spots on random
grounds of square cells 3 lay outside the band, by 1.4 bands at most; of 1,965 with cells up to four times as long as
wide 13, by 2.0 at most. So each spot is held to three bands, and 98 in 100 of them to one (pinned to what was counted).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, friction_slope
from gardenwater.reach import Prepared, Reason, needed_level, prepare, water_reach
from tests.reach.grounds import ground_of

SHARE, LEAST_M = 0.005, 0.005
HIGH_M = 200.0


class Garden(NamedTuple):
    """A ground with ridges, buildings and walls on it; the cell of the bed's delivery spot; the line."""

    ground: Ground
    prepared: Prepared
    spot: tuple[int, int]
    line: Line


@st.composite
def gardens(draw: st.DrawFn) -> Garden:
    """Rolling ground of up to 40 x 40 cells with ridges across it that have gaps, buildings, and a wall or two."""
    return made_of(np.random.default_rng(draw(st.integers(0, 2**32 - 1))))


def made_of(rng: np.random.Generator) -> Garden:
    """A garden of these random numbers."""
    rows, cols = (int(count) for count in rng.integers(12, 41, 2))
    cell_m = float(rng.choice([0.5, 1.0, 2.0])), float(rng.choice([0.5, 1.0, 2.0]))
    levels = _rolling(rng, rows, cols)
    for _ in range(rng.integers(0, 4)):
        _ridge(levels, rng)
    levels[rng.random((rows, cols)) < 0.02] = np.nan
    ground = ground_of(levels, *cell_m)
    wide, high = cols * cell_m[0], rows * cell_m[1]
    prepared = prepare(ground, barriers=_barriers(rng, int(rng.integers(0, 5)), int(rng.integers(0, 3)), wide, high))
    free = np.argwhere(np.isfinite(prepared.level_m))
    row, col = free[rng.integers(len(free))] if len(free) else (0, 0)
    line = Line(
        float(rng.choice([16.0, 19.0, 25.0])),
        flow_l_min=float(rng.uniform(5.0, 10.0)),
        lift_m=float(rng.choice([0.0, 0.3])),
        line_height_m=float(rng.choice([0.0, 0.1])),
    )
    return Garden(ground, prepared, (int(row), int(col)), line)


def _rolling(rng: np.random.Generator, rows: int, cols: int) -> NDArray[np.float64]:
    y, x = np.mgrid[:rows, :cols]
    tilt = rng.uniform(-0.03, 0.03, 2)
    waves = rng.uniform(0.0, 0.3) * np.sin(x / rng.uniform(3, 9)) * np.sin(y / rng.uniform(3, 9))
    levels: NDArray[np.float64] = tilt[0] * x + tilt[1] * y + waves + rng.normal(0, 0.01, (rows, cols))
    return levels


def _ridge(levels: NDArray[np.float64], rng: np.random.Generator) -> None:
    """A ridge across the ground, up to 1.5 m high, with a gap in it."""
    across = levels if rng.random() < 0.5 else levels.T
    at, gap = int(rng.integers(across.shape[0])), int(rng.integers(across.shape[1] - 1))
    raised = across[at].copy() + rng.uniform(0.2, 1.5)
    raised[gap : gap + 2] = across[at, gap : gap + 2]
    across[at] = raised


def _barriers(rng: np.random.Generator, buildings: int, walls: int, wide: float, high: float) -> list[BaseGeometry]:
    corners = rng.uniform(0, 1, (buildings, 2)) * (wide, high)
    found: list[BaseGeometry] = [box(x, y, x + rng.uniform(1, 6), y + rng.uniform(1, 6)) for x, y in corners]
    return found + [LineString(rng.uniform(0, 1, (2, 2)) * (wide, high)) for _ in range(walls)]


def _served(garden: Garden, cell: tuple[int, int], level_m: float) -> tuple[bool, float]:
    """Whether a tank there, its water so high, serves the spot, and over what length of line."""
    ground, prepared, spot, line = garden
    found = water_reach(prepared, at=ground.centre_of(*cell), water_level_m=level_m, line=line)
    return bool(found.reason[spot] == Reason.IN_REACH), float(found.distance_m[spot])


def _off_by(garden: Garden, cells: NDArray[np.intp], bands: float) -> list[tuple[int, int]]:
    """The cells that disagree with their needed level by more than so many bands; without a way, those with reach."""
    ground, prepared, spot, line = garden
    need = needed_level(prepared, bed=Polygon(), line=line, deliver_at=ground.centre_of(*spot))
    slope = float(friction_slope(line.flow_l_min, line))
    found = []
    for row, col in cells:
        cell, level_m = (int(row), int(col)), float(need[row, col])
        if math.isnan(level_m):
            if _served(garden, cell, HIGH_M)[0]:
                found.append(cell)
            continue
        loss_m = slope * _served(garden, cell, level_m + 1.0)[1]
        band_m = bands * (SHARE * loss_m + LEAST_M)
        if not _served(garden, cell, level_m + band_m)[0] or _served(garden, cell, level_m - band_m)[0]:
            found.append(cell)
    return found


def _free(garden: Garden) -> NDArray[np.intp]:
    return np.argwhere(np.isfinite(garden.prepared.level_m))


@settings(max_examples=25)
@given(gardens(), st.integers(0, 2**32 - 1))
def test_a_spot_serves_a_bed_just_from_its_needed_level_on(garden: Garden, seed: int) -> None:
    if np.isfinite(garden.prepared.level_m[garden.spot]):
        assert _off_by(garden, np.random.default_rng(seed).permutation(_free(garden))[:6], bands=3.0) == []


def test_nearly_all_spots_lie_within_the_band() -> None:
    off = tried = 0
    for seed in range(60):
        rng = np.random.default_rng(seed)
        garden = made_of(rng)
        cells = rng.permutation(_free(garden))[:6]
        tried += len(cells)
        off += len(_off_by(garden, cells, bands=1.0))
    assert tried > 300
    assert off <= 0.02 * tried
