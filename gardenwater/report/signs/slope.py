"""Which side of a line lies higher, for signs that are drawn from their upper edge."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely

from gardenwater.ground import Ground


def upper_side(line: shapely.LineString, ground: Ground | None) -> float:
    """+1 where the ground is higher at the left hand of the line, -1 where at the right; +1 where not known."""
    return 1.0 if ground is None else _upper_side(line, ground)


@lru_cache(maxsize=512)
def _upper_side(line: shapely.LineString, ground: Ground) -> float:
    stops = np.linspace(0.05, 0.95, 9)
    places = shapely.get_coordinates(shapely.line_interpolate_point(line, stops, normalized=True))
    ahead = shapely.get_coordinates(shapely.line_interpolate_point(line, stops + 0.01, normalized=True))
    along = ahead - places
    left = np.column_stack((-along[:, 1], along[:, 0])) / np.maximum(np.hypot(*along.T), 1e-12)[:, None]
    reach = max(ground.cell_x_m, ground.cell_y_m, 0.5) * 1.5
    rise = _levels(ground, places + left * reach) - _levels(ground, places - left * reach)
    known = rise[np.isfinite(rise)]
    return -1.0 if len(known) and float(known.mean()) < 0 else 1.0


def _levels(ground: Ground, points: np.ndarray) -> np.ndarray:
    """Level of the cell that each point lies in; NaN off the ground."""
    cells = [ground.cell_at(float(x), float(y)) for x, y in points]
    return np.array([np.nan if cell is None else ground.level_m[cell] for cell in cells])
