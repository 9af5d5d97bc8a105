"""Rings of polygons: those of several parts are all drawn (a pool in two parts used to have none)."""

from __future__ import annotations

import numpy as np
from shapely import MultiPolygon, box

from gardenwater.report.paths import rings


def test_a_shape_in_two_parts_has_the_rings_of_both() -> None:
    holed = box(0, 0, 4, 4).difference(box(1, 1, 2, 2))
    found = rings(MultiPolygon([holed, box(6, 0, 8, 2)]))
    assert len(found) == 3
    assert all(len(ring) == 4 for ring in found)
    assert np.isclose(max(ring[:, 0].max() for ring in found), 8.0)
