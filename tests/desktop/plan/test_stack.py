"""The layers of the plan on the screen: joined at the bottom, they look as they do one by one."""

from __future__ import annotations

import numpy as np
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication

from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.plan.stack import LayerStack
from gardenwater.desktop.qtimages import blank_image
from gardenwater.report.drawing import Drawing, Fill, Layer, LayerName, Rect, Shape
from gardenwater.report.palette import paper_palette

WIDTH, HEIGHT = 60, 40


def layer(name: LayerName, role: str, box: Rect) -> Layer:
    return Layer(name, (Shape((box.outline(),), Fill(role, 0.6)),))


GROUND = layer(LayerName.GROUND, "paper", Rect(0, 0, 50, 30))
BELOW = layer(LayerName.THINGS_BELOW, "leaf", Rect(5.5, 5.5, 20, 10))
LIMITS = layer(LayerName.LIMITS, "water", Rect(10, 8, 30, 10))


def overlay(x: float) -> Layer:
    return layer(LayerName.OVERLAY, "fails", Rect(x, 10, 8, 8))


def painted(stack: LayerStack, marks: MarkPainter, *layers: Layer) -> bytes:
    image = blank_image(WIDTH, HEIGHT, 1.0, QColor("white"))
    painter = QPainter(image)
    stack.paint(painter, Drawing(WIDTH, HEIGHT, layers), marks, 1.0, ground=QColor("white"))
    painter.end()
    return bytes(image.convertToFormat(QImage.Format.Format_RGB32).constBits())


def test_joined_layers_look_as_they_do_one_by_one(qapp: QApplication) -> None:
    marks, stack = MarkPainter(paper_palette()), LayerStack()
    for x in (2.0, 9.0, 16.0, 23.0):
        frame = painted(stack, marks, GROUND, BELOW, LIMITS, overlay(x))
        alone = painted(LayerStack(), marks, GROUND, BELOW, LIMITS, overlay(x))
        np.testing.assert_allclose(_levels(frame), _levels(alone), atol=1)


def test_a_layer_that_changes_below_others_is_seen_at_once(qapp: QApplication) -> None:
    marks, stack = MarkPainter(paper_palette()), LayerStack()
    for _ in range(3):
        painted(stack, marks, GROUND, BELOW, LIMITS, overlay(2.0))
    moved = layer(LayerName.THINGS_BELOW, "leaf", Rect(25, 5, 20, 20))
    frame = painted(stack, marks, GROUND, moved, LIMITS, overlay(2.0))
    alone = painted(LayerStack(), marks, GROUND, moved, LIMITS, overlay(2.0))
    np.testing.assert_allclose(_levels(frame), _levels(alone), atol=1)


def _levels(picture: bytes) -> np.ndarray:
    return np.frombuffer(picture, dtype=np.uint8).reshape(HEIGHT, WIDTH, 4)[:, :, :3].astype(np.int16)
