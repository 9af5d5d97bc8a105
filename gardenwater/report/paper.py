"""The paper's painter: the drawing list through matplotlib, to PNG, PDF or SVG.

Lines are real vectors and words real text in the program's typeface; only pictures are pixels. One artist draws the
whole list straight through matplotlib's renderer, so that the order of marks is the order of drawing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import shapely
from matplotlib import rc_context
from matplotlib.artist import Artist
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, fontManager
from matplotlib.path import Path as Outline
from matplotlib.textpath import TextPath
from matplotlib.transforms import Affine2D, TransformedPath
from shapely.geometry.base import BaseGeometry

from gardenwater.report.drawing import (
    Align,
    Cap,
    Dots,
    Drawing,
    Fill,
    Group,
    Join,
    Layer,
    Mark,
    Pen,
    Picture,
    Rect,
    Shape,
    Strokes,
    Subpath,
    Text,
)
from gardenwater.report.palette import Palette
from gardenwater.report.paths import circle, inside, signed_area
from gardenwater.report.pixels import patch_of
from gardenwater.report.typeface import face_file, face_files, measure

SCREEN_PX_PER_INCH = 96.0
PAPER_PX_PER_INCH = 101.6
"""On paper a px of the drawing list is 0.25 mm: the widths of the symbols' rules come out at the mm given there."""

PICTURE_DPI = 300.0

_CAPS: dict[Cap, Literal["butt", "round", "projecting"]] = {
    Cap.FLAT: "butt",
    Cap.ROUND: "round",
    Cap.SQUARE: "projecting",
}
_JOINS: dict[Join, Literal["miter", "round"]] = {Join.MITRE: "miter", Join.ROUND: "round"}
_SHIFTS = {Align.LEFT: 0.0, Align.MIDDLE: 0.5, Align.RIGHT: 1.0}


def _outline(path: tuple[Subpath, ...]) -> Outline:
    """One matplotlib path of all runs."""
    vertices, codes = [], []
    for points, closed in path:
        code = np.full(len(points) + closed, Outline.LINETO, dtype=np.uint8)
        code[0] = Outline.MOVETO
        if closed:
            code[-1] = Outline.CLOSEPOLY
        vertices.append(np.concatenate((points, points[:1])) if closed else points)
        codes.append(code)
    return Outline(np.concatenate(vertices), np.concatenate(codes))


def _wound(path: tuple[Subpath, ...]) -> tuple[Subpath, ...]:
    """The path with each hole running the other way round: a renderer fills non-zero, the list means even-odd."""
    if len(path) < 2:
        return path
    starts = np.array([part.points[0] for part in path])
    depth = sum(inside(starts, [part.points]).astype(int) for part in path)
    depth -= np.array([bool(inside(part.points[:1], [part.points])[0]) for part in path])
    turned = [(signed_area(part.points) > 0) != bool(deep % 2) for part, deep in zip(path, depth, strict=True)]
    return tuple(
        Subpath(part.points[::-1], part.closed) if turn else part for part, turn in zip(path, turned, strict=True)
    )


def _strokes_outline(ends: np.ndarray) -> Outline:
    codes = np.tile(np.array((Outline.MOVETO, Outline.LINETO), dtype=np.uint8), len(ends))
    return Outline(ends.reshape(-1, 2), codes)


@dataclass(frozen=True, slots=True)
class _Setting:
    """What holds for a group's marks: strength, the area they are clipped to (px) and as a path, and its rectangle."""

    strength: float
    area: BaseGeometry | None
    clip: TransformedPath | None
    seen: Rect

    def inside(self, group: Group, to_device: Affine2D) -> _Setting:
        """The setting inside a group."""
        strength = self.strength * group.strength
        if group.clip is None:
            return replace(self, strength=strength)
        area = _area(group.clip) if self.area is None else self.area.intersection(_area(group.clip))
        clip = TransformedPath(_outline(_oriented(area)), to_device)
        return _Setting(strength, area, clip, _seen(group.clip, self.seen))


class DrawingArtist(Artist):
    """Draws a drawing list on a whole figure. px_per_inch: how many px of the list make an inch of paper."""

    def __init__(self, drawing: Drawing, palette: Palette, px_per_inch: float) -> None:
        super().__init__()
        self._drawing, self._palette, self._px_per_inch = drawing, palette, px_per_inch
        self._renderer: Any = None
        self._clips: list[TransformedPath | None] = []  # kept: Agg knows the last clip by its address only
        self._to_device = Affine2D()
        self._point = 72.0 / px_per_inch

    def draw(self, renderer: RendererBase) -> None:
        """Draw all layers."""
        figure = self.get_figure(root=True)
        if figure is None:
            return
        scale = figure.dpi / self._px_per_inch
        self._renderer = renderer
        self._to_device = Affine2D().scale(scale, -scale).translate(0.0, self._drawing.height_px * scale)
        renderer.open_group("drawing")
        for layer in self._drawing:
            self._layer(layer)
        renderer.close_group("drawing")
        self._clips.clear()

    def _layer(self, layer: Layer) -> None:
        clip = None if layer.clip is None else (layer.clip.outline(),)
        whole = Rect(0, 0, self._drawing.width_px, self._drawing.height_px)
        self._group(Group(layer.marks, clip), _Setting(1.0, None, None, whole))

    def _group(self, group: Group, setting: _Setting) -> None:
        inner = setting.inside(group, self._to_device)
        self._clips.append(inner.clip)
        for mark in group.marks:
            self._draw(mark, inner)

    def _draw(self, mark: Mark, setting: _Setting) -> None:
        match mark:
            case Shape():
                self._shape(mark, setting)
            case Strokes():
                self._strokes(mark, setting)
            case Dots():
                self._dots(mark, setting)
            case Text():
                self._text(mark, setting)
            case Picture():
                self._picture(mark, setting)
            case Group():
                self._group(mark, setting)

    def _context(self, setting: _Setting, strength: float) -> GraphicsContextBase:
        context: GraphicsContextBase = self._renderer.new_gc()
        context.set_snap(False)
        context.set_alpha(setting.strength * strength)
        if setting.clip is not None:
            context.set_clip_path(setting.clip)
        return context

    def _stroke(self, outline: Outline, pen: Pen, setting: _Setting) -> None:
        context = self._context(setting, pen.strength)
        context.set_foreground(self._palette.hex(pen.role))
        context.set_linewidth(pen.width_px * self._point)
        context.set_capstyle(_CAPS[pen.cap])
        context.set_joinstyle(_JOINS[pen.join])
        if pen.dash:
            context.set_dashes(0.0, [length * self._point for length in pen.dash])
        self._renderer.draw_path(context, outline, self._to_device, None)
        context.restore()

    def _paint(self, outline: Outline, fill: Fill, setting: _Setting) -> None:
        context = self._context(setting, fill.strength)
        context.set_linewidth(0.0)
        red, green, blue = self._palette.rgb(fill.role)
        self._renderer.draw_path(context, outline, self._to_device, (red / 255.0, green / 255.0, blue / 255.0))
        context.restore()

    def _shape(self, mark: Shape, setting: _Setting) -> None:
        outline = _outline(mark.path)
        if mark.casing is not None:
            self._stroke(outline, mark.casing, setting)
        if mark.fill is not None:
            self._paint(_outline(_wound(mark.path)), mark.fill, setting)
        if mark.pen is not None:
            self._stroke(outline, mark.pen, setting)

    def _strokes(self, mark: Strokes, setting: _Setting) -> None:
        if len(mark.ends) == 0:
            return
        outline = _strokes_outline(mark.ends)
        for pen in (mark.casing, mark.pen):
            if pen is not None:
                self._stroke(outline, pen, setting)

    def _dots(self, mark: Dots, setting: _Setting) -> None:
        x, y = mark.points.T
        seen = setting.seen.grown(mark.diameter_px)
        near = (x > seen.x) & (x < seen.right) & (y > seen.y) & (y < seen.bottom)
        dots = tuple(circle(float(px), float(py), mark.diameter_px / 2) for px, py in mark.points[near])
        if dots:
            self._paint(_outline(dots), Fill(mark.role, mark.strength), setting)

    def _picture(self, mark: Picture, setting: _Setting) -> None:
        per_px = self._to_device.get_matrix()[0, 0] * self._renderer.get_image_magnification()
        patch = patch_of(mark, self._palette, within=setting.seen, pixels_per_px=per_px)
        if patch is None:
            return
        context = self._context(setting, 1.0)
        left, bottom = self._to_device.transform((patch.box.x, patch.box.bottom))
        rgba = patch.rgba[::-1].copy()
        rgba[..., 3] = np.rint(rgba[..., 3] * setting.strength)
        self._renderer.draw_image(context, round(left), round(bottom), rgba)
        context.restore()

    def _text(self, mark: Text, setting: _Setting) -> None:
        prop = FontProperties(fname=str(face_file(mark.style)), size=mark.style.size_px * self._point)
        shift = _SHIFTS[mark.align] * measure(mark.words, mark.style)[0]
        turn = np.radians(mark.angle_deg)
        x, y = mark.x - shift * np.cos(turn), mark.y - shift * np.sin(turn)
        if mark.casing is not None:
            letters = TextPath((0, 0), mark.words, size=mark.style.size_px, prop=prop)
            place = Affine2D().scale(1, -1).rotate(turn).translate(x, y)
            self._stroke(letters.transformed(place), mark.casing, setting)
        context = self._context(setting, mark.strength)
        context.set_foreground(self._palette.hex(mark.role))
        right, up = self._to_device.transform((x, y))
        down = self._drawing.height_px * self._to_device.get_matrix()[0, 0] - up
        self._renderer.draw_text(
            context, right, down if self._renderer.flipy() else up, mark.words, prop, -mark.angle_deg
        )
        context.restore()


def _seen(clip: tuple[Subpath, ...], seen: Rect) -> Rect:
    """The rectangle of a clip inside another."""
    points = np.concatenate([part.points for part in clip])
    left, top = np.maximum(points.min(axis=0), (seen.x, seen.y))
    right, bottom = np.minimum(points.max(axis=0), (seen.right, seen.bottom))
    return Rect(float(left), float(top), max(float(right - left), 0.0), max(float(bottom - top), 0.0))


def _area(clip: tuple[Subpath, ...]) -> BaseGeometry:
    """The ground of a clip (even-odd), px."""
    area: BaseGeometry = shapely.Polygon()
    for part in clip:
        area = area.symmetric_difference(shapely.Polygon(part.points).buffer(0))
    return area


def _oriented(area: BaseGeometry) -> tuple[Subpath, ...]:
    """The area's rings, holes the other way round: a renderer fills its clip non-zero."""
    parts = [part for part in shapely.get_parts(area) if isinstance(part, shapely.Polygon)]
    rings = [ring for part in shapely.orient_polygons(parts) for ring in (part.exterior, *part.interiors)]
    nothing = (Rect(-10, -10, 1, 1).outline(),)
    return tuple(Subpath(shapely.get_coordinates(ring)[:-1], closed=True) for ring in rings) or nothing


def figure_of(drawing: Drawing, palette: Palette, *, px_per_inch: float = SCREEN_PX_PER_INCH) -> Figure:
    """A figure of the drawing's size with the drawing on it."""
    for path in face_files():
        fontManager.addfont(path)
    figure = Figure(figsize=(drawing.width_px / px_per_inch, drawing.height_px / px_per_inch))
    figure.set_facecolor(palette.hex(drawing.ground))
    figure.add_artist(DrawingArtist(drawing, palette, px_per_inch))
    return figure


def write_drawing(
    drawing: Drawing,
    palette: Palette,
    path: Path,
    *,
    px_per_inch: float = SCREEN_PX_PER_INCH,
    dpi: float | None = None,
    kind: str = "",
) -> None:
    """Write a drawing to a PNG, PDF or SVG. dpi: of the PNG, and of pictures in the others; 300 unless given.

    kind: "png", "pdf" or "svg"; by the path's ending unless given.
    """
    figure = figure_of(drawing, palette, px_per_inch=px_per_inch)
    with rc_context({"pdf.fonttype": 42, "svg.fonttype": "path", "path.simplify": False}):
        figure.savefig(
            path, dpi=PICTURE_DPI if dpi is None else dpi, facecolor=figure.get_facecolor(), format=kind or None
        )
