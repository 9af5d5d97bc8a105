"""Grounds that the checks of overflow share."""

from __future__ import annotations

import os

import numpy as np
import pytest
from affine import Affine
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from gardenwater.ground import Ground

COMPILED = os.environ.get("NUMBA_DISABLE_JIT", "0") in ("", "0")
"""Whether kernels run compiled; without the compiler they take some hundred times as long."""

needs_compiler = pytest.mark.skipif(not COMPILED, reason="a ground of so many cells takes minutes without the compiler")


def examples(count: int) -> int:
    """How many examples a property is tried on: fewer where kernels are not compiled."""
    return count if COMPILED else max(count // 10, 3)


def ground_of(level: NDArray[np.floating], cell_m: float = 1.0) -> Ground:
    """A ground whose south-west corner is at 0, 0."""
    return Ground(level, Affine(cell_m, 0, 0, 0, -cell_m, level.shape[0] * cell_m))


def hummocks(seed: int, size: int = 60, noise_m: float = 0.004) -> NDArray[np.float32]:
    """A tilted plot with hummocks and noise in each cell: many hollows, one in another."""
    random = np.random.default_rng(seed)
    rows, cols = np.mgrid[0:size, 0:size]
    level = 10 - 0.02 * rows - 0.013 * cols + 2.0 * gaussian_filter(random.normal(0, 1, (size, size)), 4)
    return (level + random.normal(0, noise_m, (size, size))).astype(np.float32)
