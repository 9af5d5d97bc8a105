"""Painting the drawing list with Qt: each kind of mark leaves what it should where it should."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication

from gardenwater.desktop.look import load_face, measure
from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.plan.stack import LayerStack
from gardenwater.desktop.qtimages import blank_image, image_of
from gardenwater.desktop.qtpaths import path_of, polygon_of, strokes_path
from gardenwater.report.drawing import (
    Align,
    Dots,
    Drawing,
    Fill,
    Group,
    Layer,
    LayerName,
    Mark,
    Pen,
    Picture,
    Rect,
    Shape,
    Strokes,
    Subpath,
    Text,
    TextStyle,
)
from gardenwater.report.palette import Scheme, palette

Paint = Callable[..., QImage]
SQUARE = Rect(10, 10, 30, 30).outline()
HOLE = Rect(20, 20, 10, 10).outline()


def _role(role: str) -> QColor:
    return QColor(palette(Scheme.LIGHT).hex(role))


@pytest.fixture
def paint(qapp: QApplication) -> Paint:
    load_face()

    def painted(*marks: Mark, ratio: float = 1.0) -> QImage:
        image = blank_image(100, 60, ratio)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        MarkPainter(palette(Scheme.LIGHT), ratio).paint(painter, marks)
        painter.end()
        return image

    return painted


def test_a_fill_is_even_odd(paint: Paint) -> None:
    image = paint(Shape((SQUARE, HOLE), Fill("leaf")))
    assert image.pixelColor(14, 14) == _role("leaf")
    assert image.pixelColor(25, 25).alpha() == 0
    assert image.pixelColor(60, 14).alpha() == 0


def test_casing_fill_and_pen_lie_in_that_order(paint: Paint) -> None:
    image = paint(Shape((SQUARE,), Fill("leaf"), Pen("ink", 2.0), Pen("fails", 10.0)))
    assert image.pixelColor(10, 25) == _role("ink")
    assert image.pixelColor(7, 25) == _role("fails")
    assert image.pixelColor(13, 25) == _role("leaf"), "the fill covers the inner half of the casing"


def test_a_closed_outline_has_a_joined_corner_and_an_open_one_has_not(paint: Paint) -> None:
    run = np.array(((10.0, 10.0), (40.0, 10.0), (40.0, 40.0)))
    pen = Pen("ink", 4.0)
    assert paint(Shape((Subpath(run, closed=True),), pen=pen)).pixelColor(25, 25).alpha() == 255
    assert paint(Shape((Subpath(run),), pen=pen)).pixelColor(25, 25).alpha() == 0


def test_dashes_are_in_px_and_not_in_widths(paint: Paint) -> None:
    run = Subpath(np.array(((0.0, 20.0), (100.0, 20.0))))
    image = paint(Shape((run,), pen=Pen("ink", 4.0, dash=(10.0, 10.0))))
    assert [image.pixelColor(x, 20).alpha() for x in (5, 15, 25, 35)] == [255, 0, 255, 0]


def test_strokes_and_dots_are_all_there(paint: Paint) -> None:
    ends = np.array([[[10.0, y], [30.0, y]] for y in (10.0, 20.0, 30.0)])
    image = paint(Strokes(ends, Pen("ink", 2.0)), Dots(np.array(((60.0, 10.0), (60.0, 30.0))), 6.0, "water"))
    assert all(image.pixelColor(20, y) == _role("ink") for y in (10, 20, 30))
    assert all(image.pixelColor(60, y) == _role("water") for y in (10, 30))
    assert image.pixelColor(60, 20).alpha() == 0


def test_a_picture_of_classes_lies_where_its_transform_says(paint: Paint) -> None:
    cells = np.array(((1, 0), (2, 1)), dtype=np.uint8)
    table = (None, Fill("reach_1"), Fill("reach_2"))
    image = paint(Picture(cells, table, (10.0, 0.0, 20.0, 0.0, 10.0, 30.0)))
    assert image.pixelColor(25, 35) == _role("reach_1")
    assert image.pixelColor(35, 35).alpha() == 0
    assert image.pixelColor(25, 45) == _role("reach_2")
    assert image.pixelColor(15, 35).alpha() == 0


def test_a_group_clips_and_fades(paint: Paint) -> None:
    mark = Shape((SQUARE,), Fill("ink"))
    image = paint(Group((mark,), clip=(HOLE,), strength=0.5))
    assert image.pixelColor(25, 25).alpha() == pytest.approx(128, abs=1)
    assert image.pixelColor(12, 12).alpha() == 0


@pytest.mark.parametrize(("align", "left"), [(Align.LEFT, 50.0), (Align.MIDDLE, 50.0), (Align.RIGHT, 50.0)])
@pytest.mark.parametrize("casing", [None, Pen("paper", 3.6)])
def test_words_stand_by_their_alignment(paint: Paint, align: Align, left: float, casing: Pen | None) -> None:
    style = TextStyle(12.5, semibold=True)
    width, _ = measure("HHH", style)
    image = paint(Text(left, 30.0, "HHH", style, "ink", align, casing))
    cols = [x for x in range(100) if any(image.pixelColor(x, y) == _role("ink") for y in range(60))]
    start = {Align.LEFT: left, Align.MIDDLE: left - width / 2, Align.RIGHT: left - width}[align]
    assert cols[0] == pytest.approx(start, abs=3.0)
    assert cols[-1] == pytest.approx(start + width, abs=3.0)


def test_the_height_of_words_does_not_depend_on_the_density_of_the_screen(paint: Paint) -> None:
    style = TextStyle(20.0)
    for casing in (None, Pen("paper", 3.0)):
        single, double = (
            paint(Text(10.0, 40.0, "H", style, "ink", casing=casing), ratio=ratio) for ratio in (1.0, 2.0)
        )
        heights = [_ink_rows(image) for image in (single, double)]
        assert heights[1] == pytest.approx(2 * heights[0], abs=2)


def _ink_rows(image: QImage) -> int:
    ink = _role("ink")
    return sum(any(image.pixelColor(x, y) == ink for x in range(image.width())) for y in range(image.height()))


def test_figures_are_as_wide_as_each_other_in_each_cut(qapp: QApplication) -> None:
    load_face()
    for semibold in (False, True):
        for italic in (False, True):
            widths = {measure(figure, TextStyle(13.0, semibold, italic))[0] for figure in "017"}
            assert len(widths) == 1


def test_outlines_hold_every_point(qapp: QApplication) -> None:
    path = path_of((SQUARE, Subpath(np.array(((1.0, 2.0), (3.0, 4.0))))))
    assert path.elementCount() == 5 + 2
    assert (path.elementAt(0).x, path.elementAt(0).y) == (10.0, 10.0)
    assert (path.elementAt(4).x, path.elementAt(4).y) == (10.0, 10.0), "closed on its first point"
    assert path.elementAt(5).isMoveTo()
    assert path_of(()).isEmpty()
    assert strokes_path(np.zeros((3, 2, 2))).elementCount() == 6
    polygon = polygon_of(np.array(((1.0, 2.0), (3.0, 4.0))))
    assert [(point.x(), point.y()) for point in polygon] == [(1.0, 2.0), (3.0, 4.0)]


@pytest.mark.parametrize("closed", [True, False])
def test_a_short_outline_is_that_which_a_long_one_begins_with(qapp: QApplication, closed: bool) -> None:
    short = tuple(Subpath(SQUARE.points + shift, closed) for shift in (0.0, 30.0))
    long = (*short, Subpath(np.column_stack((np.arange(60.0), np.zeros(60)))))
    made, begun = path_of(short), path_of(long)
    count = made.elementCount()
    assert (count, begun.elementCount()) == (8 + 2 * closed, count + 60)
    for number in range(count):
        one, other = made.elementAt(number), begun.elementAt(number)
        assert (one.type, one.x, one.y) == (other.type, other.x, other.y)


def test_an_image_over_cells_shares_their_memory() -> None:
    cells = np.zeros((4, 6), dtype=np.uint8)
    image = image_of(cells)
    cells[1, 2] = 7
    assert image.pixelIndex(2, 1) == 7
    assert image_of(np.zeros((4, 6, 4), dtype=np.uint8)).size() == image.size()


def test_the_stack_keeps_what_rests_and_draws_what_changes(qapp: QApplication) -> None:
    painter_of_marks = MarkPainter(palette(Scheme.LIGHT))
    stack = LayerStack()

    def layer(name: LayerName, rect: Rect, role: str) -> Layer:
        return Layer(name, (Shape((rect.outline(),), Fill(role)),))

    ground = layer(LayerName.GROUND, Rect(0, 0, 100, 60), "paper")

    def shown(above: Layer) -> QImage:
        image = blank_image(100, 60, 1.0)
        painter = QPainter(image)
        stack.paint(painter, Drawing(100, 60, (ground, above)), painter_of_marks, 1.0)
        painter.end()
        return image

    first = layer(LayerName.THINGS_ABOVE, Rect(10, 10, 10, 10), "ink")
    second = layer(LayerName.THINGS_ABOVE, Rect(30, 10, 10, 10), "ink")
    for above, there, free in ((first, 15, 35), (first, 15, 35), (first, 15, 35), (second, 35, 15), (second, 35, 15)):
        image = shown(above)
        assert image.pixelColor(there, 15) == _role("ink")
        assert image.pixelColor(free, 15) == _role("paper")
