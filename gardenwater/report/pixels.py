"""Pictures of the drawing list as pixels, for painters that cannot turn and colour them by themselves."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gardenwater.report.drawing import Fill, Picture, Rect
from gardenwater.report.palette import Palette


class Patch(NamedTuple):
    """Pixels and where they lie. rgba: uint8 (rows, cols, 4), straight alpha; box: px of the drawing."""

    rgba: NDArray[np.uint8]
    box: Rect


def color_table(table: tuple[Fill | None, ...], palette: Palette, strength: float) -> NDArray[np.float32]:
    """The colours of a table: float32 (256, 4), 0 to 255, straight alpha; classes beyond the table are clear."""
    colors = np.zeros((256, 4), dtype=np.float32)
    for index, fill in enumerate(table):
        if fill is not None:
            colors[index] = (*palette.rgb(fill.role), 255.0 * fill.strength * strength)
    return colors


def patch_of(picture: Picture, palette: Palette, *, within: Rect, pixels_per_px: float) -> Patch | None:
    """The part of a picture that lies in a rectangle, sampled at `pixels_per_px`; None where none of it does."""
    box = _common(_bounds(picture), within)
    if box is None:
        return None
    cols, rows = max(1, round(box.width * pixels_per_px)), max(1, round(box.height * pixels_per_px))
    x = box.x + (np.arange(cols) + 0.5) * box.width / cols
    y = box.y + (np.arange(rows) + 0.5) * box.height / rows
    a, b, c, d, e, f = picture.transform
    scale = a * e - b * d
    across, down = x[None, :] - c, y[:, None] - f
    col, row = (e * across - b * down) / scale, (a * down - d * across) / scale
    rgba = _smooth(picture, palette, row, col) if picture.smooth else _hard(picture, palette, row, col)
    return Patch(np.rint(rgba).astype(np.uint8), box)


def _bounds(picture: Picture) -> Rect:
    rows, cols = picture.cells.shape[:2]
    a, b, c, d, e, f = picture.transform
    xs = [a * col + b * row + c for col in (0, cols) for row in (0, rows)]
    ys = [d * col + e * row + f for col in (0, cols) for row in (0, rows)]
    return Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def _common(first: Rect, second: Rect) -> Rect | None:
    left, top = max(first.x, second.x), max(first.y, second.y)
    right, bottom = min(first.right, second.right), min(first.bottom, second.bottom)
    return Rect(left, top, right - left, bottom - top) if right > left and bottom > top else None


def _colors(picture: Picture, palette: Palette, cells: NDArray[np.uint8]) -> NDArray[np.float32]:
    if picture.table is None:
        colors = cells.astype(np.float32)
        colors[..., 3] *= picture.strength
        return colors
    return color_table(picture.table, palette, picture.strength)[cells]


def _hard(picture: Picture, palette: Palette, row: np.ndarray, col: np.ndarray) -> NDArray[np.float32]:
    rows, cols = picture.cells.shape[:2]
    inside = (row >= 0) & (row < rows) & (col >= 0) & (col < cols)
    near_row = np.clip(np.floor(row), 0, rows - 1).astype(np.intp)
    near_col = np.clip(np.floor(col), 0, cols - 1).astype(np.intp)
    colors = _colors(picture, palette, picture.cells[near_row, near_col])
    colors[~inside] = 0
    return colors


def _smooth(picture: Picture, palette: Palette, row: np.ndarray, col: np.ndarray) -> NDArray[np.float32]:
    """Blended between the four nearest cells, each weighed by its opacity too, so that clear cells lend no colour."""
    rows, cols = picture.cells.shape[:2]
    inside = (row >= 0) & (row < rows) & (col >= 0) & (col < cols)
    row, col = np.clip(row - 0.5, 0, rows - 1), np.clip(col - 0.5, 0, cols - 1)
    low_row, low_col = np.floor(row).astype(np.intp), np.floor(col).astype(np.intp)
    share_row, share_col = (row - low_row)[..., None], (col - low_col)[..., None]
    total = np.zeros((*np.broadcast_shapes(row.shape, col.shape), 4), dtype=np.float32)
    for step_row, weight_row in ((0, 1 - share_row), (1, share_row)):
        for step_col, weight_col in ((0, 1 - share_col), (1, share_col)):
            near = picture.cells[np.minimum(low_row + step_row, rows - 1), np.minimum(low_col + step_col, cols - 1)]
            colors = _colors(picture, palette, near)
            colors[..., :3] *= colors[..., 3:] / 255.0
            total += colors * (weight_row * weight_col).astype(np.float32)
    total[..., :3] /= np.maximum(total[..., 3:], 1e-3) / 255.0
    total[~inside] = 0
    return np.clip(total, 0, 255)
