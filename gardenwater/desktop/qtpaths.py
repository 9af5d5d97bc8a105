"""Arrays of points to Qt's outlines, without a call for each point."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QByteArray, QDataStream, QIODevice
from PySide6.QtGui import QPainterPath, QPolygonF

from gardenwater.report.drawing import Points, Subpath

_MOVE, _LINE = 0, 1
_EVEN_ODD = 0
_FEW_POINTS = 48
# A path as QDataStream holds it (unchanged since Qt 4): count, then for each element its type and place, big-endian,
# then where the last run starts, and the fill rule.
_ELEMENT = np.dtype([("type", ">i4"), ("x", ">f8"), ("y", ">f8")])


def _read_path(elements: NDArray[np.void], last_start: int) -> QPainterPath:
    count = np.array(len(elements), dtype=">i4").tobytes()
    tail = np.array((last_start, _EVEN_ODD), dtype=">i4").tobytes()
    memory = QByteArray(count + elements.tobytes() + tail)  # named: the stream does not keep it alive
    stream = QDataStream(memory, QIODevice.OpenModeFlag.ReadOnly)
    path = QPainterPath()
    stream >> path
    return path


def path_of(subpaths: Sequence[Subpath]) -> QPainterPath:
    """One outline (even-odd) of several runs; closed ones end on their first point, which Qt takes as closed."""
    if sum(len(points) for points, _ in subpaths) <= _FEW_POINTS:
        return _short_path(subpaths)
    parts: list[Points] = []
    starts: list[int] = []
    at = 0
    for points, closed in subpaths:
        if len(points) == 0:
            continue
        parts.append(points)
        if closed:
            parts.append(points[:1])
        starts.append(at)
        at += len(points) + int(closed)
    if not parts:
        return QPainterPath()
    places = np.concatenate(parts)
    elements = np.empty(len(places), dtype=_ELEMENT)
    elements["type"] = _LINE
    elements["type"][starts] = _MOVE
    elements["x"], elements["y"] = places[:, 0], places[:, 1]
    return _read_path(elements, starts[-1])


def _short_path(subpaths: Sequence[Subpath]) -> QPainterPath:
    """The same outline point by point, which is quicker for the small ones that are made in each frame of a drag."""
    path = QPainterPath()
    for points, closed in subpaths:
        if len(points) == 0:
            continue
        first, *rest = points.tolist()
        path.moveTo(*first)
        for x, y in rest:
            path.lineTo(x, y)
        if closed:
            path.lineTo(*first)
    return path


def strokes_path(ends: NDArray[np.float64]) -> QPainterPath:
    """One outline of many single strokes; ends: float64 (n, 2, 2)."""
    places = ends.reshape(-1, 2)
    elements = np.empty(len(places), dtype=_ELEMENT)
    elements["type"][0::2], elements["type"][1::2] = _MOVE, _LINE
    elements["x"], elements["y"] = places[:, 0], places[:, 1]
    return _read_path(elements, len(places) - 2)


def polygon_of(points: Points) -> QPolygonF:
    """The points as Qt's own list of them."""
    count = np.array(len(points), dtype=">u4").tobytes()
    memory = QByteArray(count + points.astype(">f8").tobytes())
    stream = QDataStream(memory, QIODevice.OpenModeFlag.ReadOnly)
    polygon = QPolygonF()
    stream >> polygon
    return polygon
