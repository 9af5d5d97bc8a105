"""Ground underfoot and the wetness index, on grounds whose answer is known."""

from __future__ import annotations

import numpy as np
import pytest
from affine import Affine
from shapely import Point

from gardenwater.ground import Ground
from gardenwater.overflow import MudWhy, Source, Underfoot, muddy, prepare, spill_all, wetness


def ground_of(level_m: np.ndarray, cell_m: float = 0.5) -> Ground:
    return Ground(level_m, Affine(cell_m, 0.0, 0.0, 0.0, -cell_m, level_m.shape[0] * cell_m))


def slope(rows: int = 80, cols: int = 60, fall: float = 0.05) -> np.ndarray:
    return np.broadcast_to(100.0 - 0.5 * fall * np.arange(rows, dtype=float)[:, None], (rows, cols)).copy()


def test_the_index_of_a_plane_is_that_of_its_length_and_fall() -> None:
    """ln(a / tan b) with a the length of slope above (Beven and Kirkby 1979)."""
    ground = ground_of(slope())
    found = wetness(prepare(ground), ground)
    down_m = (np.arange(80) + 1) * 0.5
    np.testing.assert_allclose(found.index[:, 30], np.log(down_m / 0.05), atol=1e-3)
    np.testing.assert_allclose(found.fall[:, 30], 0.05, rtol=1e-4)


def test_a_hollow_counts_as_filled_and_level() -> None:
    level = slope()
    level[40:44, 28:32] -= 0.5
    ground = ground_of(level)
    found = wetness(prepare(ground), ground)
    assert found.fall[41, 29] == pytest.approx(1e-3)
    assert found.index[40:44, 28:32].min() > found.index[39, 10]


def test_no_index_under_a_building() -> None:
    ground = ground_of(slope())
    found = wetness(prepare(ground, barriers=[Point(15, 20).buffer(3)]), ground)
    assert np.isnan(found.index[40, 30])
    assert np.isnan(found.upslope_m).sum() == np.isnan(found.index).sum() > 0


def flooded(soak_mm_h: float, litres: float = 400.0) -> tuple[Ground, object, object]:
    level = slope()
    level[50:56, 26:34] -= 0.4
    ground = ground_of(level)
    prepared = prepare(ground)
    spill = spill_all(prepared, [Source((15.0, 34.0), litres / 1000.0, "tank-1")], over_h=6.0, soak_mm_h=soak_mm_h)
    return ground, spill, wetness(prepared, ground)


def test_ways_are_soft_and_pools_by_how_long_they_stand() -> None:
    ground, spill, lie = flooded(soak_mm_h=15.0, litres=2500.0)
    mud = muddy(ground, spill, lie, soak_mm_h=15.0)  # type: ignore[arg-type]
    row, col = ground.cell_at(15.0, 25.0) or (0, 0)
    assert mud.underfoot[row, col] == Underfoot.SOFT
    assert mud.why[row, col] & MudWhy.WAY
    assert mud.underfoot[10, 5] == Underfoot.DRY
    assert mud.why[10, 5] == 0
    assert mud.index_shift == 0.0  # loam is what the index is for
    pool = spill.pools[0]  # type: ignore[attr-defined]
    deepest = ground.cell_at(*pool.deepest)
    wanted = Underfoot.MUD if pool.hours_to_soak > 24.0 else Underfoot.SOFT
    assert deepest is not None
    assert mud.underfoot[deepest] == wanted


def test_on_slow_soil_ways_and_long_pools_are_mud_and_the_lie_counts_sooner() -> None:
    ground, spill, lie = flooded(soak_mm_h=1.0)
    slow = muddy(ground, spill, lie, soak_mm_h=1.0)  # type: ignore[arg-type]
    quick = muddy(ground, spill, lie, soak_mm_h=30.0)  # type: ignore[arg-type]
    pool = spill.pools[0]  # type: ignore[attr-defined]
    assert pool.hours_to_soak > 24.0
    assert slow.underfoot[ground.cell_at(*pool.deepest)] == Underfoot.MUD  # type: ignore[index]
    assert slow.underfoot[ground.cell_at(15.0, 25.0)] == Underfoot.MUD  # type: ignore[index]
    assert slow.index_shift == pytest.approx(np.log(15.0))
    assert (slow.underfoot > 0).sum() > (quick.underfoot > 0).sum()


def test_taps_drip_and_the_edge_of_what_is_known_tells_nothing() -> None:
    ground, spill, lie = flooded(soak_mm_h=15.0, litres=0.0)
    mud = muddy(ground, spill, lie, soak_mm_h=15.0, drips=[(5.0, 30.0)])  # type: ignore[arg-type]
    row, col = ground.cell_at(5.0, 30.0) or (0, 0)
    assert mud.underfoot[row, col] == Underfoot.SOFT
    assert mud.why[row, col] == MudWhy.TAP
    level = ground.level_m.copy()
    level[-20:] = level[-21]  # level ground gathers, up to where nothing is known
    flat = ground_of(level)
    at_edge = muddy(flat, spill, wetness(prepare(flat), flat), soak_mm_h=15.0)  # type: ignore[arg-type]
    assert (at_edge.underfoot[-2:] == Underfoot.DRY).all()
    assert (at_edge.underfoot[-10] >= Underfoot.DAMP).any()
