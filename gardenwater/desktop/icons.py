"""Icons of the drawing tray, the questions and the findings, in the colour of a role and at any size."""

from __future__ import annotations

import re
from functools import lru_cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from gardenwater.findings import Question, Severity
from gardenwater.tables import resource

_STROKE = "#1E2629"
_BEHIND = "#FFFFFF"
_WIDTH = re.compile(r'stroke-width="1\.75"')

_KIND_FILES: dict[str, str] = {
    "first_flush": "first-flush",
    "watering_line": "watering-line",
    "keep_dry": "keep-dry",
    "rain_garden": "rain-garden",
    "level_peg": "level-peg",
    "slope_arrow": "slope-arrow",
}
_SEVERITY_FILES: dict[Severity, str] = {
    Severity.UNSAFE: "mark-unsafe",
    Severity.FAILS: "mark-fails",
    Severity.WATCH: "mark-watch",
    Severity.NOTE: "mark-note",
}
SEVERITY_ROLES: dict[Severity, str] = {
    Severity.UNSAFE: "unsafe",
    Severity.FAILS: "fails",
    Severity.WATCH: "watch",
    Severity.NOTE: "ink_soft",
}
"""The colour role of each severity."""


def kind_icon(kind: str) -> str:
    """Name of the icon of a kind of thing."""
    return _KIND_FILES.get(kind, kind)


def question_icon(question: Question) -> str:
    """Name of the icon of a question."""
    return "q-" + question.value.lower().replace(" ", "-")


def severity_icon(severity: Severity) -> str:
    """Name of the sign of a severity."""
    return _SEVERITY_FILES[severity]


@lru_cache(maxsize=64)
def _source(name: str) -> str:
    return resource(f"icons/{name}.svg").read_text(encoding="utf-8")


def _stroke_width(size_px: float) -> str:
    """Small icons are drawn with wider strokes, so that they stay as dark."""
    if size_px <= 18:
        return "2.2"
    return "1.95" if size_px <= 21 else "1.75"


def icon_svg(name: str, color: QColor, behind: QColor, size_px: float) -> bytes:
    """The icon's source in a colour, for a size in px; `behind` is the ground that it stands on."""
    text = _WIDTH.sub(f'stroke-width="{_stroke_width(size_px)}"', _source(name))
    return text.replace(_BEHIND, behind.name()).replace(_STROKE, color.name()).encode()


@lru_cache(maxsize=512)
def _pixmap(name: str, rgb: str, behind: str, size_px: int, ratio: float) -> QPixmap:
    pixmap = QPixmap(round(size_px * ratio), round(size_px * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    renderer = QSvgRenderer(QByteArray(icon_svg(name, QColor(rgb), QColor(behind), size_px)))
    renderer.render(painter, QRectF(0, 0, size_px, size_px))
    painter.end()
    return pixmap


def icon_pixmap(name: str, color: QColor, behind: QColor, size_px: int, ratio: float = 1.0) -> QPixmap:
    """The icon as a picture; `ratio` is the device pixel ratio of what it is drawn on."""
    return _pixmap(name, color.name(), behind.name(), size_px, ratio)


def icon(name: str, color: QColor, behind: QColor, size_px: int) -> QIcon:
    """The icon for buttons and rows, sharp on screens of single and double density."""
    made = QIcon(icon_pixmap(name, color, behind, size_px))
    made.addPixmap(icon_pixmap(name, color, behind, size_px, 2.0))
    return made
