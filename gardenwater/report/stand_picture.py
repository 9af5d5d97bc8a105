"""The stand map as a picture: how high a stand must be in classes, why not elsewhere, how far a feeder comes, spots."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess import ProposedTank, StandAnswer
from gardenwater.ground import Ground
from gardenwater.report.drawing import Align, Cap, Dots, Fill, Mark, Pen, Picture, Points, Rect, Shape, Strokes, Subpath
from gardenwater.report.drawing import Text as Words
from gardenwater.report.feeder_picture import (
    FeederPicture,
    feeder_picture,
    limit_words,
    parting_marks,
    zone_labels,
)
from gardenwater.report.fields import Affine6, Curves, Field, corners, equal_lines, finer, times_finer, to_view
from gardenwater.report.ground_picture import lattice
from gardenwater.report.labels import Label, Line, LineWords
from gardenwater.report.paths import circle, run
from gardenwater.report.signs.context import Drafting
from gardenwater.report.styles import ANSWER, ANSWER_ITALIC, NAME
from gardenwater.report.styles import EDGE as EDGE_WORDS
from gardenwater.report.view import View
from gardenwater.units import Quantity, UnitSystem, text

EDGES_M = (0.5, 1.0)
"""Edges of the classes of stands, m: fixed, so that maps of different beds compare."""
NONE_UNDER_M = 0.005
"""A stand under it is none."""
STEEP, LOW = 5, 6
TABLE = (None, *(Fill(f"stand_{number}") for number in range(1, 5)), None, None)
"""Classes: 0 nothing, 1 to 4 by the stand, 5 too steep, 6 feed too low (hatches)."""
PARTS = (1, 2, 3)
PART_DOTS_PX = (1.3, 2.0, 2.8)
PART_EACH_PX = 7.0
"""Where a spot serves part of the beds: dots, the larger the fewer; most of what any serves, some of it, few."""

EDGE = Pen("ink", 0.9)
LIMIT = Pen("roof_line", 1.5, dash=(10.0, 4.0))
_LIMIT_CASING = Pen("paper", 4.0)
_STEEP = Pen("ink_soft", 1.1)
_LOW = Pen("ink_soft", 1.0, strength=0.6)
_STEEP_PX, _LOW_PX = 7.0, 9.0
_SPOT_LEAST_PX = 10.0
_SPOT = Pen("mark_over", 1.8, dash=(4.0, 2.4))
_SPOT_FEEDER = Pen("mark_over", 1.8, dash=(5.0, 3.0))
_SHARE_HAIR = 0.005
_WORDS_PX = 90.0


@dataclass(frozen=True, slots=True, eq=False)
class StandPicture:
    """What is drawn of a stand map, on the map. Made once for each answer, off the window's thread.

    classes: uint8 (rows, cols), see `TABLE`. parts: uint8 (rows, cols), 0 or one of `PARTS`. edges: by stand height, m.
    limit: where the longest feeder ends.
    down: float32 (rows, cols, 2), which way the ground of a cell falls: to the right and down on the sheet, length 1.
    feeders: which downpipe feeds which place.
    words: where each of the hatches, and the ground too far from a pipe, is widest: its words, x and y (m).
    """

    answer: StandAnswer
    classes: NDArray[np.uint8]
    parts: NDArray[np.uint8]
    transform: Affine6
    edges: Curves
    limit: Curves
    down: Field
    down_of: Affine6
    words: tuple[tuple[str, float, float], ...]
    feeders: FeederPicture


def stand_picture(answer: StandAnswer) -> StandPicture:
    """What is drawn of a stand map."""
    made, ground = answer.map, answer.map.ground
    times = times_finer(ground)
    a, b, c, d, e, f = corners(ground)
    near = _softened(_filled(~np.isnan(made.feed_level_m)))
    near = np.where(np.isnan(ground.level_m), np.float32(np.nan), near)
    limit = equal_lines(near, ground, (0.0,), least_cells=12.0)
    return StandPicture(
        answer=answer,
        classes=_classes(answer, times),
        parts=_parts(answer),
        transform=(a / times, b / times, c, d / times, e / times, f),
        edges=Curves(equal_lines(made.stand_m, ground, EDGES_M)),
        limit=Curves(limit),
        feeders=feeder_picture(made, limit),
        down=_downhill(ground),
        down_of=corners(ground),
        words=_words(answer),
    )


def _parts(answer: StandAnswer) -> NDArray[np.uint8]:
    """Cells that serve less of the beds than others do, by how much less."""
    share, best = answer.map.share, answer.map.best_share
    part = (share > 0) & (share < np.float32(best - _SHARE_HAIR))
    fewer = PARTS[-1] - np.digitize(share / np.float32(max(best, _SHARE_HAIR)), (1 / 3, 2 / 3))
    parts = np.where(part, fewer, 0).astype(np.uint8)
    parts.flags.writeable = False
    return parts


def _filled(near: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The ground that feeders come to, buildings inside it included."""
    from scipy.ndimage import binary_fill_holes

    filled: NDArray[np.bool_] = binary_fill_holes(near)
    return filled


def _softened(yes: NDArray[np.bool_]) -> Field:
    """Yes and no as a field that is above nothing where it is yes, smooth at the edge: the mean over nine cells."""
    padded = np.pad(np.where(yes, np.float32(0.5), np.float32(-0.5)), 1, mode="edge")
    across = padded[:, :-2] + padded[:, 1:-1] + padded[:, 2:]
    mean: Field = (across[:-2] + across[1:-1] + across[2:]) / np.float32(9.0)
    return mean


def _spread(stand: Field) -> Field:
    """Stands two cells on beyond their edge, so that the wash runs up to it."""
    for _ in range(2):
        padded = np.pad(stand, 1, constant_values=np.nan)
        rows, cols = stand.shape
        around = [padded[1 + r : 1 + r + rows, 1 + c : 1 + c + cols] for r in (-1, 0, 1) for c in (-1, 0, 1)]
        stand = np.where(np.isnan(stand), np.fmax.reduce(around), stand)
    return stand


def _classes(answer: StandAnswer, times: int) -> NDArray[np.uint8]:
    """Classes on cells `times` as fine; those by the stand run smoothly between cells, the others do not."""
    from gardenwater.reach import WhyNot

    made = answer.map
    coarse = np.zeros(made.reason.shape, dtype=np.uint8)
    coarse[made.reason == WhyNot.TOO_STEEP] = STEEP
    coarse[(made.reason == WhyNot.FEED_LOW) | (made.reason == WhyNot.STAND_HIGH)] = LOW
    classes = np.repeat(np.repeat(coarse, times, axis=0), times, axis=1)
    heights = finer(_spread(made.stand_m), times)
    here = finer(_softened(~np.isnan(made.stand_m)), times) >= 0
    with np.errstate(invalid="ignore"):
        by_stand = (np.digitize(heights, (NONE_UNDER_M, *EDGES_M)) + 1).astype(np.uint8)
    classes[here & ~np.isnan(heights)] = by_stand[here & ~np.isnan(heights)]
    classes.flags.writeable = False
    return classes


def _downhill(ground: Ground) -> Field:
    """Unit steps downhill: to the right and down."""
    rise_down, rise_right = np.gradient(ground.level_m.astype(np.float64), ground.cell_y_m, ground.cell_x_m)
    length = np.hypot(rise_down, rise_right)
    with np.errstate(invalid="ignore", divide="ignore"):
        step: Field = np.stack((-rise_right / length, -rise_down / length), axis=-1).astype(np.float32)
    return step


def _words(answer: StandAnswer) -> tuple[tuple[str, float, float], ...]:
    """The middle of the widest stretch of each reason, with its word."""
    from scipy.ndimage import distance_transform_edt

    from gardenwater.reach import WhyNot

    made = answer.map
    low = (made.reason == WhyNot.FEED_LOW) | (made.reason == WhyNot.STAND_HIGH)
    masks = (
        ("feed too low", low),
        ("too steep for a base", made.reason == WhyNot.TOO_STEEP),
        ("too far from a downpipe", made.reason == WhyNot.TOO_FAR),
        ("no line leads to the beds", made.reason == WhyNot.NO_WAY),
    )
    found = []
    for words, mask in masks:
        if np.count_nonzero(mask) > mask.size // 400:
            room = distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1]
            row, col = divmod(int(np.argmax(room)), mask.shape[1])
            found.append((words, *made.ground.centre_of(row, col)))
    return tuple(found)


def stand_wash(picture: StandPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """The classes; dots, the larger the fewer of the beds are served, where a stand serves part of them."""
    marks: list[Mark] = [
        Picture(picture.classes, TABLE, to_view(picture.transform, view), smooth=False, strength=strength)
    ]
    for value, dot_px in zip(PARTS, PART_DOTS_PX, strict=True):
        points = lattice(picture.parts, value, picture.down_of, view, PART_EACH_PX)
        if len(points):
            marks.append(Dots(points, dot_px, "ink_soft", strength))
    return marks


def stand_hatches(picture: StandPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """Short strokes down what is too steep, broken level lines where the feed is too low."""
    marks: list[Mark] = []
    steep = _staggered(picture, STEEP, view, (8.0, 7.0))
    if len(steep):
        half = _steps(picture, steep, view) * (_STEEP_PX / 2)
        strokes = np.stack((steep - half, steep + half), axis=1)
        marks.append(Strokes(strokes[~np.isnan(strokes).any(axis=(1, 2))], _faint(_STEEP, strength)))
    low = _staggered(picture, LOW, view, (16.0, 8.0))
    if len(low):
        half_line = np.array((_LOW_PX / 2, 0.0))
        marks.append(Strokes(np.stack((low - half_line, low + half_line), axis=1), _faint(_LOW, strength)))
    return marks


def _faint(pen: Pen, strength: float) -> Pen:
    return Pen(pen.role, pen.width_px, pen.dash, pen.cap, pen.join, pen.strength * strength)


def _staggered(picture: StandPicture, value: int, view: View, each_px: tuple[float, float]) -> Points:
    """Points of a lattice with every other row moved by half a step, on cells of one class; px, tied to the map."""
    a, _, c, _, e, f = picture.transform
    step_x, step_y = (each * view.metres_per_px for each in each_px)
    west, south, east, north = view.bounds
    rows_at = np.arange(np.floor(south / step_y), np.ceil(north / step_y) + 1)
    cols_at = np.arange(np.floor(west / step_x), np.ceil(east / step_x) + 1)
    x = (cols_at[None, :] + 0.5 * (rows_at[:, None] % 2)) * step_x
    y = np.broadcast_to((rows_at * step_y)[:, None], x.shape)
    col, row = np.floor((x - c) / a).astype(np.intp), np.floor((y - f) / e).astype(np.intp)
    rows, cols = picture.classes.shape
    inside = (row >= 0) & (row < rows) & (col >= 0) & (col < cols)
    hit = inside & (picture.classes[np.clip(row, 0, rows - 1), np.clip(col, 0, cols - 1)] == value)
    points: Points = view.all_to_px(np.column_stack((x[hit], y[hit])))
    return points


def _steps(picture: StandPicture, points: Points, view: View) -> Points:
    """The steps downhill at points of the sheet."""
    a, _, c, _, e, f = picture.down_of
    rows, cols = picture.down.shape[:2]
    scale, _, left, _, _, top = view.transform
    x, y = (points[:, 0] - left) / scale, (top - points[:, 1]) / scale
    col = np.clip(np.floor((x - c) / a).astype(np.intp), 0, cols - 1)
    row = np.clip(np.floor((y - f) / e).astype(np.intp), 0, rows - 1)
    steps: Points = picture.down[row, col].astype(np.float64)
    return steps


def stand_limits(picture: StandPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """What parts the downpipes' ground, edges of the classes of stands, and how far a feeder comes."""
    marks: list[Mark] = []
    edges = tuple(Subpath(curve.points) for curve in picture.edges.in_sight(view))
    limit = tuple(Subpath(curve.points) for curve in picture.limit.in_sight(view))
    if edges:
        marks.append(Shape(edges, pen=_faint(EDGE, strength)))
    if limit:
        marks.append(Shape(limit, pen=_faint(LIMIT, strength), casing=_LIMIT_CASING))
    return parting_marks(picture.feeders, view, strength=strength) + marks


def stand_beds(picture: StandPicture, on: Drafting) -> list[Mark]:
    """The beds that are asked for, filled."""
    marks: list[Mark] = []
    for bed in picture.answer.beds:
        thing = on.site.get(bed)
        if thing is not None:
            marks.append(Shape(on.outline(thing.shape), Fill("bed_fill")))
    return marks


# spots


def spot_radius_px(proposed: ProposedTank, view: View) -> float:
    """How large a spot is drawn."""
    return max(proposed.tank.width_m / 2 * view.px_per_m, _SPOT_LEAST_PX)


def spot_box(proposed: ProposedTank, view: View) -> Rect:
    """The box that a spot takes, px."""
    x, y = view.to_px(*proposed.spot.at)
    half = spot_radius_px(proposed, view) + 3.0
    return Rect(x - half, y - half, 2 * half, 2 * half)


def spot_marks(answer: StandAnswer, on: Drafting, *, shown: int, hovered: int = 0) -> list[Mark]:
    """The spots with their ranks, each a proposed thing; that of rank `shown` with its feeder and more strongly."""
    marks: list[Mark] = []
    for each in sorted(answer.proposals, key=lambda each: each.rank == shown):
        marks += _spot(each, on, strong=each.rank in {shown, hovered})
    return marks


def _spot(proposed: ProposedTank, on: Drafting, *, strong: bool) -> list[Mark]:
    view = on.view
    x, y = view.to_px(*proposed.spot.at)
    outline = (circle(x, y, spot_radius_px(proposed, view)),)
    feeder = run(on.px((proposed.diverter.shape.coords[0], proposed.spot.at)))
    marks: list[Mark] = []
    if strong:
        marks.append(Shape((feeder,), pen=_SPOT_FEEDER, casing=Pen("paper", 5.0, cap=Cap.ROUND)))
    pen = Pen("mark_over", 2.4) if strong else _SPOT
    marks.append(Shape(outline, Fill("mark_wash"), pen, casing=Pen("paper", 6.8)))
    style = NAME.scaled(1.04)
    marks.append(Words(x, y + 4.5, str(proposed.rank), style, "mark_over", Align.MIDDLE))
    return marks


def stand_line_words(picture: StandPicture, on: Drafting, units: UnitSystem, factor: float) -> list[LineWords]:
    """Words along lines: the height of each edge of the classes; how long a feeder the limit is, and from where."""
    edge = EDGE_WORDS.scaled(factor)
    edges = [
        LineWords(curve.points, text(curve.value, Quantity.HEIGHT_M, units), edge, "ink", casing=True)
        for curve in picture.edges.in_sight(on.view)
    ]
    return edges + limit_words(picture.feeders, picture.answer.map.limits.most_feeder_m, on, units, factor)


def stand_labels(picture: StandPicture | None, on: Drafting, units: UnitSystem, factor: float) -> list[Label]:
    """Words of the spots, and of why nothing can stand elsewhere."""
    if picture is None:
        return []
    labels = []
    beds = len(picture.answer.beds)
    for each in picture.answer.proposals:
        box = spot_box(each, on.view)
        if box.meets(on.view.sheet):
            stand = (
                "no stand" if each.stand_m < NONE_UNDER_M else f"stand {text(each.stand_m, Quantity.HEIGHT_M, units)}"
            )
            served = f"{len(each.spot.beds)} of {beds} beds"
            lines = (
                Line(each.name, NAME.scaled(factor), "mark_over"),
                Line(f"{stand}, {served}", ANSWER.scaled(factor), "mark_over"),
            )
            labels.append(Label(f"spot {each.rank}", 0, lines, box, 100.0 - each.rank))
    labels += zone_labels(picture.feeders, on, factor)
    italic = ANSWER_ITALIC.scaled(factor)
    for words, at_x, at_y in picture.words:
        x, y = on.view.to_px(at_x, at_y)
        if on.view.sheet.holds(x, y):
            sign = Rect(x - 1.0, y - 1.0, 2.0, 2.0)
            room = (Rect(x - _WORDS_PX, y - 14.0, 2 * _WORDS_PX, 28.0).outline().points,)
            labels.append(
                Label(f"reason {words}", 3, (Line(words, italic, "ink_soft"),), sign, areas=room, pole=(x, y))
            )
    return labels
