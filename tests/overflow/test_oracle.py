"""The program against a slow oracle that moves water litre by litre (`oracle`), on small grounds."""

from __future__ import annotations

import numpy as np
import pytest
from affine import Affine

from gardenwater.ground import Ground
from gardenwater.overflow import Source, prepare, spill_all
from tests.overflow.oracle import LITRE_M3, Pit

ROWS, COLS = 6, 7


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 5, 7, 10, 14, 22])
def test_litre_by_litre_the_same_pools_stand(seed: int) -> None:
    random = np.random.default_rng(seed)
    level = random.random((ROWS, COLS)).astype(np.float32)
    ground = Ground(level, Affine(1, 0, 0, 0, -1, ROWS))
    litres = [int(count) for count in random.integers(50, 900, 2)]
    spots = [(float(row), float(col)) for row, col in random.uniform(0.1, (ROWS - 1.1, COLS - 1.1), (2, 2))]
    pit = Pit(level.astype(float).tolist())
    # both run steadily for the same hours
    turns = sorted((number / count, spot) for spot, count in zip(spots, litres, strict=True) for number in range(count))
    for _, spot in turns:
        pit.pour(spot)
    sources = [
        Source((col + 0.5, ROWS - row - 0.5), count * LITRE_M3) for (row, col), count in zip(spots, litres, strict=True)
    ]
    found = spill_all(prepare(ground, edge="wall"), sources)
    told = np.array([[pit.water[row, col] for col in range(COLS)] for row in range(ROWS)])
    assert told.sum() == pytest.approx(found.pooled_m3, abs=1e-9)
    np.testing.assert_allclose(found.pool_depth_m, told, atol=2 * LITRE_M3)
