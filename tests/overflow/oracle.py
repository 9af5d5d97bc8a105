"""A slow, plain answer to where spilled water goes, litre by litre, on grounds of a few cells walled at their edge.

A litre rolls down a surface of triangles between cells' centres: of all directions it takes the one that leads lowest,
a small step at a time. Where it comes to rest it raises the water that stands there, all cells with the same surface
together. Water that stands as high as a cell beside it that leads down elsewhere lets the litre go on over that cell.
Shares no code with the program; only the rule by which a square of four cells is cut into triangles is the same.
"""

from __future__ import annotations

import math
from functools import cache

Cell = tuple[int, int]
Spot = tuple[float, float]
"""Row and column, in cells."""

LITRE_M3 = 0.001
_STEPS, _DIRECTIONS = (0.03, 0.003, 0.0003), 96


class Pit:
    """A ground walled at its edge; level: rows of levels, m; cells are a metre wide."""

    def __init__(self, level: list[list[float]]) -> None:
        self.level = level
        self.rows, self.cols = len(level), len(level[0])
        self.water = {(row, col): 0.0 for row in range(self.rows) for col in range(self.cols)}
        self.rests_at = cache(self._rests_at)

    def surface(self, cell: Cell) -> float:
        """Level of the water, or of dry ground."""
        return self.level[cell[0]][cell[1]] + self.water[cell]

    def beside(self, cell: Cell) -> list[Cell]:
        """The up to eight neighbours."""
        row, col = cell
        near = [(row + down, col + right) for down in (-1, 0, 1) for right in (-1, 0, 1) if down or right]
        return [(r, c) for r, c in near if 0 <= r < self.rows and 0 <= c < self.cols]

    def height(self, spot: Spot) -> float:
        """Level of the triangle under a spot. A square is cut along the diagonal whose higher end is the lower."""
        row = min(max(int(spot[0]), 0), self.rows - 2)
        col = min(max(int(spot[1]), 0), self.cols - 2)
        v, u = spot[0] - row, spot[1] - col
        a, b = self.level[row][col], self.level[row][col + 1]
        c, d = self.level[row + 1][col], self.level[row + 1][col + 1]
        if max(a, d) < max(b, c):
            return a + u * (b - a) + v * (d - b) if u > v else a + v * (c - a) + u * (d - c)
        return a + u * (b - a) + v * (c - a) if u + v < 1 else d + (1 - u) * (c - d) + (1 - v) * (b - d)

    def _around(self, spot: Spot, step: float) -> list[tuple[float, Spot]]:
        """Spots a step away all round, and how high they are."""
        found = []
        for number in range(_DIRECTIONS):
            bearing = 2 * math.pi * number / _DIRECTIONS
            row, col = spot[0] + step * math.sin(bearing), spot[1] + step * math.cos(bearing)
            if 0 <= row <= self.rows - 1 and 0 <= col <= self.cols - 1:
                found.append((self.height((row, col)), (row, col)))
        return found

    def _rests_at(self, spot: Spot) -> Cell:
        """The cell at whose centre a litre comes to rest that is let go at a spot."""
        here = self.height(spot)
        while True:
            for step in _STEPS:
                lowest, onto = min(self._around(spot, step))
                if lowest < here - 1e-12:
                    break
            else:
                # the eight ways from centre to centre are among the directions: it stands at a centre, or all but
                cell = round(spot[0]), round(spot[1])
                if math.dist(cell, spot) < 1e-9:
                    return cell
                lowest, onto = self.level[cell[0]][cell[1]], (float(cell[0]), float(cell[1]))
            spot, here = onto, lowest

    def pool_at(self, cell: Cell) -> set[Cell]:
        """All cells that stand at one surface with a cell."""
        found, open_cells = {cell}, [cell]
        while open_cells:
            for near in self.beside(open_cells.pop()):
                if near not in found and abs(self.surface(near) - self.surface(cell)) < 1e-9:
                    found.add(near)
                    open_cells.append(near)
        return found

    def onward(self, pool: set[Cell]) -> Spot | None:
        """Where water of a pool goes on to that stands as high as its sill; None while it can rise.

        From a dry cell of the same level it takes the steepest way down that does not lead back.
        """
        top = self.surface(next(iter(pool)))
        found = []
        for cell in pool:
            lower = [near for near in self.beside(cell) if near not in pool and self.surface(near) < top - 1e-9]
            if self.water[cell] == 0.0 and lower:
                around = self._around((float(cell[0]), float(cell[1])), _STEPS[0])
                found += [(height, spot) for height, spot in around if height < top - 1e-12]
        return next((spot for _, spot in sorted(found) if self.rests_at(spot) not in pool), None)

    def pour(self, spot: Spot, volume_m3: float = LITRE_M3) -> None:
        """Let some water go at a spot."""
        cell = self.rests_at(spot)
        while True:
            pool = self.pool_at(cell)
            way = self.onward(pool)
            if way is not None:
                cell = self.rests_at(way)
                continue
            top = self.surface(cell)
            rim = [self.surface(near) for each in pool for near in self.beside(each) if near not in pool]
            rise = min(volume_m3 / len(pool), min(rim, default=math.inf) - top)
            for each in pool:
                self.water[each] += rise
            volume_m3 -= rise * len(pool)
            if volume_m3 <= 1e-15:
                return
