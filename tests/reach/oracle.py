"""Reach once more, slowly: plain Python, every pair of cells, no kernel and no inheritance.

A way turns at centres of cells. A straight piece may cross a cell when the ground there is no higher than the water may
be at that distance; where it goes exactly through a corner, one of the two cells beside it must let it pass.
"""

from __future__ import annotations

import heapq
import math
from fractions import Fraction
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Cell = tuple[int, int]


@cache
def crossed(down: int, right: int) -> tuple[tuple[tuple[Cell, ...], float], ...]:
    """What a line from the centre of cell 0, 0 to that of cell down, right crosses, with the share of the way to it.

    One cell, or the two beside a corner that it goes exactly through. The line is cut where it enters a new row or
    column, in exact fractions; a cell is taken at the share of the row or column that the line has come to. Start and
    end are left out.
    """
    found: list[tuple[tuple[Cell, ...], float]] = []
    far = max(abs(down), abs(right))
    cuts = sorted({Fraction(2 * k + 1, 2 * abs(d)) for d in (down, right) if d for k in range(abs(d))})
    for first, last in pairwise(cuts):
        middle = (first + last) / 2
        found.append((((_rounded(down * middle), _rounded(right * middle)),), round(float(middle) * far) / far))
    hair = Fraction(1, 10**6)
    for cut in cuts:
        if (down * cut).denominator == 2 and (right * cut).denominator == 2:
            before = _rounded(down * (cut - hair)), _rounded(right * (cut - hair))
            after = _rounded(down * (cut + hair)), _rounded(right * (cut + hair))
            found.append((((before[0], after[1]), (after[0], before[1])), float(cut)))
    return tuple(found)


def _rounded(value: Fraction) -> int:
    return math.floor(value + Fraction(1, 2))


def ways(
    levels: NDArray[np.float64],
    tank: Cell,
    *,
    off_m: tuple[float, float],
    cell_m: tuple[float, float],
    a_way: float,
    slope: float,
) -> dict[Cell, float]:
    """Length of the shortest way to each cell that can be entered, m: level <= a_way - slope x way everywhere on it.

    off_m: of the tank from its cell's centre, east and south.
    """

    def spot(cell: Cell) -> tuple[float, float]:
        off = off_m if cell == tank else (0.0, 0.0)
        return cell[1] * cell_m[0] + off[0], cell[0] * cell_m[1] + off[1]

    if not levels[tank] <= a_way:
        return {}
    best, settled, queue = {tank: 0.0}, set[Cell](), [(0.0, tank)]
    while queue:
        way, here = heapq.heappop(queue)
        if here in settled:
            continue
        settled.add(here)
        for ahead in np.ndindex(*levels.shape):
            if ahead in settled:
                continue
            length = math.dist(spot(here), spot(ahead))
            if way + length >= best.get(ahead, math.inf) or not levels[ahead] <= a_way - slope * (way + length):
                continue
            if all(
                any(
                    levels[here[0] + row, here[1] + col] <= a_way - slope * (way + share * length) for row, col in cells
                )
                for cells, share in crossed(ahead[0] - here[0], ahead[1] - here[1])
            ):
                best[ahead] = way + length
                heapq.heappush(queue, (way + length, ahead))
    return best
