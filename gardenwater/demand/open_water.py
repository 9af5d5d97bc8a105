"""Open water: ponds and open tanks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

OPEN_WATER_KC = 1.05
"""Of open water less than 2 m deep. FAO-56 Table 12, seen second-hand."""


def open_water_mm(et0_mm: Floats) -> Floats:
    """What open water of less than 2 m gives to the air in a day, mm, float64 (days,). FAO-56 chapter 6, Table 12."""
    return OPEN_WATER_KC * et0_mm
