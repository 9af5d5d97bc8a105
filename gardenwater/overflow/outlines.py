"""Shores of pools as polygons: the zero line of a field that is positive where water stands."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import cast

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from gardenwater.overflow.surface import Prepared


@dataclass(frozen=True, slots=True)
class Standing:
    """Water that stands in a hollow. cells: how many of the hollow's cells it comes to. deepest: the cell where."""

    hollow: int
    cells: int
    level_m: float
    depth_m: float
    deepest: int


Box = NDArray[np.int64]
Floats = NDArray[np.float64]


def outlines(
    prepared: Prepared, depth_m: NDArray[np.float64], standing: list[Standing], box: Box
) -> list[Polygon | MultiPolygon]:
    """The outline of each standing water, m. depth_m: of the whole ground, flat. box: rows and columns that hold them.

    No two of them touch: between two pools lies a cell that is dry, their sill at least.
    """
    from contourpy import FillType, contour_generator

    if not standing:
        return []
    field, numbers = _field(prepared, depth_m, standing, box)
    generator = contour_generator(z=field, name="serial", fill_type=FillType.OuterOffset)
    rings, offsets = cast("tuple[list[Floats], list[NDArray[np.uint32]]]", generator.filled(0.0, 2.0))
    pieces: list[list[Polygon]] = [[] for _ in standing]
    for points, starts in zip(rings, offsets, strict=True):
        number = _number_at(numbers, points[0])
        points[:, 0] += box[2] - 1
        points[:, 1] += box[0] - 1
        on_map = prepared.to_map(points)
        shell, *holes = (on_map[a:b] for a, b in pairwise(starts))
        pieces[number].append(Polygon(shell, holes))
    return [parts[0] if len(parts) == 1 else MultiPolygon(parts) for parts in pieces]


def _field(
    prepared: Prepared, depth_m: NDArray[np.float64], standing: list[Standing], box: Box
) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """The field, and 1 + the number of the water in each cell, in a window with a margin of one cell."""
    from gardenwater.overflow import kernels_shore as shore

    shape = int(box[1] - box[0]) + 3, int(box[3] - box[2]) + 3
    field, numbers = np.full(shape, -1.0), np.zeros(shape, dtype=np.int32)
    corner = int(box[0] - 1) * prepared.land.surface.stride + int(box[2] - 1)
    for number, water in enumerate(standing):
        shore.shore_field(
            prepared.land, depth_m, water.hollow, water.cells, water.level_m, number, corner, field, numbers
        )
    return field, numbers


def _number_at(numbers: NDArray[np.int32], point: NDArray[np.float64]) -> int:
    """The water on whose shore a point lies: one of the two cells' centres that it lies between is wet."""
    x, y = float(point[0]), float(point[1])
    one = int(numbers[int(np.floor(y)), int(np.floor(x))])
    return (one or int(numbers[int(np.ceil(y)), int(np.ceil(x))])) - 1
