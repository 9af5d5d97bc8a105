"""Pictures to paint on and pictures of cells."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage

from gardenwater.desktop.look import screen_dpi

_METRE_IN_INCHES = 39.3700787


def blank_image(width_px: float, height_px: float, ratio: float, ground: QColor | None = None) -> QImage:
    """A picture on which type has the size that it has on the screen: clear, or of one opaque colour."""
    clear = QImage.Format.Format_ARGB32_Premultiplied
    kind = clear if ground is None else QImage.Format.Format_RGB32
    image = QImage(math.ceil(width_px * ratio), math.ceil(height_px * ratio), kind)
    image.setDevicePixelRatio(ratio)
    dots = round(screen_dpi() * _METRE_IN_INCHES)
    image.setDotsPerMeterX(dots)
    image.setDotsPerMeterY(dots)
    image.fill(Qt.GlobalColor.transparent if ground is None else ground)
    return image


def image_of(cells: NDArray[np.uint8]) -> QImage:
    """An image over cells: classes (rows, cols), or RGBA (rows, cols, 4). No copy is made: keep the cells alive."""
    rows, cols = cells.shape[:2]
    kind = QImage.Format.Format_Indexed8 if cells.ndim == 2 else QImage.Format.Format_RGBA8888
    return QImage(cells.data, cols, rows, cells.strides[0], kind)
